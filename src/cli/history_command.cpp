// SPDX-License-Identifier: MIT
#include "app/setup_history.hpp"
#include "cli/commands.hpp"
#include "report/history_report.hpp"

namespace quarterturn::cli {

Said history_command(const Context& context, const Parsed& parsed) {
  auto options = text_options(context, parsed, units::Unit::mm);
  const Opened opened = open_station(context, parsed.value("--station").value_or(""));
  const auto record =
      app::setup_history(*context.log, opened.store->find(opened.name), parsed.value("--setup").value_or(""),
                         confidence_of(parsed), context.now_utc);
  if (!parsed.has("--unit") && context.station.empty()) options.unit = record.unit;
  return {parsed.has("--json") ? report::history_json(record) : report::history_text(record, options), ""};
}

}  // namespace quarterturn::cli
