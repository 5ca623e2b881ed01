// SPDX-License-Identifier: MIT
// What is typed in a survey: readings held against the table and against each other, and what the person
// chooses to measure besides.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "app/typed_readings.hpp"
#include "cli/prompt_survey.hpp"
#include "files/observation_cells.hpp"
#include "report/amounts.hpp"
#include "report/survey_where.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {

using files::ObservationRow;
using survey::Kind;
using survey::Observation;

namespace {

constexpr double kSpreadMm = 0.10;  ///< between readings of one length: more is doubtful; common practice
constexpr double kHalf = 1.96;
/// The note of a reading that is doubted and neither meant nor read again so far.
constexpr std::string_view kOpen = "doubted, not settled yet: ";

ObservationRow doubted(ObservationRow row, const std::string& why) {
  row.note = std::string(kOpen) + why;
  return row;
}

const char* word_of(Kind kind) {
  return kind == Kind::distance ? "distance" : kind == Kind::compare ? "difference" : "offset";
}

}  // namespace

/// What is asked for, with its unit.
std::string SurveyTalk::asked_words(const Observation& o) const {
  const std::string unit = talk_.options.unit == units::Unit::inch ? "inches" : "mm";
  const std::string what = report::short_words(station_, o);
  switch (o.kind) {
    case Kind::distance:
      return what +
             (o.taken == survey::Taken::inside    ? " between, "
              : o.taken == survey::Taken::outside ? " over, "
                                                  : ", ") +
             unit;
    case Kind::compare:
      return fmt::format("{} {} minus {} {}, {}", o.from.name(), o.to.name(), o.via[0].name(),
                         o.via[1].name(), unit);
    case Kind::offset:
      return "gap at " + o.from.name() + ", " + unit;
    case Kind::corner:
      break;
  }
  return "name of the check, such as " + units::inert(station_.name) + "/4, or skip";
}

/// With the uncertainty that a blank one stands for.
Observation SurveyTalk::with_u(Observation o) const {
  if (!(o.u > 0)) {
    const check::Caliper caliper =
        app::survey_caliper(station_, book_ ? book_->file() : files::ObservationFile{});
    o.u = caliper.repeatability_mm > 0 ? app::u_of_caliper(station_, caliper, o) : 0.03;
  }
  return o;
}

std::string SurveyTalk::reading_text(const Observation& o) const {
  const double by = o.value - survey::nominal_value(station_, o);
  const auto unit = talk_.options.unit;
  std::string text = report::short_words(station_, o) + " " + report::length_text(o.value, unit);
  if (readings_ > 1) text += fmt::format(", mean of {}", readings_);
  if (o.kind != Kind::distance) return text;
  if (std::fabs(by) < 0.005) return text + ", as the grid makes it";
  return text + ", " + report::length_text(std::fabs(by), unit) + (by > 0 ? " longer" : " shorter") +
         " than the grid makes it";
}

/// Into the row's value: one length or several, which are averaged.
void SurveyTalk::take_lengths(const std::string& typed, ObservationRow& row) {
  Observation& o = row.observation;
  spread_mm_ = 0;
  readings_ = 1;
  if (typed.empty()) {
    throw units::InputError(
        word_of(o.kind), std::string(units::kMissing),
        o.kind == Kind::distance
            ? "a reading such as " + report::fixed(survey::nominal_value(station_, o) + 0.07, 2)
            : "a length, 0 where there is none",
        {}, "skip leaves it out, later goes on another day");
  }
  if (o.kind == Kind::distance) {
    const auto readings = app::readings_of(typed, "reading", talk_.options.unit, "length");
    const auto [least, most] = std::minmax_element(readings.begin(), readings.end(),
                                                   [](const auto& a, const auto& b) { return a.mm < b.mm; });
    spread_mm_ = most->mm - least->mm;
    readings_ = readings.size();
    // A mean of hundredths has no more to say than a tenth of them.
    o.value = readings_ == 1 ? readings.front().mm : std::round(check::mean_mm(readings) * 1e4) / 1e4;
  } else {
    o.value = files::parse_observed(typed, word_of(o.kind), talk_.options.unit);
  }
  const double nominal_mm = survey::nominal_value(station_, o);
  if (!(std::fabs(o.value - nominal_mm) <= survey::kPlausibleMm)) {
    const auto unit = talk_.options.unit;
    throw units::InputError(
        word_of(o.kind), report::length_text(o.value, unit),
        "within " + report::length_text(survey::kPlausibleMm, unit) + " of " +
            report::length_text(nominal_mm, unit) + ", as the grid makes it",
        {}, o.kind == Kind::distance ? "other holes, or between the dogs instead of over them?" : "");
  }
  survey::validate(station_, with_u(o), word_of(o.kind));
}

