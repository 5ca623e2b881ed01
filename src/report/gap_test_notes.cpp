// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "report/amounts.hpp"
#include "report/gap_test_words.hpp"

namespace quarterturn::report {
namespace {

using Kind = GapTestShown::Kind;

constexpr const char* kFeelers =
    "- Feeler leaves are sharp: hold them by the case, no finger along an edge.\n";

const char* left_or_right(bool left) {
  return left ? "left" : "right";
}

std::string fence_words(const GapTestShown& shown) {
  return shown.before ? "the fence, away from you" : "the fence, towards you";
}

}  // namespace

std::string gap_test_spoken(const GapTestShown& shown) {
  const char* kept = left_or_right(shown.keep_left);
  const char* offcut = left_or_right(!shown.keep_left);
  const char* rail_now = left_or_right(shown.keep_left != shown.rail_over_kept);
  switch (shown.kind) {
    case Kind::pair:
      return fmt::format(
          "At {}: A on the {} with X up, B on the {} turned over about its cut edge with X down, the same "
          "long edge at the fence as in its cut. The fresh edges meet; the F ends lie at the fence, and the "
          "gap is drawn open there.\n",
          fence_words(shown), kept, offcut);
    case Kind::halves:
      return fmt::format(
          "At {}: A, the kept piece, on the {} with X up; B, the offcut, on the {} turned over about its "
          "long axis with X down, its other long edge at the fence. The fresh edges meet; the F end lies at "
          "the fence, and the gap is drawn open there.\n",
          fence_words(shown), kept, offcut);
    case Kind::frame:
      return fmt::format(
          "Each piece is cut twice with its {} edge at {}: first X up, then turned over end for end with X "
          "down, its first mitre on the {}. The {} pieces lie in a ring, all joints closed but the last; F "
          "is that joint's outer end, and the gap is drawn open there.\n",
          shown.outer_at_fence ? "outer" : "inner", fence_words(shown), kept, shown.pieces);
    case Kind::rail:
      break;
  }
  return fmt::format(
      "The rail, turned end for end, lies on the {} of the knife line with the same edge to the line. A gap "
      "at both ends: the kept edge comes out {}; a gap in the middle: {}.\n",
      rail_now, shown.rail_over_kept ? "crowned" : "hollow", shown.rail_over_kept ? "hollow" : "crowned");
}

std::string gap_test_cautions(const GapTestShown& shown) {
  const std::string size = size_text(kHeldByHandMm, shown.unit);
  std::string text = "- The saw maker's manual and local rules on guarding come first.\n";
  if (shown.kind == Kind::rail) {
    return text +
           "- Unplug the saw before you touch dogs or rail; blade stopped before you reach.\n- The knife "
           "cuts away from the hand that holds the rail; no hand in front of the blade.\n" +
           kFeelers;
  }
  text +=
      "- Unplug the saw before you touch dogs or rail, and before you fit pieces at the fence or on the "
      "worktop; blade stopped before you reach. Plug it in again only to cut.\n";
  if (shown.kind == Kind::frame) {
    text +=
        fmt::format("- Pieces under {} are not held by hand: clamp them, hands away from the cut.\n", size) +
        "- Mitre points are sharp. Short mitred pieces and wedges of offcut can bind or be thrown: never "
        "reach over.\n";
  } else {
    text += fmt::format("- Pieces under {} are not held by hand: clamp them, or take larger ones.{}\n", size,
                        shown.kind == Kind::halves ? " That holds for the offcut too." : "") +
            "- Narrow offcuts can bind or be thrown: support them, never reach over.\n";
  }
  return text + "- Fresh edges and their corners are sharp and splinter.\n" + kFeelers +
         "- Eye and hearing protection; dust extraction.\n";
}

std::string gap_test_blind(const GapTestShown& shown) {
  switch (shown.kind) {
    case Kind::pair:
      return "- It needs straight long edges: a bow of theirs reads as corner error.\n- It reads the corner "
             "itself. Strips read the corner and, where the rail is bowed, a share of its bow: the two may "
             "differ.\n- It reads the sum of both cuts: seating counts in each cut and again when the pieces "
             "are fitted.\n- A fence or bar that is not straight under both pieces reads as corner error.\n";
    case Kind::halves:
      return "- The taper of the board reads as corner error, unless a second one with the board turned end "
             "for end takes it out.\n- A symmetric bow of the board is never seen, not by the second one "
             "either.\n- There is one cut: its seating counts twice, and more seating comes in when the "
             "pieces are fitted.\n- A fence or bar that is not straight under both pieces reads as corner "
             "error.\n";
    case Kind::frame:
      return fmt::format(
          "- It reads only the sum of all {} mitres: one too large and one too small cancel.\n- It cannot "
          "tell which mitre is off, nor why: never use it to find a cause.\n- Mitres of two setups, left and "
          "right: only both together.\n- It needs straight edges at the fence: a bow reads as an error of "
          "the mitres.\n",
          2 * shown.pieces);
    case Kind::rail:
      break;
  }
  return "- An S shape cancels and is not seen.\n- It tells nothing of the corner, the dogs or the fence.\n- "
         "The gap is twice the bow, over the length that was read. A shorter cut takes less: half the "
         "length, a quarter of the bow.\n";
}

}  // namespace quarterturn::report
