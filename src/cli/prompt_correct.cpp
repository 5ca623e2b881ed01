// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "app/settle_check.hpp"
#include "check/bow_effects.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

const Computed& Session::last() const {
  if (!last_) throw UsageError("there is no check yet. Hint: 'check' begins one, 'check FILE' reads one");
  return *last_;
}

/// What is to be done about a bowed rail.
constexpr const char* kBowNext =
    "  Leave the dogs. Hold a straightedge along the rail to find where it bends; straighten it or take a "
    "straight one. Then begin again at cut 1, same panel: 'check'.\n";

/// The bow in a corner of the panel, when where the fence dogs stand is known; and what to do about it.
void Session::say_rail(double h_mm) {
  const auto& outcome = last().outcome;
  const auto unit = talk_.options.unit;
  const auto& setup = outcome.station->setup(outcome.setup_name);
  const check::PanelSize panel = outcome.check.panel_size.value_or(
      check::PanelSize{.width_mm = outcome.panel_mm, .depth_mm = outcome.panel_mm, .thickness_mm = {}});
  const auto place = check::bow_place(*outcome.station, setup, panel, outcome.check.strips.back().to_cut);
  const auto rail = outcome.station->rails.find(setup.rail_name);
  check::Bow tested;
  tested.h_mm = h_mm;
  tested.unknown = check::kReadingUnseen;  // one gap by feeler
  std::optional<check::BowEffects> effects;
  if (place) {
    tested.over_mm = rail == outcome.station->rails.end() ? place->length_mm : rail->second.length.mm();
    effects = check::bow_effects(check::kept_edge_bow(tested, *place), *place);
  }
  if (!effects || !effects->b) {
    talk_.say(report::finished(
        std::string("  The rail is bowed; what that does to this setup is not known.\n") + kBowNext,
        talk_.options));
    return;
  }
  const double h = effects->over_cut.h_mm, b = effects->b->rad;
  const std::string over_cut =
      std::fabs(std::fabs(h) - std::fabs(h_mm)) < 0.0005
          ? ""
          : fmt::format(", {} over a cut of {}", report::length_text(std::fabs(h), unit, 3),
                        report::size_text(place->length_mm, unit));
  const double eta = outcome.fit.eta.x - b;
  const std::string angle = report::nominal_words(outcome);
  talk_.say(report::finished(
      fmt::format(
          "  The rail is bowed by {}{}. The bow alone makes the strips read {} {} {} {}, which moving a "
          "dog cannot mend.\n"
          "  For panels with a straight reference edge the corner is {} {} by {}.\n",
          report::length_text(std::fabs(h_mm), unit, 3), over_cut,
          report::length_text(std::fabs(b) * outcome.panel_mm, unit), report::side_word(b), angle,
          "(" + report::over_words(outcome, talk_.options) + ")", report::side_word(eta), angle,
          report::length_text(std::fabs(eta) * outcome.panel_mm, unit)) +
          kBowNext,
      talk_.options));
}

void Session::why() {
  const auto& computed = last();
  talk_.say(report::why_text(computed.outcome, talk_.options));
  if (!computed.rail_mm) return;
  if (*computed.rail_mm == 0)
    talk_.say("The rail was tried end for end: it is straight.\n");
  else
    say_rail(*computed.rail_mm);
}

double Session::ask_gap() {
  double gap_mm = 0;
  talk_.ask(std::string("widest gap by feeler in ") +
                (talk_.options.unit == units::Unit::inch ? "inches" : "mm") + ", 0 = none",
            std::nullopt, [&](const std::string& typed) {
              if (typed.empty()) {
                throw units::InputError("gap", std::string(units::kMissing),
                                        "the thickest feeler that goes in, or 0 when none does");
              }
              const double given = units::parse_length(typed, "gap", talk_.options.unit).mm();
              if (!(given >= 0 && given <= 5)) throw units::InputError("gap", typed, "from 0 to 5 mm");
              gap_mm = given;
            });
  return gap_mm;
}