/// Why a reading is doubted; empty where it is not. \param again  a row that does not count: it is read anew
std::string SurveyTalk::doubt(const ObservationRow& row, std::optional<std::size_t> again) const {
  const auto unit = talk_.options.unit;
  if (spread_mm_ > kSpreadMm) return "these readings differ by " + report::length_text(spread_mm_, unit);
  files::ObservationFile others = book_->file();
  if (again) others.rows.erase(others.rows.begin() + static_cast<std::ptrdiff_t>(*again));
  const auto told = app::foretold_reading(station_, others, with_u(row.observation), context_.log);
  if (!told) return {};
  const double by = row.observation.value - told->value;
  if (std::fabs(by) <= survey::kDoubtful * told->sd) return {};
  return fmt::format("{} {} than the others make it ({})", report::length_text(std::fabs(by), unit),
                     by > 0 ? "more" : "less", report::half_width_text(kHalf * told->sd, unit));
}

/// A doubtful one is read again or meant; read twice alike it is no slip of reading. It is in the file
/// meanwhile. False: neither, it is asked for again. \param at  its row there
bool SurveyTalk::settle(const std::string& why, ObservationRow& row, std::size_t at) {
  std::string reason = why;
  while (!reason.empty()) {
    talk_.say("  ? " + reading_text(row.observation) + ": " + reason + ".\n");
    talk_.bell(2);
    const double doubted_mm = row.observation.value;
    bool kept = false, left = false;
    try {
      talk_.ask("read it again and type that, or keep", std::nullopt, [&](const std::string& typed) {
        const std::string small = units::lowered(typed);
        kept = small == "keep";
        left = small == "redo" || small == "skip";
        if (kept || left) return;
        ObservationRow anew = row;
        take_lengths(typed, anew);
        row = anew;
      });
    } catch (const Back&) {
      left = true;
    }
    if (left) {
      talk_.say("  Not taken.\n");
      return false;
    }
    const std::string now = kept ? reason : doubt(row, at);
    const bool twice = !kept && !now.empty() && spread_mm_ <= kSpreadMm &&
                       std::fabs(row.observation.value - doubted_mm) <= kSpreadMm;
    if (twice) talk_.say("  The same again: taken. It is not the reading, then; a hole may be off.\n");
    if (kept || twice) {
      row.note = (kept ? "doubted, kept: " : "doubted, read twice: ") + now;
      return true;
    }
    reason = now;
    if (!reason.empty()) book_->settle(at, doubted(row, reason));
  }
  return true;
}

/// Those that were doubted when the program ended.
void SurveyTalk::settle_open() {
  for (std::size_t at = 0; book_ && at < book_->file().rows.size();) {
    ObservationRow row = book_->file().rows[at];
    if (!row.note.starts_with(kOpen)) {
      ++at;
      continue;
    }
    talk_.say("  Doubted when this was left:\n");
    const std::string why = row.note.substr(kOpen.size());
    readings_ = 1;
    row.note.clear();
    if (settle(why, row, at)) {
      book_->settle(at, row);
      talk_.say(fmt::format("  {}: {}\n", at + 1, reading_text(row.observation)));
      ++at;
    } else {
      book_->ask_again(at);
    }
  }
}

void SurveyTalk::accept(const ObservationRow& row, std::optional<std::size_t> again) {
  const std::size_t at = again.value_or(book_->file().rows.size());
  if (again)
    book_->replace(at, row);
  else
    book_->add(row);
  told(row, at);
}

/// It is in the file.
void SurveyTalk::told(const ObservationRow& row, std::size_t at) {
  redo_.reset();
  talk_.say(
      fmt::format("  {}: {}\n", at + 1,
                  row.check.empty() ? reading_text(row.observation) : "check " + units::inert(row.check)));
  talk_.bell(1);
}

void SurveyTalk::take(const std::string& typed, ObservationRow row, std::optional<std::size_t> again) {
  row.note.clear();
  take_lengths(typed, row);
  const std::string why = doubt(row, again);
  if (why.empty()) {
    accept(row, again);
    return;
  }
  const std::size_t at = again.value_or(book_->file().rows.size());
  if (again)
    book_->replace(at, doubted(row, why));
  else
    book_->add(doubted(row, why));
  if (!settle(why, row, at)) {
    book_->undo();
    return;
  }
  book_->settle(at, row);
  told(row, at);
}

