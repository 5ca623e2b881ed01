// SPDX-License-Identifier: MIT
#include "report/check_page.hpp"

namespace quarterturn::report {
namespace {

const char* observed(const check::Check& check) {
  switch (check.test) {
    case check::TestKind::turn_over:
      return check.form == check::Form::pair ? "Of two pieces cut alike one is turned over and both are "
                                               "butted: the gap at the joint opens "
                                               "by twice the corner error (M95). "
                                             : "Of the two parts of one cut one is turned over and both are "
                                               "butted: the gap opens by twice "
                                               "the corner error and by the board's own taper, which goes "
                                               "out when the board is turned end "
                                               "for end as a second joint (M96). ";
    case check::TestKind::frame:
      return "Pieces mitred at both ends are laid to a ring: the gap at the last joint sums the errors of "
             "all "
             "mitres (M97). ";
    default:
      return "The panel is turned a quarter after each cut, so an error of the corner adds up: the strip "
             "between "
             "two cuts four turns apart tapers by four times the corner error (M7). ";
  }
}

}  // namespace

std::string check_method_text(const check::Check& check) {
  if (check.test == check::TestKind::rail) {
    return "A knife line is drawn along the rail, the rail is turned end for end, the same edge to the line: "
           "the "
           "gap is twice the bow of the edge. The bow is fitted to the gaps with its ± (M98); what it does "
           "to "
           "the corner and to strips in this setup follows from where rail and fence stand (M6), (M99). It "
           "counts in lengths to the square, and an S shape cancels.\n";
  }
  std::string text = observed(check);
  text += check.gaps()
              ? "The slope of each joint is that of a weighted line through its places (M11). "
              : "The taper of each strip is the slope of a weighted line through the means of its places "
                "(M11); over the distance of the places it is the difference of the ends. ";
  text +=
      "Three things scatter: a reading at one place, the edges from place to place, and how the panel seats "
      "from "
      "cut to cut (M9), (M14). Their variances are estimated together by restricted likelihood (M20), with "
      "what "
      "is stated of the caliper (M17), with earlier checks of the log (M18), and where nothing tells how the "
      "panel seats with a usual size, which is then said to be assumed (M19).\n"
      "The corner error is the mean of the slopes by generalised least squares (M13). Its ± is Student's "
      "interval on counted degrees of freedom (M25), (M26); panels that stand for themselves (M27) and "
      "variances "
      "known on few degrees of freedom (M28) have rules of their own. The budget lists what the ± is made of "
      "(M84), (M85).\n"
      "Within is said when the corner lies inside the tolerance with a chance of 95 % or more, outside at 5 "
      "% or "
      "less (M37), (M39). Readings and corners that do not fit are tested for (M31)–(M36). Whether a move "
      "pays "
      "is weighed with what was believed before (M40)–(M43); moves and shims follow from the lines that "
      "touch "
      "the dogs (M4), (M44), and what the next strip should read from the move (M48).\n"
      "The equations stand under these numbers in METHOD.md, which comes with the program.\n";
  return text;
}

std::string record_method_text() {
  return "Checks count by the ± they were told with; those that could not see how the panel seats are "
         "widened by "
         "the usual size (M19). A record is cut where something changed how the setup stands (M68). Whether "
         "the "
         "checks of a series are alike is Cochran's test (M54); what lies between them beyond their ± is "
         "estimated by restricted likelihood (M55), (M57). A drift is a line through them (M58), (M59), a "
         "step is "
         "sought at every place and counted for all that were tried (M63), (M64), (M70), and which of the "
         "two is "
         "named goes by their likelihoods (M67), (M71). A chart watches for checks that lie apart "
         "(M60)–(M62). "
         "What lies around an event is compared (M72). The next check is due by the usual interval, by what "
         "happened, or by when a panel would leave the tolerance (M75); the last good one is (M76).\n"
         "The equations stand under these numbers in METHOD.md, which comes with the program.\n";
}

}  // namespace quarterturn::report
