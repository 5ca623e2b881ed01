// SPDX-License-Identifier: MIT
#include "report/log_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "files/dates.hpp"
#include "files/find_note.hpp"
#include "files/readings_file.hpp"
#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr double kOverMm = 600;  ///< the length over which the list tells all errors, so that they compare
constexpr std::size_t kShortId = 8;

std::string verdict_word(const files::StoredResult& result) {
  std::string word;
  if (result.verdict == "within") word = "WITHIN";
  if (result.verdict == "outside") word = "OUTSIDE";
  if (result.verdict == "cannot-tell") word = "CANNOT TELL YET";
  return word.empty() || !result.provisional ? word : word + " (provisional)";
}

/// `; amended 2 times, last: F on the wrong end`
std::string marks(const logbook::KeptCheck& kept) {
  if (kept.versions < 2) return "";
  return fmt::format("; amended: {}", units::inert(kept.latest.reason));
}

std::string summary_words(const files::SummaryRecord& summary, units::Unit unit) {
  const double mm = summary.error * kOverMm;
  std::string text = "old result: ";
  if (summary.side == "unknown") {
    text += "off 90° by ";
  } else {
    text += summary.side == "over-90" ? "over 90° by " : "under 90° by ";
  }
  text += summary.plus_minus ? plus_minus_text(mm, *summary.plus_minus * kOverMm, unit)
                             : length_text(mm, unit) + ", its ± not known,";
  text += " over " + size_text(kOverMm, unit);
  if (!summary.source.empty()) text += " (" + units::inert(summary.source) + ")";
  return text;
}

std::string event_words(const logbook::KeptEvent& kept) {
  const auto& event = kept.event;
  std::string text = event.kind;
  if (!event.target.empty()) text += " " + units::inert(event.target);
  if (!event.note.empty()) text += ": " + units::inert(event.note);
  return text;
}

/// A note in words: what was answered in a search, else as it was written.
std::string note_words(const std::string& text, units::Unit unit) {
  const auto note = files::parse_find_note(text);
  if (!note) return units::inert(text, 400);
  using Kind = files::FindNote::Kind;
  if (note->kind == Kind::happened)
    return "find: happened since the last good check: " + (note->code.empty() ? "nothing" : note->code);
  if (note->kind == Kind::proved) return "find: proved: " + std::string(history::cause_row(note->code).words);
  return fmt::format("find: {} {}", history::find_test_row(note->code)->ask,
                     note->kind == Kind::taken_back ? "(taken back)" : answer_words(note->answer, unit));
}

}  // namespace

std::map<std::string, std::string> station_names(const logbook::Logbook& log) {
  std::map<std::string, std::string> names;
  for (const auto& kept : log.stations()) names[kept.made.id] = kept.shown_name;
  return names;
}

namespace {

/// `rail test: edge crowned by 0.10 ± 0.06 mm over 1160 mm`, `rail test: edge straight, bow 0.02 ± 0.06 mm …`
std::string rail_words(const files::StoredResult& result, units::Unit unit, const std::string& readings) {
  const auto check = files::parse_readings(files::text_of(readings, "the log"));
  const auto& spots = check.strips.front().spots;
  const double over_mm = spots.back().position_mm - spots.front().position_mm;
  const double h_mm = std::fabs(result.eta) * over_mm;
  const std::string by = result.unknown ? length_text(h_mm, unit) + " (± not known)"
                                        : plus_minus_text(h_mm, result.half_width * over_mm, unit);
  // What may be none has no side.
  const bool straight = result.unknown ? h_mm == 0 : std::fabs(result.eta) <= result.half_width;
  return fmt::format("rail test: edge {} {} over {}",
                     straight         ? "straight, bow"
                     : result.eta < 0 ? "hollow by"
                                      : "crowned by",
                     by, size_text(over_mm, unit));
}

}  // namespace

std::string result_words(const files::StoredResult& result, units::Unit unit, const std::string& readings) {
  if (result.test == files::kRailTest)
    return readings.empty() ? std::string("rail test") : rail_words(result, unit, readings);
  // Of a frame the kept corner may be the mitre, or what is left of 180° beside it.
  const char* const angle = result.test && result.test->starts_with("frame") ? "the angle" : "90°";
  const double mm = std::fabs(result.eta) * kOverMm;
  const std::string by = result.unknown ? length_text(mm, unit) + " (± not known)"
                                        : plus_minus_text(mm, result.half_width * kOverMm, unit);
  return fmt::format("{} {} by {} over {}", side_word(result.eta), angle, by, size_text(kOverMm, unit));
}

std::string state_words(const logbook::SetupState& state, units::Unit unit) {
  const auto& last = state.last;
  const std::string verdict = verdict_word(last.result);
  std::string text =
      fmt::format("{}: last check {}, {}{}.", units::inert(state.setup), last.date.substr(0, 10),
                  verdict.empty() ? "" : verdict + ", ", result_words(last.result, unit));
  if (!state.since.empty()) return text + fmt::format(" Since then: {}. A check is due.", state.since);
  if (last.result.verdict == "outside") return text + " Put it right, then check.";
  return text + fmt::format(" {} {}.", state.overdue ? "Was due" : "Next due", state.due);
}

