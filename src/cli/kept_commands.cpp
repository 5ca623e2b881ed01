// SPDX-License-Identifier: MIT
#include "app/kept_things.hpp"
#include "app/typed_readings.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/sub_words.hpp"
#include "files/caliper_classes.hpp"
#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "report/station_report.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {
namespace {

report::TextOptions shown(const Context& context, const Parsed& parsed) {
  return text_options(context, parsed, units::Unit::mm);
}

/// The station named by --station, else the one in use, else the only one.
Opened owner(const Context& context, const Parsed& parsed) {
  return open_station(context, parsed.value("--station").value_or(""));
}

/// Without any station the list of what is owned is empty, not wrong.
std::optional<station::Station> owner_if_any(const Context& context, const Parsed& parsed) {
  if (!parsed.has("--station") && context.station.empty() && context.store->list().empty())
    return std::nullopt;
  const auto opened = owner(context, parsed);
  return opened.store->find(opened.name);
}

/// A change to a station that is a file of its own is told: the file is somebody's.
std::string rewritten(const Opened& opened, const std::string& file) {
  return opened.own ? "note: the file " + units::inert(file) + " was rewritten.\n" : "";
}

Said show_station(const Context& context, const Parsed& parsed, bool as_file) {
  const auto rest = rest_of(parsed, 0, 1, as_file ? "export NAME|FILE" : "show NAME|FILE");
  const auto opened = open_station(context, rest.empty() ? "" : rest.front());
  const auto station = opened.store->find(opened.name);
  return {as_file ? files::write_station(station) : report::station_text(station, shown(context, parsed)),
          ""};
}

std::string unit_of(const Parsed& parsed) {
  return parsed.value("--unit").value_or("mm");
}

}  // namespace

Said station_command(const Context& context, const Parsed& parsed) {
  static const std::vector<std::string> words{"add", "list", "show", "set", "rename", "export"};
  const std::string sub = parsed.arguments.empty() ? "" : parsed.arguments.front();
  if (sub == "add") {
    const auto rest = rest_of(parsed, 1, 1, "add FILE");
    const auto station = files::parse_station(files::read_text(rest.front()));
    app::add_station(*context.store, station);
    return {"station " + units::inert(station.name) + " added.\n", ""};
  }
  if (sub == "list") {
    rest_of(parsed, 0, 0, "list");
    const auto names = context.store->list();
    return {parsed.has("--json") ? report::station_names_json(names) : report::station_names_text(names), ""};
  }
  if (sub == "show" || sub == "export")
    return show_station(context, parsed, sub == "export" || parsed.has("--json"));
  if (sub == "set") {
    const auto rest = rest_of(parsed, 3, 3,
                              "set NAME|FILE WHAT VALUE, WHAT one of " + units::one_of(app::settable()) +
                                  ", or a path in the station's file such as grid.pitch_mm");
    const auto opened = open_station(context, rest[0]);
    const auto station =
        app::set_in_station(*opened.store, opened.name, rest[1], rest[2], units::parse_unit(unit_of(parsed)));
    return {report::station_text(station, shown(context, parsed)), rewritten(opened, rest[0])};
  }
  if (sub == "rename") {
    const auto rest = rest_of(parsed, 2, 2, "rename OLD NEW");
    context.store->rename(rest[0], rest[1]);
    return {"station " + units::inert(rest[0]) + " is now " + units::inert(rest[1]) + ".\n", ""};
  }
  no_such_sub_word(parsed, words);
}

Said shims_command(const Context& context, const Parsed& parsed) {
  static const std::vector<std::string> words{"list", "add", "remove"};
  const std::string sub = parsed.arguments.empty() ? "list" : parsed.arguments.front();
  const auto options = shown(context, parsed);
  std::vector<station::Shim> shims;
  std::string note;
  const auto file = parsed.value("--station").value_or("");
  if (sub == "list") {
    rest_of(parsed, 0, 0, "list");
    const auto station = owner_if_any(context, parsed);
    if (station) shims = station->shims;
  } else if (sub == "add") {
    const auto rest = rest_of(parsed, 1, 1, "add \"NAME N layers THICKNESS\"");
    const auto shim = app::parse_shim(rest.front(), units::parse_unit(unit_of(parsed)));
    const auto opened = owner(context, parsed);
    shims = app::add_shim(*opened.store, opened.name, shim).shims;
    note = rewritten(opened, file);
  } else if (sub == "remove") {
    const auto rest = rest_of(parsed, 1, 1, "remove NAME");
    const auto opened = owner(context, parsed);
    shims = app::remove_shim(*opened.store, opened.name, rest.front()).shims;
    note = rewritten(opened, file);
  } else {
    no_such_sub_word(parsed, words);
  }
  return {parsed.has("--json") ? report::shims_json(shims) : "shims\n" + report::shims_text(shims, options),
          note};
}

