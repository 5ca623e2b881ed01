// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "cli/dialogue.hpp"
#include "cli/help_topics.hpp"
#include "report/amounts.hpp"
#include "report/care.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {
namespace {

/// A word of the prompt with what it does, a line each.
struct WordHelp {
  const char* word;
  const char* does;
};
constexpr int kHang = 17;    ///< columns that words stand in
constexpr int kNarrow = 60;  ///< below it what they do stands under them
constexpr WordHelp kWords[] = {
    {"check", "a guided check; check FILE for readings in a file"},
    {"", "check --most-strips 8 cuts on until it is settled, eight strips at most"},
    {"", "check --strips 3 cuts seven times first; its strips are measured in any order"},
    {"",
     "check turn-over, halves, frame, rail: tests that read a gap, told step by step (a file of such a name "
     "is "
     "./rail). When to use which: help gaps"},
    {"more", "two more cuts on the same panel; one more joint of a gap test"},
    {"correct", "what to move, and what to expect of it"},
    {"ways", "all ways to correct"},
    {"why", "what the last answer rests on: of a check, find, history, plan or survey"},
    {"", "more, correct, ways and why go on from the station's last kept check, any day"},
    {"plan", "what a test will tell; plan --settle dock/3: how many more cuts settle a check"},
    {"station", "list, show, set, rename, add, export; station NAME takes another one"},
    {"shims, caliper", "what you own"},
    {"survey", "where the holes are, asked for one distance after the other; survey FILE reads them"},
    {"log", "list, show CHECK, event, note, amend, withdraw: what was kept; every check is"},
    {"history", "does it stand still, drift, did it take a step; when to check next"},
    {"find", "what went wrong: causes, and the one next test; answers are kept for next time"},
    {"drafts", "what is unfinished: show N, resume N, drop N"},
    {"readings",
     "while they are asked a number is the next one; undo, redo N, keep N, note N words, skip, done"},
    {"", "so far: what is in and what is missing; free 22.14: a place out of turn"},
    {"any question",
     "help or ? tells what it wants; undo goes back one, later leaves it, quit ends the program"},
    {"keys",
     "on a terminal: Tab finishes a word or lists what would do, arrow up brings back a command, Ctrl-C "
     "drops "
     "the line, Ctrl-D leaves; while a question is open it asks first"},
};

/// What it does hangs behind the word, or stands under it where there is no room.
std::string word_help(const WordHelp& row, const report::TextOptions& options) {
  const bool under = !options.plain && options.width < kNarrow;
  const auto indent = static_cast<std::size_t>(under ? 2 : kHang);
  const std::string does =
      options.plain ? row.does
                    : report::wrapped(row.does, std::max(options.width - static_cast<int>(indent), 20));
  std::string text = row.word, margin(indent, ' ');
  if (under && !text.empty()) text += "\n";
  std::string head = under ? margin : text + margin.substr(std::min(text.size(), indent));
  if (!under) text.clear();
  for (std::size_t from = 0; from < does.size();) {
    const auto end = std::min(does.find('\n', from), does.size());
    text += std::exchange(head, margin) + does.substr(from, end - from) + "\n";
    from = end + 1;
  }
  return text;
}

std::string words_help(const report::TextOptions& options) {
  std::string text;
  for (const auto& row : kWords) text += word_help(row, options);
  const std::string everywhere = "units mm, units in, quiet, quit; " + help_words();
  return text + word_help({"everywhere", everywhere.c_str()}, options);
}

constexpr const char* kSigns =
    "The strip wider at F, the end that lay at the fence: the corner you keep is over 90 degrees.\n"
    "Narrower at F: under 90. Columns are letters to your right, rows are numbers away from you: A1 is "
    "nearest left.\n"
    "Near and far rail dog: nearest you and away from you. Faces left and right as you stand.\n";

std::string test_help(units::Unit unit) {
  return fmt::format(
      "Five-cut: cut 1 any edge. Turn the panel so that the edge just cut lies at the fence, cut again; four "
      "times.\n"
      "The fifth strip, {} wide, carries four turns of one corner: its two widths tell the angle.\n"
      "Before the fifth cut write F on the strip where it touches the fence. X stays up all five times.\n"
      "Two more cuts give strips 2-6 and 3-7 of the same panel: they show how evenly the panel seats.\n",
      report::strip_width_words(unit));
}

constexpr const char* kGaps =
    "turn-over: two panels cut alike, one turned over, their cut edges butted: the gap tells the corner "
    "itself.\n"
    "  When a bowed rail may deceive strips, or no panel can be spared for five cuts. It needs straight long "
    "edges.\n"
    "halves: the same with both parts of one cut. Least wood and time; the taper of the board counts unless "
    "it "
    "is turned end for end as a second joint.\n"
    "frame: pieces mitred at both ends, laid to a ring: the last joint shows the sum of all mitres. For "
    "mitre setups; it finds no cause.\n"
    "rail: the rail turned end for end against a knife line, no cut. Before a large correction, or when two "
    "tests disagree. It tells of the rail alone, and sees no S shape.\n"
    "A gap is the thickest feeler that enters, 0 where none does. 'why' tells what the test in hand cannot "
    "see.\n";

std::string readings_help(units::Unit unit) {
  const bool inch = unit == units::Unit::inch;
  return fmt::format(
      "Knock off the fuzz, measure {} in from the ends, rock the caliper, take the smallest reading.\n"
      "Type one reading and Enter, or several on a line: {}.\n"
      "Open the jaws between readings. undo takes the last one back, redo 2 takes reading 2 again.\n",
      report::from_ends_words(unit),
      inch ? "0.895 0.895 0.896, or 57/64, or 22.74 mm" : "22.74 22.73 22.75, or 0.895 in, or 57/64 in");
}

constexpr const char* kSurvey =
    "Two dogs go from hole to hole; the length over them, or between them, is what is typed. Push both down, "
    "keep the caliper level, swing it a little from side to side: over dogs the largest reading counts, "
    "between them the smallest. Several readings on a line are averaged.\n"
    "A row is walked there, the next one back; a dog that stands right stays. Each reading is in the file at "
    "once: end it when you like, 'survey' goes on from that file.\n"
    "skip: it is not to be had; skip C4: nothing at that hole is. undo: takes back. redo: the last again; "
    "redo 12, redo C4 D4: that "
    "one.\n"
    "other: a distance, two lengths compared by one stick, the gap at a straightedge, a kept check "
    "(dock/4).\n"
    "so far: what is known already. done: the result; 'survey FILE' shows it again. later: another day.\n";

}  // namespace

