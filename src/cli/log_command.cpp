// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <fstream>

#include "app/keep_check.hpp"
#include "app/log_import.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/progress.hpp"
#include "cli/sub_words.hpp"
#include "files/dates.hpp"
#include "files/event_rows.hpp"
#include "files/spoken_date.hpp"
#include "report/log_report.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

using Words = std::vector<std::string>;

report::TextOptions shown(const Context& context, const Parsed& parsed) {
  return text_options(context, parsed, units::Unit::mm);
}

/// The id of the station that is named; of the one in use; empty when none is.
std::string station_id(const Context& context, const std::string& name) {
  const std::string wanted = name.empty() ? context.station : name;
  return wanted.empty() ? std::string() : context.log->station_id(wanted);
}

std::string needed(const Parsed& parsed, const std::string& option, const char* what) {
  const auto value = parsed.value(option);
  if (!value || value->empty()) throw UsageError(option + " is missing, but must be given: " + what + ".");
  return *value;
}

/// --date, else today.
files::Moment moment_of(const Context& context, const Parsed& parsed) {
  const auto date = parsed.value("--date");
  return date ? files::parse_past_date(*date, "--date", context.now_utc) : files::today(context.now_utc);
}

/// The setup that is named, held to the station's.
std::string setup_of(const Context& context, const Parsed& parsed, const std::string& station) {
  const auto setup = parsed.value("--setup");
  return setup ? context.log->find(station).setup(*setup).name : std::string();
}

Said list(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 0, 1, "list [STATION]");
  const std::string id = station_id(context, rest.empty() ? "" : rest[0]);
  if (parsed.has("--json")) return {report::log_list_json(*context.log, id), ""};
  const auto options = shown(context, parsed);
  return {report::log_list_text(report::log_lines(*context.log, id, options.unit), options), ""};
}

Said show(const Context& context, const Parsed& parsed) {
  const auto kept = context.log->check(rest_of(parsed, 1, 1, "show CHECK")[0]);
  return {parsed.has("--json") ? report::log_show_json(*context.log, kept)
                               : report::log_show_text(*context.log, kept, shown(context, parsed)),
          ""};
}

/// The record that a name or an id means: a check, an event, an old result, a station.
std::string record_id(const Context& context, const std::string& name, bool stations) {
  const auto& log = *context.log;
  if (stations) {
    for (const auto& kept : log.stations()) {
      if (kept.shown_name == name || kept.made.id == name) return kept.made.id;
    }
  }
  Words found;
  for (const auto& kept : log.events()) {
    if (kept.event.id.starts_with(name)) found.push_back(kept.event.id);
  }
  for (const auto& kept : log.summaries()) {
    if (kept.summary.id.starts_with(name)) found.push_back(kept.summary.id);
  }
  return found.size() == 1 && !name.empty() ? found.front() : log.check(name).made.id;
}

Said note(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 2, 2, "note CHECK|STATION TEXT");
  files::NoteRecord record;
  record.about = record_id(context, rest[0], true);
  record.text = rest[1];
  if (units::trimmed(record.text).empty())
    throw units::InputError("note", rest[1], "given", {}, "log note dock/3 \"the caliper was cold\"");
  record.person = parsed.value("--by").value_or("");
  context.log->keep(record);
  return {"noted.\n", ""};
}

/// --date as it is said, else today. \returns what the date is the middle of, `October 2025`, or nothing
std::string take_date(const Context& context, const Parsed& parsed, files::EventRecord& record) {
  constexpr std::int64_t kDay = 86400;
  const auto date = parsed.value("--date");
  auto moment = files::today(context.now_utc);
  std::string about;
  if (date && date->find('T') != std::string::npos && date->find('-') != std::string::npos) {
    moment = files::parse_past_date(*date, "--date", context.now_utc);  // with a time
  } else if (date) {
    const auto said = files::parse_spoken_date(*date, "--date", context.now_utc, context.now_utc / kDay);
    moment = files::parse_date(files::iso_day(said.middle()), "--date");
    about = said.about;
  }
  record.date = moment.as_typed;
  record.utc = moment.utc_second;
  return about;
}

