// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "check/bow.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

const Computed& Session::last() const {
  if (!last_) throw UsageError("there is no check yet. Hint: 'check' begins one, 'check FILE' reads one");
  return *last_;
}

/// The bow in a corner of the panel, when where the fence dogs stand is known.
void Session::say_rail(double h_mm) {
  const auto& outcome = last().outcome;
  const auto unit = talk_.options.unit;
  if (h_mm == 0) {
    talk_.say("  Rail straight: the correction is safe.\n");
    return;
  }
  const auto& setup = outcome.station->setup(outcome.setup_name);
  const auto room = station::room_of(*outcome.station, setup);
  if (!room) {
    talk_.say(
        "  The rail is bowed; what that does to this setup is not known. Straighten or replace it first.\n");
    return;
  }
  const double length = outcome.check.panel_size ? outcome.check.panel_size->depth_mm : outcome.panel_mm;
  const auto rail = outcome.station->rails.find(setup.rail_name);
  // The cut runs along the rail's other edge, its width further off, when the panel lies on that side.
  const double width = rail == outcome.station->rails.end() ? 0 : rail->second.width.mm();
  const bool under_rail = (setup.keep == station::Side::left) == (setup.rail_on_face == station::Side::right);
  const double add = under_rail ? width : 0;
  const double tested = rail == outcome.station->rails.end() ? length : rail->second.length.mm();
  const double h = check::bow_over(h_mm, tested, length);
  const double b = check::bow_bias(h, length, room->fence_inner_mm + add, room->fence_outer_mm + add);
  talk_.say(report::finished(
      fmt::format("  The rail is bowed by {}, {} over a cut of {}. Strips then show {} {} {} the angle by "
                  "the bow alone, which moving "
                  "a dog cannot mend.\n",
                  report::length_text(std::fabs(h_mm), unit, 3), report::length_text(std::fabs(h), unit, 3),
                  report::size_text(length, unit), report::length_text(std::fabs(b) * outcome.panel_mm, unit),
                  report::over_words(outcome, talk_.options), report::side_word(b)),
      talk_.options));
  const double eta = outcome.fit.eta.x - b;
  talk_.say(report::finished(
      fmt::format("  For panels with a straight reference edge the corner is {} by {}.\n",
                  report::side_word(eta), report::length_text(std::fabs(eta) * outcome.panel_mm, unit)),
      talk_.options));
}

/// The sagitta h [mm] by the rail turned end for end; positive: the kept edge comes out crowned.
double Session::ask_rail(double& gap_mm) {
  talk_.say(report::rail_first_text(talk_.options));
  talk_.ask(std::string("widest gap by feeler in ") +
                (talk_.options.unit == units::Unit::inch ? "inches" : "mm") + ", 0 = none",
            std::nullopt, [&](const std::string& typed) {
              const double given = units::parse_length(typed, "gap", talk_.options.unit).mm();
              if (!(given >= 0 && given <= 5)) throw units::InputError("gap", typed, "from 0 to 5 mm");
              gap_mm = given;
            });
  if (gap_mm == 0) return 0;
  bool middle = false;
  talk_.ask("is it widest in the middle (m) or at the ends (e)", std::nullopt, [&](const std::string& typed) {
    if (typed != "m" && typed != "e")
      throw UsageError("the answer is '" + units::inert(typed) + "', but must be m or e.");
    middle = typed == "m";
  });
  // The gap is the bow twice; open in the middle: a hollow edge.
  return middle ? -gap_mm / 2 : gap_mm / 2;
}

void Session::note_done(std::size_t move, bool already_told) {
  const auto& outcome = last().outcome;
  if (move < outcome.expected.size() && outcome.expected[move]) {
    const auto& strip = outcome.check.strips.back();
    moved_ = Moved{*outcome.expected[move], strip.spots.back().position_mm - strip.spots.front().position_mm};
  } else {
    moved_.reset();
  }
  last_->edges_old = true;
  talk_.say("  Noted. All four edges are now old: begin again at cut 1, same panel.\n");
  if (already_told) return;
  const std::string expect = report::expect_text(outcome, move, talk_.options);
  if (!expect.empty()) talk_.say(report::finished("  " + expect + "\n", talk_.options));
}

void Session::ask_done(std::size_t move) {
  const auto& moves = last().outcome.advice->moves;
  talk_.ask("done / differently / later", std::nullopt, [&](const std::string& typed) {
    if (typed == "done") {
      note_done(move, true);
    } else if (typed == "differently") {
      talk_.say(report::ways_text(last().outcome, talk_.options));
      talk_.ask("number of the way you took, 0 = none of these", std::nullopt,
                [&](const std::string& number) {
                  const int way =
                      units::parse_whole(number, "number of the way", 0, static_cast<int>(moves.size()));
                  note_done(way == 0 ? moves.size() : static_cast<std::size_t>(way) - 1, false);
                });
    } else {
      throw UsageError("the answer is '" + units::inert(typed) +
                       "', but must be done, differently or later.");
    }
  });
}

void Session::correct_now() {
  const auto& outcome = last().outcome;
  if (!outcome.advice || outcome.advice->moves.empty()) {
    talk_.say(report::correction_text(outcome, 0, talk_.options));
    return;
  }
  if (outcome.advice->decision.correct == correct::Correct::no || outcome.advice->decision.find_first) {
    talk_.say(report::finished(
        report::to_do_text(outcome, talk_.options) + "'ways' shows what moving each dog would do.\n",
        talk_.options));
    return;
  }
  if (outcome.advice->ask_rail_straight && outcome.station) {
    double gap_mm = 0;
    const double h_mm = ask_rail(gap_mm);
    say_rail(h_mm);
    if (h_mm != 0 && !talk_.yes("Correct the dogs all the same?", false)) return;
  }
  const std::size_t advised = report::advised_move(outcome);
  if (advised >= outcome.advice->moves.size()) {
    talk_.say(report::to_do_text(outcome, talk_.options));
    return;
  }
  talk_.say(report::correction_text(outcome, advised, talk_.options));
  ask_done(advised);
}

}  // namespace quarterturn::cli