namespace {

Said trial(const Context& context, const Parsed& parsed) {
  rest_of(parsed, 0, 0, "--trial READINGS");
  if (!parsed.arguments.empty())
    throw UsageError("'" + units::inert(parsed.arguments.front()) + "' is one too many beside --trial.");
  const auto readings =
      app::readings_of(*parsed.value("--trial"), "--trial", units::parse_unit(unit_of(parsed)));
  const auto found = app::trial_of(readings);
  const report::TrialLine line{found.caliper, found.mean_mm, found.lowest_mm, found.highest_mm,
                               found.readings};
  return {parsed.has("--json") ? report::trial_json(line) : report::trial_text(line, shown(context, parsed)),
          ""};
}

Said classes(const Context& context, const Parsed& parsed) {
  rest_of(parsed, 0, 0, "classes");
  std::vector<report::ClassLine> lines;
  for (const auto& each : files::caliper_classes()) lines.push_back({each.caliper, each.source});
  return {report::caliper_classes_text(lines, shown(context, parsed)), ""};
}

}  // namespace

Said caliper_command(const Context& context, const Parsed& parsed) {
  static const std::vector<std::string> words{"list", "classes", "add", "remove"};
  if (parsed.has("--trial")) return trial(context, parsed);
  const std::string sub = parsed.arguments.empty() ? "list" : parsed.arguments.front();
  if (sub == "classes") return classes(context, parsed);
  std::vector<station::OwnedCaliper> calipers;
  std::string note;
  const auto file = parsed.value("--station").value_or("");
  if (sub == "list") {
    rest_of(parsed, 0, 0, "list");
    const auto station = owner_if_any(context, parsed);
    if (station) calipers = station->calipers;
  } else if (sub == "add") {
    const auto rest = rest_of(parsed, 2, 2, "add NAME CLASS");
    const auto opened = owner(context, parsed);
    calipers = app::add_caliper(*opened.store, opened.name, {rest[0], rest[1]}).calipers;
    note = rewritten(opened, file);
  } else if (sub == "remove") {
    const auto rest = rest_of(parsed, 1, 1, "remove NAME");
    const auto opened = owner(context, parsed);
    calipers = app::remove_caliper(*opened.store, opened.name, rest.front()).calipers;
    note = rewritten(opened, file);
  } else {
    no_such_sub_word(parsed, words);
  }
  return {
      parsed.has("--json") ? report::calipers_json(calipers) : "calipers\n" + report::calipers_text(calipers),
      note};
}

Said run_word(const Context& context, const Parsed& parsed) {
  const WordRow* row = find_word(parsed.word);
  const bool asks = parsed.arguments.size() == 1 && parsed.arguments.front() == "help" && !is_there("help");
  if (parsed.has("--help") || asks) return {help_text(row), ""};
  if (parsed.word == "check") return check_command(context, parsed);
  if (parsed.word == "correct") return correct_command(context, parsed);
  if (parsed.word == "station") return station_command(context, parsed);
  if (parsed.word == "shims") return shims_command(context, parsed);
  if (parsed.word == "caliper") return caliper_command(context, parsed);
  if (parsed.word == "log") return log_command(context, parsed);
  if (parsed.word == "plan") return plan_command(context, parsed);
  if (parsed.word == "survey") return survey_command(context, parsed);
  if (parsed.word == "history") return history_command(context, parsed);
  if (parsed.word == "find") return find_command(context, parsed);
  if (parsed.word == "report") return report_command(context, parsed);
  throw std::logic_error("the word '" + parsed.word + "' stands in the table without a function");
}

}  // namespace quarterturn::cli