Said event(const Context& context, const Parsed& parsed) {
  const auto rest =
      rest_of(parsed, 2, 2, "event STATION EVENT, EVENT one of " + units::one_of(files::event_kinds()));
  files::EventRecord record;
  record.station = context.log->station_id(rest[0]);
  record.setup = setup_of(context, parsed, rest[0]);
  record.kind = rest[1];
  const std::string about = take_date(context, parsed, record);
  record.target = parsed.value("--target").value_or("");
  record.note = parsed.value("--note").value_or("");
  if (!about.empty()) record.note += (record.note.empty() ? "" : "; ") + std::string("about ") + about;
  record.person = parsed.value("--by").value_or("");
  const std::string id = context.log->keep(record);
  return {fmt::format("{}: {} on {} kept ({}).{}\n", units::inert(rest[0]), record.kind,
                      record.date.substr(0, 10), id.substr(0, 8),
                      files::ends_validity(record.kind)
                          ? " Checks before it tell nothing of the station as it stands now."
                          : ""),
          ""};
}

Said amend(const Context& context, const Parsed& parsed) {
  const auto rest =
      rest_of(parsed, 3, 3,
              "amend CHECK KEY VALUE --reason TEXT, KEY as in a readings file, or 'readings' with a FILE");
  const auto kept = context.log->check(rest[0]);
  const auto amended =
      app::amend_check(*context.log, kept, rest[1], rest[2],
                       needed(parsed, "--reason", "the log keeps why it was amended"), context.now_utc);
  return {fmt::format("{} amended: {}.\n", units::inert(rest[0]),
                      report::result_words(amended.latest.result, shown(context, parsed).unit,
                                           amended.latest.readings)),
          ""};
}

Said withdraw(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 1, 1, "withdraw CHECK|ID --reason TEXT");
  files::WithdrawalRecord record;
  record.about = record_id(context, rest[0], false);
  record.reason = needed(parsed, "--reason", "the log keeps why it was withdrawn");
  record.person = parsed.value("--by").value_or("");
  for (const auto& other : context.log->withdrawals()) {
    if (other.about == record.about)
      throw units::InputError("record", rest[0],
                              "one that counts; this one was withdrawn on " + other.recorded.substr(0, 10),
                              {}, "nothing is left to do");
  }
  context.log->keep(record);
  return {units::inert(rest[0]) + " withdrawn; it stays in the log and counts no more.\n", ""};
}

Said add_summary(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(
      parsed, 1, 1, "add-summary STATION --date DATE --error LENGTH --over LENGTH --already-divided yes|no");
  const auto value = [&](const char* option) { return parsed.value(option).value_or(""); };
  auto record = files::summary_of(
      {needed(parsed, "--date", "the day of the old result"), value("--test"),
       needed(parsed, "--error", "how far it was off"),
       needed(parsed, "--over", "the length over which it was off"), value("--side"), value("--plus-minus"),
       needed(parsed, "--already-divided", "whether the error is that of one corner"), value("--by"),
       value("--source")});
  (void)moment_of(context, parsed);
  record.station = context.log->station_id(rest[0]);
  record.setup = setup_of(context, parsed, rest[0]);
  context.log->keep(record);
  return {units::inert(rest[0]) + ": old result kept. It is drawn hollow and informs no ±.\n", ""};
}

