// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>
#include <filesystem>

#include "app/keep_check.hpp"
#include "app/kept_outcome.hpp"
#include "app/kept_result.hpp"
#include "app/known_checks.hpp"
#include "app/setup_history.hpp"
#include "cli/commands.hpp"
#include "cli/report_target.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "report/check_page.hpp"
#include "report/history_report.hpp"
#include "report/log_report.hpp"
#include "report/pictures.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {
namespace {

enum class Format { html, svg, json, csv, text };
constexpr std::array<const char*, 5> kFormats{"html", "svg", "json", "csv", "text"};
constexpr std::array<const char*, 5> kEndings{"html", "svg", "json", "csv", "txt"};
const std::vector<std::string> kDrawings{"strips", "interval", "table", "history"};

std::string ending_of(Format format) {
  return kEndings[static_cast<std::size_t>(format)];
}

std::size_t one_of_words(const Parsed& parsed, const char* option, const std::vector<std::string>& words) {
  const std::string typed = *parsed.value(option);
  const auto found = std::find(words.begin(), words.end(), typed);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  const std::string hint = units::did_you_mean(typed, words);
  throw UsageError(std::string(option) + " is '" + units::inert(typed) + "', but must be " +
                   units::one_of(words) + "." + (hint.empty() ? "" : " Hint: " + hint));
}

Format format_of(const Parsed& parsed) {
  Format format = parsed.has("--json") ? Format::json : Format::html;
  if (parsed.has("--drawing")) format = Format::svg;
  if (parsed.has("--format"))
    format = static_cast<Format>(one_of_words(parsed, "--format", {kFormats.begin(), kFormats.end()}));
  if (parsed.has("--json") && format != Format::json)
    throw UsageError("--json is given with another --format, but must be alone or with --format json.");
  if (parsed.has("--drawing") && format != Format::svg)
    throw UsageError("--drawing is given without --format svg: other formats hold all drawings or none.");
  return format;
}

/// `dock/3`, when no file of that name is there.
bool names_a_number(const std::string& text) {
  const auto slash = text.rfind('/');
  return slash != std::string::npos && slash > 0 && slash + 1 < text.size() &&
         text.find_first_not_of("0123456789", slash + 1) == std::string::npos && !is_there(text);
}

/// An id or the beginning of one.
bool may_be_id(const std::string& text) {
  return !text.empty() && text.find_first_not_of("0123456789abcdef-") == std::string::npos;
}

std::optional<history::Record> record_of(const Context& context, const correct::Outcome& outcome) {
  if (!outcome.station || context.log->known_station(*outcome.station).empty()) return std::nullopt;
  auto past = app::setup_past(*context.log, *outcome.station, outcome.setup_name, outcome.fit.eta.confidence,
                              context.now_utc);
  if (past.record.entries.empty()) return std::nullopt;
  return std::move(past.record);
}

report::CheckShown kept_check(const Context& context, const Parsed& parsed, const logbook::KeptCheck& kept) {
  for (const char* option : {"--station", "--setup", "--no-log", "--tolerance", "--strict", "--confidence"}) {
    if (parsed.has(option))
      throw UsageError(std::string(option) + " is given, but a kept check knows its own: leave it out.");
  }
  report::CheckShown shown;
  shown.outcome = app::outcome_of_kept(*context.log, kept);
  shown.unit = text_options(context, parsed, shown.outcome.check.unit).unit;
  shown.name = app::name_of(*context.log, kept);
  shown.readings = kept.latest.readings;
  shown.log_id = kept.made.id;
  shown.program = kept.latest.result.program;
  shown.lines = report::log_lines_of(*context.log, kept, shown.unit);
  shown.record = record_of(context, shown.outcome);
  return shown;
}

report::CheckShown read_check(const Context& context, const Parsed& parsed, const std::string& file,
                              Said& said) {
  Parsed one = parsed;
  one.arguments = {file};
  auto request = request_of(context, one, said);
  if (!parsed.has("--no-log")) app::inform(request, *context.log, context.now_utc);
  report::CheckShown shown;
  shown.outcome = app::run_check(request);
  shown.unit = text_options(context, parsed, request.check.unit).unit;
  shown.name = file == "-" ? std::string("standard input") : std::filesystem::path(file).filename().string();
  shown.readings = files::write_readings(request.check);
  if (!parsed.has("--no-log")) {
    shown.record = record_of(context, shown.outcome);
    if (shown.record) {
      shown.lines.events = report::event_lines(
          *context.log, context.log->known_station(*shown.outcome.station), shown.outcome.setup_name);
    }
  }
  return shown;
}

/// What is reported: checks, or a station.
struct Asked {
  std::vector<report::CheckShown> checks;
  std::vector<report::RecordShown> records;
  std::string stem;                 ///< of the file
  std::vector<std::string> inputs;  ///< files that were read
};

void take_station(const Context& context, const Parsed& parsed, const std::string& name, Asked& asked) {
  const auto opened = open_station(context, name);
  const auto station = opened.store->find(opened.name);
  const std::string wanted = parsed.value("--setup").value_or("");
  if (!wanted.empty()) (void)station.setup(wanted);
  const std::string id = app::kept_station(*context.log, station);
  for (const auto& [setup, described] : station.setups) {
    if (!wanted.empty() && setup != wanted) continue;
    auto past = app::setup_past(*context.log, station, setup, confidence_of(parsed), context.now_utc);
    if (past.record.entries.empty()) continue;
    report::RecordShown shown{std::move(past.record),
                              id,
                              report::checks_csv(*context.log, id),
                              report::event_lines(*context.log, id, setup),
                              {}};
    shown.unit = text_options(context, parsed, shown.record.unit).unit;
    asked.records.push_back(std::move(shown));
  }
  if (asked.records.empty()) app::no_check_kept(station.name, wanted);
  asked.stem = station.name + (wanted.empty() ? "" : "-" + wanted);
}

bool names_a_station(const Context& context, const std::string& text) {
  const auto names = context.store->list();
  return std::find(names.begin(), names.end(), text) != names.end();
}

Asked asked_for(const Context& context, const Parsed& parsed, Said& said) {
  Asked asked;
  const auto& words = parsed.arguments;
  if (words.empty() || (words.size() == 1 && names_a_station(context, words.front()))) {
    if (!words.empty() && parsed.has("--station"))
      throw UsageError("the station is given twice, but must be given once.");
    take_station(context, parsed, words.empty() ? parsed.value("--station").value_or("") : words.front(),
                 asked);
    return asked;
  }
  for (const auto& word : words) {
    if (names_a_station(context, word))
      throw UsageError("'" + units::inert(word) +
                       "' is a station among checks: one report is of one station, or of checks.");
    if (word == "-" || is_there(word)) asked.inputs.push_back(word);
    asked.checks.push_back(check_to_show(context, parsed, word, said));
  }
  const auto& first = asked.checks.front();
  asked.stem = first.log_id.empty() ? std::filesystem::path(first.name).stem().string() : first.name;
  if (words.size() > 1) asked.stem += "-and-" + std::to_string(words.size() - 1) + "-more";
  return asked;
}

report::Drawing drawing_of(const Asked& asked, const std::string& word) {
  if (!asked.records.empty()) {
    if (word != "history")
      throw UsageError("--drawing is '" + word + "', but of a station there is only history.");
    return report::history_picture(asked.records.front().record, asked.records.front().unit, 780);
  }
  const auto& shown = asked.checks.front();
  std::optional<report::Drawing> drawing;
  if (word == "strips") drawing = report::strips_picture(shown.outcome, shown.unit);
  if (word == "interval") drawing = report::interval_picture(shown.outcome, shown.unit);
  if (word == "table") drawing = report::table_picture(shown.outcome, shown.unit);
  if (word == "history" && shown.record)
    drawing = report::history_picture(*shown.record, shown.unit, 780, shown.log_id);
  if (!drawing)
    throw units::InputError("drawing", word, "one that this check has", {},
                            word == "history" ? "its station has no check in the log"
                            : word == "table" ? "it needs a station, and one setup that cut the pieces"
                                              : "a rail test tells of no corner");
  return *drawing;
}

std::string content_of(const Context& context, const Parsed& parsed, const Asked& asked, Format format) {
  const std::string today = files::day_text(context.now_utc);
  const bool record = !asked.records.empty();
  if (format == Format::html)
    return record ? report::record_page(asked.records, today) : report::check_page(asked.checks, today);
  if (format == Format::text) {
    std::string text;
    for (const auto& shown : asked.records)
      text += (text.empty() ? "" : "\n") +
              report::history_text(shown.record, text_options(context, parsed, shown.unit));
    for (const auto& shown : asked.checks) {
      const auto options = text_options(context, parsed, shown.unit);
      text +=
          (text.empty() ? "" : "\n") + report::check_text(shown.outcome, options, {.settles = shown.settles});
      if (!shown.outcome.fit.tapers.empty()) text += "\n" + report::budget_text(shown.outcome, options);
    }
    return text;
  }
  const std::size_t count = std::max(asked.records.size(), asked.checks.size());
  const bool whole = record && format == Format::csv;  // the table is of the station
  if (count != 1 && !whole) {
    throw UsageError(
        "--format " + std::string(kFormats[static_cast<std::size_t>(format)]) + " is asked of " +
        std::to_string(count) +
        (record ? " setups, but must be of one: name it with --setup." : " checks, but must be of one."));
  }
  if (format == Format::svg) {
    const std::size_t usual = record ? 3 : 1;
    return drawing_of(
               asked,
               kDrawings[parsed.has("--drawing") ? one_of_words(parsed, "--drawing", kDrawings) : usual])
        .file();
  }
  if (format == Format::csv) return record ? asked.records.front().checks : asked.checks.front().readings;
  if (record) return report::history_json(asked.records.front().record);
  const auto& shown = asked.checks.front();
  return report::check_json(shown.outcome,
                            {.budget = !shown.outcome.fit.tapers.empty(), .settles = shown.settles});
}

}  // namespace

