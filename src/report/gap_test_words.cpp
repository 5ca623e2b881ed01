// SPDX-License-Identifier: MIT
#include "report/gap_test_words.hpp"

#include <fmt/format.h>

#include "check/test_cost.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

using Kind = GapTestShown::Kind;
using Steps = std::vector<std::string>;

constexpr const char* kUnplug = "Unplug the saw; blade stopped before you reach.";
constexpr const char* kRailOff =
    "Unplug the saw; blade stopped before you reach. Lift the rail off, its dogs stay.";

/// Where a thing lies for the person who stands at the station.
struct Sides {
  const char *kept, *offcut, *fence;
};
Sides sides_of(const GapTestShown& shown) {
  return {shown.keep_left ? "left" : "right", shown.keep_left ? "right" : "left",
          shown.before ? "away from you" : "towards you"};
}

/// The places are the strips': clear of where the saw tears.
void add_gap_steps(Steps& steps, const GapTestShown& shown, const char* other_end) {
  steps.push_back(
      fmt::format("Read the gap at three places: {0} from the F end, the middle, {0} from the {1}. Note how "
                  "far from F each one is.",
                  size_text(check::kFromEndMm, shown.unit), other_end));
  steps.push_back(
      "Reading: the thickest feeler that enters, from above, without force, equally deep each time. 0 where "
      "it is closed: not even the thinnest enters.");
}

/// Both tests with two pieces are made ready, and fitted, alike.
void add_ready_steps(Steps& steps) {
  steps.push_back(kRailOff);
  steps.push_back(
      "Each piece must touch the fence at two places. Fence too short for both? Lay a straight bar against "
      "it, both pieces against the bar.");
  steps.push_back("Knock off the fuzz, wipe the fresh edges and the fence. Lay A as it was cut: X up.");
}
void add_fit_steps(Steps& steps, const GapTestShown& shown) {
  steps.push_back(
      "Push A and B to the fence. Slide B along it until the fresh edges touch. Never squeeze a gap shut.");
  add_gap_steps(steps, shown, "other end");
}

Steps pair_steps(const GapTestShown& shown) {
  const Sides sides = sides_of(shown);
  Steps steps{
      fmt::format("Two panels, each with one straight long edge, long enough to keep over {}. X on both top "
                  "faces, beside it A on one, B on the other.",
                  size_text(kHeldByHandMm, shown.unit)),
      fmt::format("Panel A: X up, straight edge to the fence. BEFORE the cut write F on the part you keep "
                  "({}): near the cut, at the fence ({}).",
                  sides.kept, sides.fence),
      "Cut A. Then panel B just the same: X up, straight edge to the fence, F, cut.",
  };
  add_ready_steps(steps);
  steps.push_back(fmt::format(
      "Turn B over about its cut edge, like a page: X down. It now lies on the {} of A.", sides.offcut));
  steps.push_back(
      "B has the same long edge at the fence as in its cut. Both F ends meet at the fence; the F of B is "
      "underneath.");
  add_fit_steps(steps, shown);
  return steps;
}

Steps halves_steps(const GapTestShown& shown) {
  const Sides sides = sides_of(shown);
  Steps steps{
      fmt::format("One board, both long edges straight, long enough for two pieces over {} (three for the "
                  "last step). X on the top face.",
                  size_text(kHeldByHandMm, shown.unit)),
      fmt::format("X up, a long edge to the fence. Write A on the part you keep ({}), B on the offcut ({}).",
                  sides.kept, sides.offcut),
      fmt::format("BEFORE the cut write F on A: near the cut, at the fence ({}). Cut once.", sides.fence),
  };
  add_ready_steps(steps);
  steps.push_back(fmt::format(
      "Turn B, not A, over about its long axis: X down. It stays on the {}, its fresh edge still faces A.",
      sides.offcut));
  steps.push_back("B has its OTHER long edge at the fence now, A the same one as in the cut.");
  add_fit_steps(steps, shown);
  steps.push_back(
      fmt::format("Better, {} and {} cuts in all: a second one with the board turned end for end. Rail back "
                  "against both its dogs. Take the longer piece, old letters struck out, X up: the end that "
                  "lay {} now lies {}, the other long edge at the fence. Again from step 2.",
                  minutes_text(2 * kMinutesHalves), 2 * kCutsHalves, sides.kept, sides.offcut));
  return steps;
}

/// `45°`, `64.29°`
std::string mitre_text(double degrees) {
  std::string text = fixed(degrees, 2);
  while (text.ends_with('0')) text.pop_back();
  if (text.ends_with('.')) text.pop_back();
  return text + "°";
}

