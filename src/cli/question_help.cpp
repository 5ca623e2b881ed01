// SPDX-License-Identifier: MIT
#include "cli/question_help.hpp"

#include <string_view>

namespace quarterturn::cli {
namespace {

struct Row {
  std::string_view words;  ///< that stand in the question
  const char* mm;
  const char* inch;  ///< nullptr: the same
};

// The first whose words stand in a question is its own: what is rarer comes first.
constexpr Row kRows[] = {
    // a check
    {"or redo",
     "That reading does not fit the others, the reason stands above. keep N: it was read right and counts. "
     "redo N: "
     "measure there again.",
     nullptr},
    {"measure the middle again",
     "A straight edge has its middle on the line between its ends, and this one has not. yes: measure it "
     "again; no: it "
     "is so, and counts.",
     nullptr},
    {"between the two measured places",
     "How far apart the caliper stood along the strip, from the place at F to the place at the free end: not "
     "the "
     "strip's length. Such as 525.",
     "How far apart the caliper stood along the strip, from the place at F to the place at the free end: not "
     "the "
     "strip's length. Such as 20.7, or 20 11/16."},
    {"F at the fence in",
     "Did the end marked F lie at the fence in that cut, and was X up in all of them? The answer gets its "
     "sign from it: "
     "with F on the wrong end everything is the other way round.",
     nullptr},
    {"s = F was on the other end",
     "s: the ends were mixed up, and are put right now. x: a panel was turned over or nobody knows; then the "
     "strip "
     "tells nothing. undo: back.",
     nullptr},
    {"How big is the panel",
     "Along the fence, then along the cut, as it lies before the first cut: 600 x 600. It tells how small it "
     "gets, and "
     "what the test can see.",
     "Along the fence, then along the cut, as it lies before the first cut: 24 x 24. It tells how small it "
     "gets, and "
     "what the test can see."},
    {"Go on with this panel all the same",
     "It is said above why another one would do better. yes goes on with it.", nullptr},
    {"which setup", "One of the rail and fence positions that you described.", nullptr},
    {"untouched",
     "Strips go on from edges that were cut before. If the panel was trimmed or anything at the table moved "
     "since then, "
     "a new check is surer: no.",
     nullptr},
    {"gap, F end",
     "The gap of the two cut edges near F: the thickest feeler that enters without force, 0 = closed.",
     nullptr},
    {"gap, free end",
     "The gap near the end away from F: the thickest feeler that enters without force, 0 = closed.", nullptr},
    {"(skip: it is gone)",
     "The old strip, measured again with the caliper of today. skip: it is not there any more.", nullptr},
    {"read it again and type that, or keep",
     "It lies off what the others make it. Measure it again and type what it reads, or keep: it was read "
     "right.",
     nullptr},
    {"again",
     "That place is measured once more; the new reading takes the place of the old one. undo: leave it.",
     nullptr},
    {"F end", "The strip's width near the end marked F: the caliper's reading there, such as 22.74.",
     "The strip's width near the end marked F: the caliper's reading there, such as 0.895."},
    {"free end",
     "The strip's width near the end that is not marked: the caliper's reading there, such as 22.14.",
     "The strip's width near the end that is not marked: the caliper's reading there, such as 0.872."},
    // gaps
    {"outer end",
     "The gap of the last joint near its outer end: the thickest feeler that enters, 0 where none does.",
     nullptr},
    {"inner end",
     "The gap of the last joint near its inner end: the thickest feeler that enters, 0 where none does.",
     nullptr},
    {"near end",
     "The gap between rail and line near the end close to you: the thickest feeler that enters, 0 = closed.",
     nullptr},
    {"far end",
     "The gap between rail and line near the far end: the thickest feeler that enters, 0 = closed.", nullptr},
    {"gap, middle", "The gap half way: the thickest feeler that enters, 0 = closed. skip: not measured.",
     nullptr},
    {"middle", "Half way between the ends. It shows a slip or a bent edge; skip, or Enter, leaves it out.",
     nullptr},
    {"another pair",
     "yes: two more panels are cut and read; they show how evenly panels seat. no: the answer now.", nullptr},
    {"the same board turned end for end",
     "yes: cut it once more the other way round, which takes out the board's own taper. no: the answer now.",
     nullptr},
    {"pair: two panels; halves",
     "pair: two panels alike, one turned over. halves: one board cut once, least wood.", nullptr},
    {"number of pieces of the frame", "4 for a rectangle cut at 45 degrees; the mitre has to fit the setup.",
     nullptr},
    {"How big is", "Along the fence, then along the cut: 700 x 520. skip: not measured.",
     "Along the fence, then along the cut: 28 x 20. skip: not measured."},
    // the rail before a correction
    {"widest gap by feeler",
     "Lay the rail on a straight line or edge, find the widest gap: the thickest feeler that enters, 0 if "
     "none does. "
     "skip: not tried, the correction then says so.",
     nullptr},
    {"how long is the rail", "From end to end: 1400. skip: not measured.",
     "From end to end: 55. skip: not measured."},
    {"widest in the middle", "m: the gap is in the middle, e: the ends stand off.", nullptr},
    {"Correct the dogs all the same", "It is said above why to wait. yes shows the correction.", nullptr},
    {"done / differently / later",
     "done: you did what is advised. differently: you moved something else, or otherwise; it asks which. "
     "later: "
     "nothing was moved yet.",
     nullptr},
    {"number of the way you took", "As 'ways' numbers them; 0: none of these, then describe it in a note.",
     nullptr},
    {"Right?", "Whether that is what you did. undo: it stays as it was noted.", nullptr},
    // a new station
    {"name of the check", "As 'log list' shows it: dock/4.", nullptr},
    {"file to keep it in", "A name for the file; it is written after every answer.", nullptr},
    {"name", "What you call this station, one word: dock. Readings, reports and the log know it by that.",
     nullptr},
    {"hole spacing", "From the middle of one dog hole to the middle of the next: 96.",
     "From the middle of one dog hole to the middle of the next: 3.78, or 96 mm."},
    {"hole diameter", "Of the drilled holes, as the drill: 20.", "Of the drilled holes, as the drill: 3/4."},
    {"columns, rows", "How many holes from left to right, then away from you: 9 11.", nullptr},
    {"rail dogs, the near one",
     "The hole of the tall dog close to you that the rail rests on. Columns are letters to your right, rows "
     "numbers "
     "away from you: E2.",
     nullptr},
    {"the far one", "The hole of the other tall dog of the rail, away from you: E10.", nullptr},
    {"fence dogs, the left one", "The hole of the left dog that the panel or fence lies against: A9.",
     nullptr},
    {"the right one", "The hole of the right dog that the panel or fence lies against: D9.", nullptr},
    {"left or right face",
     "On which face of its two dogs does the rail lie, as you stand? It decides which way a shim "
     "pushes it.",
     nullptr},
    {"panel on your side of the fence",
     "mine: it lies between you and the fence. beyond: on the far side of it.", nullptr},
    {"you keep the part left or right",
     "Which part of the panel is the good one, as you stand; the other is the offcut.", nullptr},
    {"screwed, pushed or wedged", "How the dogs are held in their holes: it tells how much they may play.",
     nullptr},
    {"square within", "What is square enough for your work: 0.10 mm over 600 mm, or 0.01 deg.",
     "What is square enough for your work: 0.004 in over 24 in, or 0.01 deg."},
    {"caliper reads", "How far the caliper opens: 150 mm. Distances beyond it are not asked for.",
     "How far the caliper opens: 6. Distances beyond it are not asked for."},
    {"caliper", "Its class: Tab lists them, 'caliper' at the prompt tells of each. digital reads to 0.01 mm.",
     nullptr},
    {"shims you own",
     "What you can lay between dog and rail: a name, layers, the thickness in all. none is an answer.",
     nullptr},
    {"which [", "The station to work at, by its name.", nullptr},
    // a survey
    {"the two dogs you carry",
     "The two dogs that go from hole to hole, as the station names them: low-1 low-2.", nullptr},
    {"Does it read between them too",
     "Whether the caliper has jaws for inside measures that reach between two dogs.", nullptr},
    {"what is wanted: the table", "table: where all holes lie. A setup: only what tells its corner.",
     nullptr},
    {"by a stick and feelers",
     "Distances alone leave the table's own corner open. stick: two diagonals compared by one stick; checks: "
     "cuts that "
     "were kept; none: only distances.",
     nullptr},
    {"how many distances", "More take longer and tell more; Enter takes what is wanted for this table.",
     nullptr},
    {"distance, compare, offset or check",
     "distance: between two dogs; compare: two lengths by one stick; offset: a gap at a straightedge; check: "
     "one that "
     "was kept.",
     nullptr},
    {"over the dogs, between them", "over: outer sides; between: inner sides; centre: from middle to middle.",
     nullptr},
    {"straightedge lies on their left or right", "As you look from the first hole to the second.", nullptr},
    {"gap to the dog in which hole", "The dog between the two that the straightedge touches, such as C6.",
     nullptr},
    {"other, undo, redo, so far, or done",
     "All that was planned is measured: done shows what it tells; other adds one.", nullptr},
    {" over, ",
     "The largest reading over both dogs while you swing the caliper a little. skip: not to be had.",
     nullptr},
    {" minus ",
     "Both lengths by one stick or tape: the first less the second, with feelers or the caliper; may be "
     "negative.",
     nullptr},
    {"gap at ", "The gap between straightedge and dog: the thickest feeler that enters, 0 where it touches.",
     nullptr},
    {" between, ",
     "The smallest reading between both dogs while you swing the caliper a little. skip: not to be had.",
     nullptr},
    {"holes", "Two holes of the grid, such as C4 D4.", nullptr},
    // what went wrong
    {"yes, no, skip",
     "Do what is asked, then say what it showed. skip: not tried; another test is asked for.", nullptr},
    {"[not measured]", "How much it was, where you could measure it; Enter: not measured.", nullptr},
    {"when, as October", "A day, a week or a month is enough: 9 Aug, last week, October. Enter: not known.",
     nullptr},
    {"what",
     "The letters of what happened to the table or the saw, such as ac; Enter: nothing that is known.",
     nullptr},
    {"Note it as the cause", "yes keeps it in the log, so that 'find' and the history know of it.", nullptr},
    {"now / later", "now: the cure is done, and proved by a check. later: it stays noted.", nullptr},
    // leaving and going on
    {"go on with it, later or drop",
     "Something was left half way. go on: its lines are taken up where it stopped; later: it stays; drop: it "
     "is thrown "
     "away.",
     nullptr},
    {"all the same?", "yes does it; no stays where you are.", nullptr},
};

}  // namespace

std::string question_help(const std::string& question, units::Unit unit) {
  for (const auto& row : kRows) {
    if (question.find(row.words) == std::string::npos) continue;
    return unit == units::Unit::inch && row.inch != nullptr ? row.inch : row.mm;
  }
  return {};
}

}  // namespace quarterturn::cli