report::CheckShown check_to_show(const Context& context, const Parsed& parsed, const std::string& word,
                                 Said& said) {
  if (word == "-" || is_there(word)) return read_check(context, parsed, word, said);
  if (!names_a_number(word) && !may_be_id(word)) {
    if (word.ends_with(".csv") || word.ends_with(".txt"))
      throw files::FileTrouble{"there is no file '" + units::inert(word, 4096) + "'"};
    auto known = context.store->list();
    for (const char* sheet : {"card", "bench-sheet", "client-sheet"}) known.emplace_back(sheet);
    const std::string nearest = units::did_you_mean(word, known);
    throw units::InputError(
        "what to report", word, "a check of the log (dock/3), a readings file or a station", {},
        nearest.empty() ? "'log list' shows the checks, 'station list' the stations" : nearest);
  }
  return kept_check(context, parsed, context.log->check(word));
}

Said report_command(const Context& context, const Parsed& parsed) {
  if (const auto sheet = sheet_command(context, parsed)) return *sheet;
  const Format format = format_of(parsed);
  Said said;
  try {
    const Asked asked = asked_for(context, parsed, said);
    const std::string content = content_of(context, parsed, asked, format);
    std::string stem = "report-" + asked.stem;
    if (format == Format::svg && parsed.has("--drawing")) stem += "-" + *parsed.value("--drawing");
    said.out = write_report(context, parsed, stem, ending_of(format), content, asked.inputs);
  } catch (const check::NoInterval&) {
    said.err += kNoReport;
    said.status = kBadInput;
  }
  return said;
}

}  // namespace quarterturn::cli