Steps frame_steps(const GapTestShown& shown) {
  const Sides sides = sides_of(shown);
  const double acute = 90.0 - 180.0 / shown.pieces;
  const char* at_fence = shown.outer_at_fence ? "OUT at the fence" : "OUT away from the fence";
  Steps steps{
      fmt::format(
          "{} pieces alike, over {} when done, each with one straight long edge. X on every top face.",
          shown.pieces, size_text(kHeldByHandMm, shown.unit)),
      shown.outer_at_fence
          ? "Write OUT along each straight edge: the outside of the frame."
          : "The straight edge is the inside of the frame. Write OUT along the edge across from it.",
      fmt::format(
          "First end of every piece: X up, {}. You keep the part on the {}; its corner at the fence is {}.",
          at_fence, sides.kept, mitre_text(shown.outer_at_fence ? acute : 180.0 - acute)),
      fmt::format("Other end of every piece: turn it over end for end, X down, again {}. The first mitre now "
                  "lies on the {}. Cut all to one length; a stop must not push them off the fence.",
                  at_fence, sides.kept),
      "Each end has a cut of its own: no offcut becomes a piece.",
      kUnplug,
      "Knock off the fuzz. Lay the ring on something flat, clear of dogs: X up, OUT outside.",
      "Close the joints one after the other, tape across each. Leave the last one free.",
      "Push the last joint together until it touches. Never squeeze a gap shut.",
      "Write F at the last joint's OUTER end.",
  };
  add_gap_steps(steps, shown, "inner end");
  return steps;
}

Steps rail_steps(const GapTestShown& shown) {
  const bool left = shown.keep_left == shown.rail_over_kept;
  const char *first = left ? "left" : "right", *then = left ? "right" : "left";
  return {
      kRailOff,
      fmt::format("Lay the rail on a flat scrap panel as long as the rail, as it lies in the cut: on the {} "
                  "of the edge the saw cuts along.",
                  first),
      "Write 1 on its end near you, 2 on its far end. Clamp it, do not bend it.",
      "Draw a knife line along that edge, end to end. Knife straight up and down, light strokes.",
      fmt::format("Turn the rail end for end, flat, never upside down: 1 is far, 2 is near. It now lies on "
                  "the {} of the line, the same edge to the line.",
                  then),
      "Push it to the line: it touches, and covers the line nowhere. If it rocks, the same gap at both ends.",
      fmt::format("Read the gap between edge and line at three places: {0} from both ends, and the middle. "
                  "Note how far from the near end each one is.",
                  size_text(check::kFromEndMm, shown.unit)),
      // NOLINTNEXTLINE(bugprone-suspicious-missing-comma): one line that is long
      "Reading: the thickest feeler that enters. Stand the leaf on edge against the rail: it must not cover "
      "the line. 0 where it is closed: not even the thinnest enters.",
      "Put the rail back against both its dogs the way it was: 1 near you.",
  };
}

std::string name_of(const GapTestShown& shown) {
  switch (shown.kind) {
    case Kind::pair:
      return "Turn-over, pair";
    case Kind::halves:
      return "Turn-over, halves";
    case Kind::frame:
      return fmt::format("Frame, {} pieces", shown.pieces);
    case Kind::rail:
      break;
  }
  return "Rail, end for end";
}

}  // namespace

const std::array<GapPlace, 3>& gap_places(GapTestShown::Kind kind) {
  static constexpr std::array<GapPlace, 3> kJoint{{{"F end", true}, {"free end", true}, {"middle", false}}},
      kRing{{{"outer end (F)", true}, {"inner end", true}, {"middle", false}}},
      kRail{{{"near end", true}, {"middle", true}, {"far end", true}}};
  if (kind == Kind::rail) return kRail;
  return kind == Kind::frame ? kRing : kJoint;
}

std::vector<std::string> gap_test_step_lines(const GapTestShown& shown) {
  switch (shown.kind) {
    case Kind::pair:
      return pair_steps(shown);
    case Kind::halves:
      return halves_steps(shown);
    case Kind::frame:
      return frame_steps(shown);
    case Kind::rail:
      break;
  }
  return rail_steps(shown);
}

int gap_test_minutes(const GapTestShown& shown) {
  switch (shown.kind) {
    case Kind::pair:
      return kMinutesPair;
    case Kind::halves:
      return kMinutesHalves;
    case Kind::frame:
      return (kMinutesFrameOfFour * shown.pieces + 3) / 4;
    case Kind::rail:
      break;
  }
  return kMinutesRail;
}

int gap_test_cuts(const GapTestShown& shown) {
  switch (shown.kind) {
    case Kind::pair:
      return kCutsPair;
    case Kind::halves:
      return kCutsHalves;
    case Kind::frame:
      return kCutsFramePiece * shown.pieces;
    case Kind::rail:
      break;
  }
  return 0;
}

std::string gap_test_heading(const GapTestShown& shown) {
  const int cuts = gap_test_cuts(shown);
  return fmt::format("{}: {}, about {}.", name_of(shown),
                     cuts == 0 ? "no cut" : fmt::format("{} cut{}", cuts, cuts == 1 ? "" : "s"),
                     minutes_text(gap_test_minutes(shown)));
}

std::string gap_test_steps(const GapTestShown& shown, const TextOptions& options) {
  std::string text = gap_test_heading(shown) + "\n";
  int number = 0;
  for (const auto& step : gap_test_step_lines(shown)) text += fmt::format("{:>2}  {}\n", ++number, step);
  return finished(text, options);
}

}  // namespace quarterturn::report