/// A kept check, from the log. \param instead  the proposal that it may answer
void SurveyTalk::take_check(const std::string& typed, const ObservationRow* instead) {
  if (typed.empty())
    throw units::InputError("check", std::string(units::kMissing),
                            "its name, such as " + station_.name + "/4", {},
                            "'log list' names those that are kept; skip leaves it out");
  ObservationRow row;
  const auto words = words_of_line(typed);
  row.check = words.size() == 2 && units::lowered(words[0]) == "check" ? words[1] : typed;
  files::ObservationFile with = book_->file();
  with.rows.push_back(row);
  const auto observed = app::observed_of(station_, with, context_.log);
  if (observed.observations.empty()) return;
  const bool answers =
      instead != nullptr && files::same_measurement(observed.observations.back(), instead->observation);
  row.observation = observed.observations.back();
  if (instead != nullptr && !answers) {
    talk_.say("  It is of " + report::short_words(station_, row.observation) +
              ": taken, and the proposal stays.\n");
  }
  readings_ = 1;
  accept(row, std::nullopt);
}

std::pair<station::Hole, station::Hole> SurveyTalk::ask_two_holes(const std::string& question) {
  std::pair<station::Hole, station::Hole> holes;
  talk_.ask(question, std::nullopt, [&](const std::string& typed) {
    const auto words = words_of_line(typed);
    if (words.size() != 2) throw units::InputError("holes", typed, "two holes such as C4 D4");
    holes = {station::parse_hole(words[0]), station::parse_hole(words[1])};
    for (const auto& hole : {holes.first, holes.second}) {
      if (!station_.grid.has(hole))
        throw units::InputError("hole", hole.name(), "a hole of the grid that was drilled");
    }
    if (holes.first == holes.second) throw units::InputError("holes", typed, "two different ones");
  });
  return holes;
}

ObservationRow SurveyTalk::ask_length() {
  ObservationRow row;
  Observation& o = row.observation;
  std::tie(o.from, o.to) = ask_two_holes("between which two holes");
  const std::size_t taken =
      talk_.choose("over the dogs, between them, or centre to centre", "over", {"over", "between", "centre"});
  o.taken = taken == 0 ? survey::Taken::outside : taken == 1 ? survey::Taken::inside : survey::Taken::centre;
  if (o.taken == survey::Taken::centre) return row;
  o.dog_from = request_.dog_1;
  o.dog_to = request_.dog_2;
  return row;
}

ObservationRow SurveyTalk::ask_compare() {
  const auto [a, b] = ask_two_holes("first length, between which two holes");
  const auto [c, d] = ask_two_holes("second length, between which two holes");
  ObservationRow row;
  row.observation = survey::compare(a, b, c, d, 0, survey::NextOptions{}.compare_u_mm);
  return row;
}

ObservationRow SurveyTalk::ask_offset() {
  const auto at = ask_two_holes("the straightedge touches dogs in which two holes");
  ObservationRow row;
  Observation& o = row.observation;
  o.kind = Kind::offset;
  o.via = {at.first, at.second};
  talk_.ask("gap to the dog in which hole", std::nullopt, [&](const std::string& typed) {
    const station::Hole hole = station::parse_hole(typed);
    if (!station_.grid.has(hole) || hole == at.first || hole == at.second)
      throw units::InputError("hole", typed, "another hole of the grid");
    o.from = hole;
  });
  const std::size_t side = talk_.choose("seen from " + at.first.name() + " to " + at.second.name() +
                                            ", the straightedge lies on their left or right",
                                        std::nullopt, {"left", "right"});
  o.side = side == 0 ? station::Side::left : station::Side::right;
  return row;
}

/// What the person chooses: a length, two compared, an offset, a check.
void SurveyTalk::other() {
  const std::size_t kind = talk_.choose("distance, compare, offset or check", std::nullopt,
                                        {"distance", "compare", "offset", "check"});
  shown_.clear();
  if (kind == 3) {
    talk_.ask("name of the check, such as " + units::inert(station_.name) + "/4", std::nullopt,
              [&](const std::string& typed) { take_check(typed, nullptr); });
    return;
  }
  ObservationRow row = kind == 0 ? ask_length() : kind == 1 ? ask_compare() : ask_offset();
  talk_.ask(asked_words(row.observation), std::nullopt,
            [&](const std::string& typed) { take(typed, row, std::nullopt); });
}

}  // namespace quarterturn::cli
