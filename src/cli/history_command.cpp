// SPDX-License-Identifier: MIT
#include "app/setup_history.hpp"
#include "app/station_state.hpp"
#include "cli/commands.hpp"
#include "report/history_report.hpp"
#include "report/log_report.hpp"

namespace quarterturn::cli {

namespace {

history::Record record_of(const Context& context, const Parsed& parsed) {
  const Opened opened = open_station(context, parsed.value("--station").value_or(""));
  return app::setup_history(*context.log, opened.store->find(opened.name),
                            parsed.value("--setup").value_or(""), confidence_of(parsed), context.now_utc);
}

}  // namespace

std::string history_why(const Context& context, const Parsed& parsed) {
  return report::history_why_text(record_of(context, parsed), text_options(context, parsed, units::Unit::mm));
}

std::string stations_text(const Context& context, const report::TextOptions& options) {
  std::vector<report::StationStates> stations;
  for (const auto& name : context.store->list())
    stations.push_back({name, app::station_states(*context.log, context.store->find(name), context.now_utc)});
  return report::stations_states_text(stations, options);
}

Said history_command(const Context& context, const Parsed& parsed) {
  auto options = text_options(context, parsed, units::Unit::mm);
  // Of several, none named: how each stands and which is due. A document is of one.
  const bool of_one =
      parsed.has("--station") || parsed.has("--setup") || parsed.has("--json") || !context.station.empty();
  if (!of_one && context.store->list().size() > 1)
    return {stations_text(context, options) + "The record of one: 'history --station NAME'.\n", ""};
  const auto record = record_of(context, parsed);
  if (!parsed.has("--unit") && context.station.empty()) options.unit = record.unit;
  return {parsed.has("--json") ? report::history_json(record) : report::history_text(record, options), ""};
}

}  // namespace quarterturn::cli
