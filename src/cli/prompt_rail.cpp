// SPDX-License-Identifier: MIT
// Before a large correction: the rail turned end for end, by its widest gap alone. It is kept as the rail
// test that it is, so that later checks know it.
#include <fmt/format.h>

#include "app/keep_check.hpp"
#include "app/typed_readings.hpp"
#include "cli/prompt_session.hpp"
#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr double kMostGapMm = 5, kLeastRailMm = 200;
constexpr double kNotTried = -1;  ///< in place of a gap

check::Reading reading_of(double mm) {
  check::Reading reading;
  reading.mm = mm;
  reading.as_typed = units::shortest(mm) + " mm";
  return reading;
}

/// One gap where it is widest, none elsewhere: of a widest gap at the ends, at both.
check::Check rail_check(const RailTried& tried, const check::Check& of) {
  check::Check check;
  check.test = check::TestKind::rail;
  check.station = of.station;
  check.unit = units::Unit::mm;
  check.by = of.by;
  check.panel_size = of.panel_size;
  const auto ends = reading_of(tried.at_ends ? tried.gap_mm : 0);
  const auto middle = reading_of(tried.at_ends ? 0 : tried.gap_mm);
  check.strips.push_back(app::strip_of({{ends}, {ends}, {middle}, tried.over_mm}, 1, 0, 0));
  return check;
}

}  // namespace

/// Of the setup's rail, or the only one that the station has; 0: not known.
double Session::rail_length_mm(const std::string& setup) const {
  if (!station_) return 0;
  const auto& rails = station_->rails;
  const auto named = rails.find(station_->setup(setup).rail_name);
  if (named != rails.end()) return named->second.length.mm();
  return rails.size() == 1 ? rails.begin()->second.length.mm() : 0;
}

double Session::ask_gap() {
  double gap_mm = 0;
  talk_.ask(
      std::string("widest gap by feeler in ") + (talk_.options.unit == units::Unit::inch ? "inches" : "mm") +
          ", 0 = none, skip = not tried",
      std::nullopt, [&](const std::string& typed) {
        if (typed.empty()) {
          throw units::InputError("gap", std::string(units::kMissing),
                                  "the thickest feeler that goes in, 0 when none does, or skip");
        }
        gap_mm = kNotTried;
        if (units::lowered(typed) == "skip") return;
        const double given =
            units::lowered(typed) == "none" ? 0 : units::parse_length(typed, "gap", talk_.options.unit).mm();
        if (!(given >= 0 && given <= kMostGapMm))
          throw units::InputError("gap", typed, report::size_range_text(0, kMostGapMm, talk_.options.unit));
        gap_mm = given;
      });
  return gap_mm;
}

/// 0: skipped. What the gap tells depends on it little; without it nothing is kept.
double Session::ask_rail_length() {
  double length_mm = 0;
  talk_.ask(
      std::string("how long is the rail, in ") + (talk_.options.unit == units::Unit::inch ? "inches" : "mm"),
      "skip", [&](const std::string& typed) {
        length_mm = 0;
        if (units::lowered(typed) == "skip") return;
        const double given = units::parse_length(typed, "length", talk_.options.unit).mm();
        if (!(given >= kLeastRailMm && given <= check::kMostPositionMm))
          throw units::InputError(
              "length", typed,
              "a rail's length " +
                  report::size_range_text(kLeastRailMm, check::kMostPositionMm, talk_.options.unit) +
                  ", or skip");
        length_mm = given;
      });
  return length_mm;
}

/// The widest gap, where it is, and the rail's length where the station does not tell it.
RailTried Session::ask_tried() {
  RailTried tried;
  const double known_mm = rail_length_mm(last().outcome.setup_name);
  for (int question = 0; question < 3;) {
    try {
      if (question == 0) {
        tried.gap_mm = ask_gap();
      } else if (question == 1 && tried.gap_mm > 0) {
        tried.at_ends = talk_.choose("is it widest in the middle (m) or at the ends (e)", std::nullopt,
                                     {"middle", "ends"}) == 1;
      } else if (question == 2 && tried.gap_mm >= 0) {
        tried.over_mm = known_mm > 0 ? known_mm : ask_rail_length();
      }
      ++question;
    } catch (const Back&) {
      if (question == 0) talk_.say("  Nothing to take back.\n");
      question = question == 2 && tried.gap_mm > 0 ? 1 : 0;
    }
  }
  return tried;
}

/// The rail test computed and kept, and the last check computed again with what it told.
/// \param kept  as it was read before `undo`: this is then a further version of it
correct::Outcome Session::take_rail(const RailTried& tried, std::optional<logbook::KeptCheck>& kept) {
  const auto& outcome = last().outcome;
  app::CheckRequest request;
  request.station = outcome.station;
  request.confidence = last().request.confidence;
  request.setup = outcome.setup_name;
  RailTried over = tried;
  if (over.over_mm == 0)  // the cut's own length: the most that the gap can do to it
    over.over_mm = outcome.check.panel_size ? outcome.check.panel_size->depth_mm : outcome.panel_mm;
  request.check = rail_check(over, outcome.check);
  request.check.setup = outcome.setup_name;
  request.check.date = files::moment_text(context_.now_utc);
  auto rail = app::run_check(request);
  auto bow = *rail.bow;
  bow.date = files::day_text(context_.now_utc);
  auto& log = *context_.log;
  if (tried.over_mm > 0) {
    kept = kept_of([&] {
      logbook::KeptCheck made;
      log.together([&] {
        made = kept ? app::amend_with(log, *kept, request, rail, "read again", context_.now_utc, {})
                    : app::keep_check(log, request, rail, context_.now_utc);
        drafts_.take_out();
      });
      return made;
    });
    rail_kept_ = kept.has_value();
    if (kept) bow.name = app::name_of(log, *kept);
  }
  last_->request.rail = bow;
  last_->outcome = app::run_check(last_->request);
  return rail;
}

/// True: the dogs may be moved.
bool Session::ask_rail(std::optional<logbook::KeptCheck>& kept) {
  for (;;) {
    if (kept_) begin_draft("correct", kept_->made.id);
    const RailTried tried = ask_tried();
    talk_.live();
    if (tried.gap_mm == kNotTried) {
      finish_draft();
      talk_.say(
          "  Not tried: a bowed rail would be taken for dogs that stand wrong, and they be moved for it.\n");
      return true;
    }
    const auto rail = take_rail(tried, kept);
    if (tried.over_mm > 0 && !kept && leave_draft())  // the log would not take it
      talk_.say("  What was typed stays in 'drafts'.\n");
    else
      finish_draft();
    if (tried.gap_mm == 0) {
      talk_.say("  Rail straight: the correction is safe.\n");
      return true;
    }
    talk_.say(report::rail_test_text(rail, talk_.options));
    if (report::bow_is_no_matter(rail)) return true;
    talk_.say(report::finished(report::kBowedRailNext, talk_.options));
    try {
      if (talk_.yes("Correct the dogs all the same?", false)) return true;
      talk_.say("  The dogs stay where they are.\n");
      return false;
    } catch (const Back&) {
      // Back to the gap.
    }
  }
}

}  // namespace quarterturn::cli
