// SPDX-License-Identifier: MIT
#include "check/finding.hpp"

#include <stdexcept>

namespace quarterturn::check {

const std::vector<FindingRow>& finding_rows() {
  static const std::vector<FindingRow> rows{
      // what a person may have done
      {"ends-swapped",
       "{where}: it mirrors the others, {taper_mm:F} where they are {others_mm:F}.|{where}: it mirrors what "
       "was "
       "expected of it, {taper_mm:F} where {expected_mm:F} was.",
       "Was F on its wrong end? If so, swap the two ends and check again.", true},
      {"correction-amiss",
       "The gap of the {joint$} is {is_mm:F} where {expected_mm:F} was expected: as if the last correction "
       "had "
       "no effect or went the wrong way.|The strip is {is_mm:F} where {expected_mm:F} was expected: as if "
       "the "
       "last correction had no effect or went the wrong way.",
       "Look at the dog, the face and the layers that were noted, and take out what is wrong.", true},
      {"turned-wrong-way", "{where}: it is {taper_mm:F} where the others are {others_mm:F}.",
       "Was the edge just cut put to the fence each time? A panel turned the other way shows the raw panel's "
       "corner.",
       true},
      {"face-turned", "The strips before and after cut {cut:0} disagree: {before_mm:F} against {after_mm:F}.",
       "Did the marked face stay up at every cut?", true},
      {"unusual-cut", "One cut does not fit the rest: {cuts$}, by {slip_mm} over 500 mm.",
       "A chip or burr at that seat: brush the fence dogs, break the edge, cut again.", true},
      {"torn-end",
       "{where}: this end spot is {off_mm} off the line of the others.|{where}: measured {position_mm} from "
       "the end.",
       "Read the {joint$} 20 mm in from its ends, where the saw has not torn the edge.|Measure 20 mm in from "
       "the ends, where the saw has not torn the edge."},
      {"inch-or-mm",
       "{where}: {value_mm} differs from the rest as inch from mm; it would be {other_mm}.|The widths are "
       "about {all_mm}; no strip is, but in the other unit they are {whole_mm}.",
       "Is the caliper on inch? Set the unit and measure again.", true},
      {"misread", "{where}: {value_mm} is no width of a strip of {other_mm}.",
       "A digit left out or a line slipped? Read it again.", true},
      {"tilted-jaw", "{where}: one reading, {value_mm}, is high by {off_mm}.",
       "A tilted jaw reads high, never low: measure again, take the smallest.", true},
      {"swapped-digits", "{where}: {value_mm} stands among {other_mm}.",
       "Two digits swapped? Meant {other_mm}?", true},
      {"unusual-reading", "{where}: {value_mm} is {off_mm} off the other readings of its spot.",
       "Measure that spot again. It has not been left out."},
      {"copied", "The repeats are equal at every spot, finer than this caliper repeats.",
       "Were they measured again, or copied? Lift the caliper off between readings."},
      {"thin-strip", "{where}: the strip is {width_mm} wide; it bends in the caliper.",
       "Cut strips 20-30 mm wide."},
      {"wrong-strip", "{where}: that strip has a raw edge.", "Keep the strip of the fifth cut."},
      {"length-not-apart", "The places measured are {apart_mm} apart, but the panel is {panel_mm}.",
       "Give the distance between the two places on the {joint$}, not the length of its edge.|Give the "
       "distance "
       "between the two measured places, not the strip's length.",
       true},
      {"places-close", "{where}: places only {apart_mm} apart.",
       "Is that the distance between the places read? Near both ends of the {joint$}'s joint tells most.|Is "
       "that the distance between the places measured? Near both ends of the strip tells most."},
      {"late",
       "The gap of a {joint$} was read on another day than it was cut.|The strips were measured on another "
       "day "
       "than they were cut.",
       "Sheet goods swell and pieces of a {joint$} move: read within the hour.|Sheet goods swell and strips "
       "cup: "
       "measure within the hour."},
      // what the lines show
      {"middle-off-line", "{where}: the middle lies {off_mm} off the line of the two ends.",
       "A strip does not bend that far: measure all three places again.", true},
      {"curved-strip", "The strips are curved: {bow_mm} over the measured length.",
       "Curved strips point at the panel moving in the cut: clamp it and repeat."},
      {"curved-joint", "The joints are curved: {bow_mm} over the measured length.",
       "That is twice the bow of the rail, or a panel that moved in the cut: try the rail end for end."},
      {"robust-differs",
       "A line that disregards single readings gives {robust_mm} over 600 mm, {off_mm} from this result.",
       "One or two readings carry the result: look at those named here first.", true},
      {"coarse-reading", "The readings step by {step_mm}; that is too coarse for this test.",
       "Read in hundredths of a millimetre or half thousandths of an inch."},
      // what cannot be seen
      {"seating-unseen",
       "Seating cannot be seen in one {joint$}{kind$}.|Seating cannot be seen in one strip{kind$}.",
       "A second {joint$} begins to show it.|Two more cuts on this panel begin to show it."},
      {"board-taper-unseen",
       "Whether the board's long edges are parallel cannot be seen: half of what they are out is in this "
       "result.",
       "Cut the same board once more, turned end for end, and give that joint the next number."},
      {"saw-marks-unseen",
       "Two places a {joint$} cannot show how rough the edges are{kind$}.|Two spots a strip cannot show saw "
       "marks{kind$}.",
       "Read the gap half way along the {joint$}'s joint too.|Measure a third spot, half way."},
      {"slips-not-seen", "A single slipped cut would not be seen in this test{kind$}.",
       "It takes ten cuts on one panel, or five panels."},
      {"log-not-used",
       "The log's seating was not used: today's {joint$}s scatter by {ratio:1} times as much.|The log's "
       "seating "
       "was not used: today's strips scatter by {ratio:1} times as much.",
       "Something about how the panel seats has changed."},
      // the table and the panel
      {"short-fence", "The fence dogs are {span_mm} apart; under 250 mm a speck of dust weighs too much.",
       "Use a wider pair."},
      {"panel-too-long", "The panel is {panel_mm}, but {room_mm} are free between near rail dog and fence.",
       "Use a smaller panel."},
      {"panel-leaves-outer-dog",
       "After the last cut the panel is {after_mm}; the outer fence dog stands {outer_mm} from the cut.",
       "Stop before the panel leaves the outer dog, or use a nearer pair."},
  };
  return rows;
}

const FindingRow& finding_row(std::string_view code) {
  for (const FindingRow& row : finding_rows()) {
    if (row.code == code) return row;
  }
  throw std::logic_error("a finding without a row: " + std::string(code));
}

}  // namespace quarterturn::check