/// The sagitta h [mm] of the rail's edge, by the rail turned end for end; positive: crowned.
double Session::ask_bow() {
  for (;;) {
    try {
      const double gap_mm = ask_gap();
      if (gap_mm == 0) return 0;
      try {
        // The gap is the bow twice; open in the middle: a hollow edge.
        return talk_.choose("is it widest in the middle (m) or at the ends (e)", std::nullopt,
                            {"middle", "ends"}) == 0
                   ? -gap_mm / 2
                   : gap_mm / 2;
      } catch (const Back&) {
        // Back to the gap.
      }
    } catch (const Back&) {
      talk_.say("  Nothing to take back.\n");
    }
  }
}

/// True: the dogs may be moved.
bool Session::ask_rail() {
  for (;;) {
    const double h_mm = ask_bow();
    last_->rail_mm = h_mm;
    if (h_mm == 0) {
      talk_.say("  Rail straight: the correction is safe.\n");
      return true;
    }
    say_rail(h_mm);
    try {
      if (talk_.yes("Correct the dogs all the same?", false)) return true;
      talk_.say("  The dogs stay where they are.\n");
      return false;
    } catch (const Back&) {
      // Back to the gap.
    }
  }
}

void Session::note_done(std::size_t move, bool already_told) {
  const auto& outcome = last().outcome;
  if (move < outcome.expected.size() && outcome.expected[move]) {
    const auto& strip = outcome.check.strips.back();
    moved_ = correct::PendingMove{*outcome.expected[move],
                                  strip.spots.back().position_mm - strip.spots.front().position_mm};
  } else {
    moved_.reset();
  }
  last_->edges_old = true;
  keep_done(move);
  talk_.say("  Noted. All four edges are now old: begin again at cut 1, same panel.\n");
  if (already_told) return;
  const std::string expect = report::expect_text(outcome, move, talk_.options);
  if (!expect.empty()) talk_.say(report::finished("  " + expect + "\n", talk_.options));
}

/// False: the person goes back to the question whether it was done.
bool Session::ask_what_was_done(std::size_t move) {
  switch (talk_.choose("done / differently / later", std::nullopt, {"done", "differently", "later"})) {
    case 0:
      note_done(move, true);
      return true;
    case 1:
      break;
    default:
      throw Leave{Leave::Why::later};
  }
  const auto ways = static_cast<int>(last().outcome.advice->moves.size());
  talk_.say(report::ways_text(last().outcome, talk_.options));
  try {
    int way = 0;
    talk_.ask("number of the way you took, 0 = none of these", std::nullopt, [&](const std::string& number) {
      way = units::parse_whole(number, "number of the way", 0, ways);
    });
    note_done(static_cast<std::size_t>(way == 0 ? ways : way - 1), false);
    return true;
  } catch (const Back&) {
    return false;
  }
}

/// \throws Back
void Session::ask_done(std::size_t move) {
  while (!ask_what_was_done(move)) {
  }
}

void Session::correct_now() {
  const auto& outcome = last().outcome;
  if (!outcome.advice || outcome.advice->moves.empty()) {
    talk_.say(report::correction_text(outcome, 0, talk_.options));
    return;
  }
  if (outcome.advice->decision.correct != correct::Correct::yes || outcome.advice->decision.find_first) {
    talk_.say(report::finished(
        report::to_do_text(outcome, talk_.options, app::what_settles(last().request, outcome)) +
            "'ways' shows what moving each dog would do.\n",
        talk_.options));
    return;
  }
  const bool try_rail = outcome.advice->ask_rail_straight && outcome.station;
  if (try_rail) talk_.say(report::rail_first_text(talk_.options));
  for (bool shown = false;;) {
    if (try_rail && !ask_rail()) return;
    const std::size_t advised = report::advised_move(outcome);
    if (advised >= outcome.advice->moves.size()) {
      talk_.say(report::to_do_text(outcome, talk_.options, app::what_settles(last().request, outcome)));
      return;
    }
    if (!shown) talk_.say(report::correction_text(outcome, advised, talk_.options, try_rail));
    shown = true;
    try {
      ask_done(advised);
      return;
    } catch (const Back&) {
      if (!try_rail) talk_.say("  Nothing to take back.\n");
    }
  }
}

}  // namespace quarterturn::cli
