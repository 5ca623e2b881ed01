// SPDX-License-Identifier: MIT
#include "cli/options.hpp"

#include <algorithm>
#include <array>

#include "cli/exit_status.hpp"
#include "files/log_document.hpp"
#include "history/find.hpp"

namespace quarterturn::cli {
namespace {

/// What describes the test, the table and what is allowed: `check` and `correct` take the same.
std::vector<OptionRow> input_options() {
  return {
      {"--station", "NAME|FILE", "the station tested: one that was added, or a station file"},
      {"--setup", "NAME", "the setup of the station; not needed when it has one"},
      {"--fence-end", "READINGS",
       "widths of the strip, or gaps of the joint, at its fence end (F), in place of FILE"},
      {"--free-end", "READINGS", "widths, or gaps, at its free end"},
      {"--middle", "READINGS", "widths, or gaps, half way between, if measured"},
      {"--apart", "DISTANCE", "between the two measured ends, not the strip's length"},
      {"--test", "KIND", "five-cut, four-cut, turn-over, frame or rail, with --fence-end [five-cut]"},
      {"--form", "FORM", "turn-over: pair or halves; frame: separate or shared cuts [separate]"},
      {"--pieces", "NUMBER", "of a frame"},
      {"--panel", "SIZE", "size of the panel, as 600 x 600, with --fence-end"},
      {"--caliper", "CLASS", "class of caliper, or: resolution 0.01, repeatability 0.012, reliability 0.25"},
      {"--keep", "SIDE", "left or right: the part of the panel you keep, seen along the rail"},
      {"--panel-side", "SIDE", "before (your side of the fence) or beyond"},
      {"--rail-baseline", "DISTANCE", "between the holes of the two rail dogs"},
      {"--fence-baseline", "DISTANCE", "between the holes of the two fence dogs"},
      {"--rail-on-face", "SIDE", "left or right face of the rail dogs that the rail rests on"},
      {"--shim", "SHIM", "a shim you own: \"foil tape 8 layers 0.56\"", true},
      {"--tolerance", "TOLERANCE", "what is square enough: \"0.10 over 600\" or \"0.01 deg\""},
      {"--strict", "", "within or outside only when the whole interval is"},
      {"--no-assumed", "", "leave out the assumed seating; what it covers is then not told"},
      {"--no-log", "", "use nothing that was kept of earlier checks"},
      {"--survey", "FILE", "a survey of the holes: names other holes for the same dogs"},
  };
}

constexpr std::string_view kWholeCheck =
    "quarterturn check --fence-end \"22.74 22.73 22.75\" --free-end \"22.14 22.13 22.15\" --apart 525 "
    "--caliper digital "
    "--keep left --panel-side before --rail-baseline 768 --tolerance \"0.10 over 600\"";

WordRow check_row() {
  WordRow row{"check",
              "what a test tells: the angular error with its ±, the verdict, what to do",
              {"FILE", "-", "--fence-end READINGS --free-end READINGS --apart DISTANCE", "",
               "turn-over|halves|frame|rail       asked step by step; a file of that name is ./rail"},
              input_options(),
              {"quarterturn check readings.csv --station dock.json", "quarterturn check - < message.txt",
               kWholeCheck, "quarterturn check readings.csv --station dock --json --require within"},
              1};
  row.options.push_back({"--save", "", "keep it in the log, with its readings as typed"});
  row.options.push_back(
      {"--most-strips", "K", "the test was planned for so many strips and may stop when settled"});
  row.options.push_back(
      {"--strips", "K", "guided: so many strips of one panel, all cut first, measured in any order [1]"});
  row.options.push_back({"--budget", "", "where the ± comes from: the uncertainty budget"});
  row.options.push_back({"--simulate", "", "hold the ± against chance: trials, and checks drawn anew"});
  row.options.push_back({"--seed", "N", "of --simulate; the same gives the same [1]"});
  row.options.push_back(
      {"--require", "within", "exit with 1 unless the setup is within, and not provisionally"});
  return row;
}

WordRow correct_row() {
  WordRow row{
      "correct",
      "whether to move anything, how, what to expect next, and all other ways",
      {"FILE", "-", "--fence-end READINGS --free-end READINGS --apart DISTANCE"},
      input_options(),
      {"quarterturn correct readings.csv --station dock.json",
       "quarterturn correct --fence-end \"22.74 22.73 22.75\" --free-end \"22.14 22.13 22.15\" --apart "
       "525 --keep left "
       "--panel-side before --rail-baseline 768 --rail-on-face right --shim \"foil tape 8 layers 0.56\" "
       "--tolerance \"0.10 over 600\""},
      1};
  row.options.push_back(
      {"--done", "N", "the way that was taken, by its number; 0 for another: kept in the log"});
  row.options.push_back({"--date", "DATE", "when that was done, with --done [today]"});
  return row;
}

WordRow plan_row() {
  return {
      "plan",
      "what a test will tell, in cuts, minutes and panel; what settles a verdict",
      {"", "--settle READINGS"},
      {{"--station", "NAME|FILE", "the station [the only one]; none: a table from options alone"},
       {"--setup", "NAME", "the setup of the station; not needed when it has one"},
       {"--panel", "SIZE", "size of the panel before its first cut [600 x 600 mm]"},
       {"--spots", "N", "places measured on each strip [2]"},
       {"--readings", "N", "readings at each place [3]"},
       {"--apart", "DISTANCE", "between the outer places [both 20 mm from the ends]"},
       {"--caliper", "CLASS", "class of caliper, or: resolution 0.01, repeatability 0.012 [digital]"},
       {"--fence-baseline", "DISTANCE", "between the holes of the fence dogs, without a station"},
       {"--tolerance", "TOLERANCE", "what is square enough: \"0.10 over 600\" or \"0.01 deg\""},
       {"--seating", "LENGTH", "how unevenly a panel seats at each dog [the log's, else 0.02 mm]"},
       {"--saw-marks", "LENGTH", "roughness of the edges from place to place [the log's, else none]"},
       {"--share", "SHARE",
        "error planned for, over what is allowed: under 1 for within [0.33], over 1 for outside [2]", true},
       {"--chance", "SHARE", "with which a verdict should be settled [0.8]"},
       {"--most-cuts", "N", "cuts that are looked at, in all [30]"},
       {"--settle", "READINGS", "a readings file or a kept check (dock/3): how many more cuts settle it"},
       {"--strict", "", "within or outside only when the whole interval is"},
       {"--no-assumed", "", "leave out the assumed seating; what it covers is then not told"},
       {"--no-log", "", "use nothing that was kept of earlier checks"}},
      {"quarterturn plan --station dock",
       "quarterturn plan --tolerance \"0.10 over 600\" --panel \"800 x 600\" --spots 3",
       "quarterturn plan --settle readings.csv --station dock", "quarterturn plan --settle dock/3"},
      0};
}

WordRow survey_row() {
  return {"survey",
          "where the holes are, from distances between dogs, diagonals and checks",
          {"FILE", "-", "--plan N"},
          {{"--station", "NAME|FILE", "the station [the one that the file names, else the only one]"},
           {"--setup", "NAME", "the setup that holes are sought for, and what to measure next"},
           {"--plan", "N", "write a list of N distances to measure, a file whose values are to be filled in"},
           {"--dogs", "NAMES", "the two dogs of --plan that are carried from hole to hole [two alike]"},
           {"--reach", "LENGTH", "longest length that the caliper of --plan takes [its class's]"},
           {"--between", "", "with --plan: the caliper reads between dogs too, for diagonals"},
           {"--closing", "stick|checks|none", "what closes a --plan: lengths compared by one stick [stick]"},
           {"--against", "FILE", "an earlier survey of the same table: what has moved since"},
           {"--pairs", "N", "best pairs of rail and fence holes that are named [5]"},
           {"--columns", "LIST", "columns the rail may stand in, as \"C E-G\" [all]"},
           {"--rows", "LIST", "rows the fence may stand in, as \"2 4-6\" [all]"},
           {"--next", "N", "how many measurements to name that would tell most a minute [5]"},
           {"--hole-scatter", "LENGTH", "how far holes lie off each way, one standard deviation [fitted]"},
           {"--tolerance", "TOLERANCE", "what is square enough: \"0.10 over 600\" or \"0.01 deg\""}},
          {"quarterturn survey examples/surveys/loft.csv --station examples/stations/loft.json",
           "quarterturn survey --plan 60 --station dock > dock-holes.csv"},
          1};
}

WordRow station_row() {
  return {"station",
          "the stations you described: worktop, dogs, rails, setups",
          {"add FILE", "list", "show NAME|FILE", "set NAME|FILE WHAT VALUE", "rename OLD NEW",
           "export NAME|FILE"},
          {},
          {"quarterturn station add dock.json", "quarterturn station list", "quarterturn station show dock",
           "quarterturn station set dock tolerance \"0.10 over 600\"",
           "quarterturn station rename dock harbour", "quarterturn station export dock > dock.json"},
          4};
}

WordRow shims_row() {
  return {"shims",
          "the shims you own",
          {"list", "add SHIM", "remove NAME"},
          {{"--station", "NAME|FILE", "whose shims; not needed when there is one station"}},
          {"quarterturn shims list", "quarterturn shims add \"foil tape 8 layers 0.56\"",
           "quarterturn shims remove \"foil tape\" --station dock"},
          2};
}

WordRow caliper_row() {
  return {"caliper",
          "the calipers you own, the classes there are, and how well yours repeats",
          {"list", "classes", "add NAME CLASS", "remove NAME", "--trial READINGS"},
          {{"--station", "NAME|FILE", "whose calipers; not needed when there is one station"},
           {"--trial", "READINGS", "ten readings of one spot, the jaws opened between: their scatter"}},
          {"quarterturn caliper classes", "quarterturn caliper add pocket digital",
           "quarterturn caliper --trial \"22.74 22.73 22.75 22.74 22.74 22.72 22.74 22.73 22.75 22.74\""},
          3};
}

std::string joined(const std::vector<std::string>& names) {
  std::string text;
  for (const auto& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

WordRow log_row() {
  return {
      "log",
      "what was kept: checks, events, old results; nothing in it is overwritten",
      {"list [STATION]", "show CHECK", "note CHECK|STATION TEXT", "event STATION EVENT",
       "amend CHECK KEY VALUE", "withdraw CHECK|ID", "add-summary STATION", "import FILE...",
       "export [STATION]", "merge FILE", "verify", "backup FILE"},
      {{"--date", "DATE",
        "of the event or old result, as 2026-03-14; of an event also October, 9 Aug, last week [today]"},
       {"--setup", "NAME", "the setup it was about; without it the whole station"},
       {"--target", "WHAT", "the dog, hole or shim that an event was about"},
       {"--note", "TEXT", "free words"},
       {"--by", "NAME", "who did it"},
       {"--reason", "TEXT", "why a check is amended or a record withdrawn"},
       {"--station", "NAME", "import: the station of files that name none"},
       {"--test", "KIND", "old result: five-cut, four-cut or progressive [five-cut]"},
       {"--error", "LENGTH", "old result: how far it was off, without its side"},
       {"--over", "LENGTH", "old result: the length over which it was off"},
       {"--side", "SIDE", "old result: over-90, under-90 or unknown [unknown]"},
       {"--plus-minus", "LENGTH", "old result: half the width of its 95 % interval, if known"},
       {"--already-divided", "yes|no",
        "old result: yes for one corner's error, no for the strip's difference"},
       {"--source", "TEXT", "old result: where it comes from"},
       {"--csv", "checks|readings", "export a table in place of the whole log"}},
      {"quarterturn log list dock",
       "quarterturn log event dock knocked --date 2026-10-20 --note \"by the fork lift\"",
       "quarterturn log amend dock/3 by Lea --reason \"the wrong name\"",
       "quarterturn log withdraw dock/3 --reason \"another panel\"",
       // NOLINTNEXTLINE(bugprone-suspicious-missing-comma): one line that is long
       "quarterturn log add-summary dock --date 2024-05-02 --error 0.20 --over 500 --side over-90 "
       "--already-divided no",
       "quarterturn log import readings/*.csv --station dock", "quarterturn log export dock > dock.log.json"},
      100'000,
      [] { return "Events: " + joined(files::event_kinds()) + ".\n"; }};
}

WordRow history_row() {
  return {"history",
          "the record of a setup: stands still, drifts, took a step; when is it due",
          {""},
          {{"--station", "NAME", "the station [the only one; of several: how each stands, and which is due]"},
           {"--setup", "NAME", "the setup [the one checked last]"}},
          {"quarterturn history", "quarterturn history --station dock",
           "quarterturn history --station dock --json"},
          0};
}

std::string names_of_find() {
  std::vector<std::string> tests, causes;
  for (const auto& row : history::test_rows()) {
    if (row.answered) tests.emplace_back(row.code);
  }
  for (const auto& row : history::cause_rows()) causes.emplace_back(row.code);
  return "Tests: " + joined(tests) + ".\nCauses: " + joined(causes) + ".\n";
}

WordRow find_row() {
  return {"find",
          "what went wrong: causes, and the one next test",
          {""},
          {{"--station", "NAME", "the station [the only one]"},
           {"--setup", "NAME", "the setup [the one checked last]"},
           {"--answer", "TEST=yes|no", "what a test found; with its amount, paper-near=yes:0.20", true},
           {"--note", "CAUSE", "note the cause that was found, as an event"},
           {"--by", "NAME", "who found it"}},
          {"quarterturn find --station dock",
           "quarterturn find --station dock --answer same-strip=no --answer paper-near=yes:0.20",
           "quarterturn find --station dock --note rail-off-dog"},
          0,
          names_of_find};
}

WordRow report_row() {
  return {"report",
          "a page to keep, print or hand on: a check, several, or the record of a station",
          {"CHECK...", "STATION", "card [STATION]", "bench-sheet [STATION]", "client-sheet CHECK"},
          {{"--format", "FORMAT", "html, svg, json, csv (the readings) or text [html]"},
           {"--output", "FILE", "where it goes; - is standard output [a name of its own, which is told]"},
           {"--drawing", "DRAWING", "with svg: strips, interval, table or history [interval; history]"},
           {"--station", "NAME|FILE", "of a readings file: the station tested"},
           {"--setup", "NAME", "the setup of the station; not needed when it has one"},
           {"--test", "KIND", "bench-sheet: five-cut, turn-over, frame or rail [what can tell the setup]"},
           {"--form", "FORM", "bench-sheet of a turn-over: pair or halves [pair]"},
           {"--pieces", "NUMBER", "bench-sheet of a frame [as many as close with the setup]"},
           {"--tolerance", "TOLERANCE", "of a readings file, in place of the setup's: \"0.10 over 600\""},
           {"--strict", "", "of a readings file: within or outside only when the whole interval is"},
           {"--no-log", "", "of a readings file: use nothing that was kept of earlier checks"}},
          {"quarterturn report dock/3", "quarterturn report dock/1 dock/2 dock/3 --output spring.html",
           "quarterturn report readings.csv --station dock.json --format svg --drawing table",
           "quarterturn report dock", "quarterturn report card dock",
           "quarterturn report bench-sheet dock --test rail", "quarterturn report client-sheet dock/3"},
          1000,
          [] {
            return std::string(
                "CHECK is one of the log (dock/3, or its id) or a readings file. A page loads nothing and "
                "runs nothing. card: for the wall, works without a computer. bench-sheet: blank, for "
                "readings. client-sheet: who, when, readings, how it is decided, to be signed.\n");
          }};
}

}  // namespace

const std::vector<WordRow>& word_rows() {
  static const std::vector<WordRow> rows{check_row(),   correct_row(), plan_row(),    survey_row(),
                                         station_row(), shims_row(),   caliper_row(), log_row(),
                                         history_row(), find_row(),    report_row()};
  return rows;
}

const WordRow* find_word(std::string_view word) {
  const auto& rows = word_rows();
  const auto row = std::find_if(rows.begin(), rows.end(), [&](const auto& r) { return r.word == word; });
  return row == rows.end() ? nullptr : &*row;
}

const std::vector<OptionRow>& global_options() {
  static const std::vector<OptionRow> options{
      {"--log", "FILE", "the log [$QUARTERTURN_LOG, else your own]"},
      {"--json", "", "one JSON document on standard output"},
      {"--unit", "mm|in", "what you read, and what bare numbers on the command line mean"},
      {"--confidence", "SHARE", "of the ±, between 0.5 and 0.999 [0.95]"},
      {"--color", "WHEN", "auto, always or never (NO_COLOR is kept to) [auto]"},
      {"--plain", "", "drawings told in words, no broken lines, for a screen reader"},
      {"--help", "", "this text; -h too"},
      {"--version", "", "the version"},
  };
  return options;
}

const std::vector<OptionRow>& lone_options() {
  static const std::vector<OptionRow> options{
      {"--completion", "bash|zsh|fish",
       "what that shell completes with: source <(quarterturn --completion bash)"},
      {"--man-page", "PAGE", "the man page of quarterturn, or of a word, as man reads it"},
  };
  return options;
}

const std::vector<ExitRow>& exit_rows() {
  static const std::vector<ExitRow> rows{
      {kComputed, "computed"},        {kNotWithin, "--require within was not met"},
      {kWrongUse, "wrong use"},       {kBadInput, "bad input data"},
      {kFileTrouble, "file trouble"}, {kOurBug, "a bug of ours"}};
  return rows;
}

std::vector<std::string> word_names() {
  std::vector<std::string> names;
  for (const auto& row : word_rows()) names.emplace_back(row.word);
  return names;
}

std::vector<std::string> option_names(const WordRow* row) {
  std::vector<std::string> names;
  if (row != nullptr) {
    for (const auto& option : row->options) names.emplace_back(option.name);
  }
  for (const auto& option : global_options()) names.emplace_back(option.name);
  if (row == nullptr) {
    for (const auto& option : lone_options()) names.emplace_back(option.name);
  }
  return names;
}

}  // namespace quarterturn::cli