Said import(const Context& context, const Parsed& parsed) {
  const auto paths = rest_of(parsed, 1, parsed.arguments.size(), "import FILE...");
  Progress progress(context.terminal, "files", paths.size());
  const auto done =
      app::import_files(*context.log, paths, station_id(context, parsed.value("--station").value_or("")),
                        context.now_utc, [&](std::size_t count) { progress.show(count); });
  progress.end();
  Said said;
  const auto counted = [](int n, const char* one, const char* many) {
    return fmt::format("{} {}", n, n == 1 ? one : many);
  };
  said.out = fmt::format("Taken in: {}, {}, {}{}.{}\n", counted(done.checks, "check", "checks"),
                         counted(done.events, "event", "events"),
                         counted(done.summaries, "old result", "old results"),
                         done.documents > 0 ? ", " + counted(done.documents, "log", "logs") : "",
                         done.known > 0 ? fmt::format(" Known already: {}.", done.known) : "");
  for (const auto& one : done.doubted)
    said.out += units::inert(one.source) +
                ": first clear this up: " + report::finding_text(one.finding, one.unit) + "\n";
  for (const auto& fault : done.faults) said.err += "error: " + fault + "\n";
  if (!done.faults.empty()) said.status = kBadInput;
  return said;
}

Said export_log(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 0, 1, "export [STATION]");
  const std::string id = station_id(context, rest.empty() ? "" : rest[0]);
  const auto table = parsed.value("--csv");
  if (!table) return {files::write_log(context.log->document(id)), ""};
  if (*table == "checks") return {report::checks_csv(*context.log, id), ""};
  if (*table == "readings") return {report::readings_csv(*context.log, id), ""};
  throw UsageError("--csv is '" + units::inert(*table) + "', but must be checks or readings.");
}

Said merge(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 1, 1, "merge FILE");
  if (!is_there(rest[0])) throw files::FileTrouble{"there is no file '" + units::inert(rest[0], 4096) + "'"};
  if (std::ifstream(rest[0], std::ios::binary).peek() == '{') {
    throw files::FileTrouble{units::inert(rest[0], 4096) +
                             " is a document of 'log export', not a log. Hint: quarterturn log import FILE"};
  }
  const logbook::Logbook other(rest[0]);
  const auto merged = context.log->merge(other.document());
  return {fmt::format("Merged: {} records taken, {} known already.\n", merged.added, merged.known), ""};
}

Said verify(const Context& context, const Parsed& parsed) {
  rest_of(parsed, 0, 0, "verify");
  Said said;
  const auto faults = context.log->faults();
  for (const auto& fault : faults) said.err += "fault: " + fault + "\n";
  const auto differing = faults.empty() ? app::recompute(*context.log) : std::vector<app::Recomputed>{};
  for (const auto& one : differing) said.err += "fault: " + units::inert(one.check) + ": " + one.what + "\n";
  const auto checks = context.log->made_checks().size();
  if (faults.empty() && differing.empty()) {
    said.out = fmt::format("The log is whole: {} check{}, each computed again with the same result.\n",
                           checks, checks == 1 ? "" : "s");
  } else {
    said.status = kFileTrouble;
  }
  return said;
}

Said backup(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 1, 1, "backup FILE");
  context.log->backup(rest[0]);
  return {"The log is copied to " + units::inert(rest[0], 4096) + ".\n", ""};
}

struct Row {
  const char* word;
  Said (*run)(const Context&, const Parsed&);
};
constexpr std::array<Row, 12> kRows{{{"list", list},
                                     {"show", show},
                                     {"note", note},
                                     {"event", event},
                                     {"amend", amend},
                                     {"withdraw", withdraw},
                                     {"add-summary", add_summary},
                                     {"import", import},
                                     {"export", export_log},
                                     {"merge", merge},
                                     {"verify", verify},
                                     {"backup", backup}}};

}  // namespace

Said log_command(const Context& context, const Parsed& parsed) {
  const std::string sub = parsed.arguments.empty() ? "" : parsed.arguments.front();
  const auto* const row =
      std::find_if(kRows.begin(), kRows.end(), [&](const Row& r) { return sub == r.word; });
  if (row != kRows.end()) return row->run(context, parsed);
  Words words;
  for (const auto& each : kRows) words.emplace_back(each.word);
  no_such_sub_word(parsed, words);
}

}  // namespace quarterturn::cli