std::string stations_states_text(const std::vector<StationStates>& stations, const TextOptions& options) {
  std::vector<std::string> waiting, others;
  for (const auto& one : stations) {
    const std::string name = "- " + units::inert(one.station) + ", ";
    if (one.states.empty()) others.push_back(name + "not checked yet.\n");
    for (const auto& state : one.states) {
      const bool waits = state.overdue || !state.since.empty() || state.last.result.verdict == "outside";
      (waits ? waiting : others).push_back(name + state_words(state, options.unit) + "\n");
    }
  }
  std::string text;
  for (const auto* part : {&waiting, &others}) {
    for (const auto& line : *part) text += line;
  }
  return finished(text, options);
}

std::vector<LogLine> log_lines(const logbook::Logbook& log, const std::string& station, units::Unit unit) {
  std::vector<LogLine> lines;
  const auto names = station_names(log);
  for (const auto& kept : log.checks(station, logbook::Logbook::Fetch::results)) {
    const auto& result = kept.latest.result;
    const std::string verdict = verdict_word(result);
    const bool rail = result.test == files::kRailTest;
    lines.push_back({kept.latest.utc, kept.made.recorded,
                     fmt::format("{}/{}", names.at(kept.made.station), kept.number), kept.latest.date,
                     kept.made.setup,
                     result_words(result, unit, rail ? log.readings(kept.latest.id) : std::string()) +
                         (verdict.empty() ? "" : ", " + verdict) + marks(kept),
                     kept.withdrawn});
  }
  for (const auto& kept : log.events(station)) {
    lines.push_back({kept.event.utc, kept.event.recorded,
                     fmt::format("{} {}", names.at(kept.event.station), kept.event.id.substr(0, kShortId)),
                     kept.event.date, kept.event.setup, event_words(kept), kept.withdrawn});
  }
  for (const auto& kept : log.summaries(station)) {
    lines.push_back(
        {kept.summary.utc, kept.summary.recorded,
         fmt::format("{} {}", names.at(kept.summary.station), kept.summary.id.substr(0, kShortId)),
         kept.summary.date, kept.summary.setup, summary_words(kept.summary, unit), kept.withdrawn});
  }
  // Notes stand where they were written; those of a record of another station do not.
  std::map<std::string, std::string> about = names;
  if (!station.empty()) std::erase_if(about, [&](const auto& one) { return one.first != station; });
  for (const auto& kept : log.checks(station, logbook::Logbook::Fetch::results))
    about[kept.made.id] = fmt::format("{}/{}", names.at(kept.made.station), kept.number);
  for (const auto& note : log.notes()) {
    const auto found = about.find(note.about);
    if (found == about.end()) continue;
    const std::string day = note.recorded.substr(0, 10);
    lines.push_back(
        {0, note.recorded, found->second, day, "", "note: " + note_words(note.text, unit), false});
    lines.back().utc = files::parse_date(day, "note").utc_second;
  }
  std::ranges::stable_sort(
      lines, {}, [](const LogLine& line) { return files::order_of(line.date, line.utc, line.recorded); });
  return lines;
}

std::string log_list_text(const std::vector<LogLine>& lines, const TextOptions& options) {
  if (lines.empty()) return "Nothing in the log yet.\n";
  std::string text;
  for (const auto& line : lines) {
    text += fmt::format("- {}  {}{}  {}{}\n", line.date.substr(0, 10), units::inert(line.name),
                        line.setup.empty() ? "" : ", " + units::inert(line.setup),
                        line.withdrawn ? "WITHDRAWN: " : "", line.what);
  }
  return finished(text, options);
}

std::string log_show_text(const logbook::Logbook& log, const logbook::KeptCheck& kept,
                          const TextOptions& options) {
  const auto names = station_names(log);
  std::string text =
      fmt::format("{}/{}, setup {}, {}\n  id {}\n", units::inert(names.at(kept.made.station)), kept.number,
                  units::inert(kept.made.setup), units::inert(kept.latest.date), kept.made.id);
  for (const auto& version : log.versions(kept.made.id)) {
    const std::string verdict = verdict_word(version.result);
    text += fmt::format("  {} {}: {}{}, at {:g} % confidence, computed by {}\n",
                        version.reason.empty() ? "kept" : "amended", version.recorded.substr(0, 10),
                        result_words(version.result, options.unit, version.readings),
                        verdict.empty() ? "" : ", " + verdict, version.result.confidence * 100,
                        units::inert(version.result.program));
    if (!version.reason.empty()) text += "    because: " + units::inert(version.reason, 400) + "\n";
    if (!version.result.used.empty())
      text += fmt::format("    {} earlier checks informed its ±\n", version.result.used.size());
    if (version.result.planned_strips)
      text += fmt::format("    planned for at most {:.0f} strips: its ± allows for looking in between\n",
                          *version.result.planned_strips);
  }
  for (const auto& note : log.notes(kept.made.id))
    text += fmt::format("  note {}: {}\n", note.recorded.substr(0, 10), note_words(note.text, options.unit));
  for (const auto& record : log.withdrawals()) {
    if (record.about == kept.made.id)
      text += fmt::format("  WITHDRAWN {}: {}\n", record.recorded.substr(0, 10),
                          units::inert(record.reason, 400));
  }
  return finished(text, options) + "\n" + kept.latest.readings;
}

}  // namespace quarterturn::report