std::string care_line() {
  return report::kUnplug + std::string(" (help care)\n");
}

std::string care_notes(units::Unit unit) {
  std::string text = "Care\n";
  for (const auto& line : report::care_lines(unit)) text += "- " + line + "\n";
  return text;
}

const std::vector<std::string>& help_topics() {
  static const std::vector<std::string> topics{"words", "care",     "signs", "test",
                                               "gaps",  "readings", "survey"};
  return topics;
}

std::string help_words() {
  std::string text;
  for (const auto& topic : help_topics()) text += (text.empty() ? "help " : ", ") + topic;
  return text;
}

std::string prompt_help(const std::string& topic, const report::TextOptions& options) {
  const auto& topics = help_topics();
  if (topic.empty() || topic == "words") return words_help(options);
  if (topic == "care") return care_notes(options.unit);
  if (topic == "signs") return kSigns;
  if (topic == "test") return test_help(options.unit);
  if (topic == "gaps") return kGaps;
  if (topic == "readings") return readings_help(options.unit);
  if (topic == "survey") return kSurvey;
  const std::string hint = units::did_you_mean(topic, topics);
  return "No help on '" + units::inert(topic) + "', but on " + units::one_of(topics) + "." +
         (hint.empty() ? "" : " Hint: " + hint) + "\n";
}

}  // namespace quarterturn::cli
