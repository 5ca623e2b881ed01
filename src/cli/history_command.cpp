// SPDX-License-Identifier: MIT
#include "app/setup_history.hpp"
#include "cli/commands.hpp"
#include "report/history_report.hpp"

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

Said history_command(const Context& context, const Parsed& parsed) {
  auto options = text_options(context, parsed, units::Unit::mm);
  const auto record = record_of(context, parsed);
  if (!parsed.has("--unit") && context.station.empty()) options.unit = record.unit;
  return {parsed.has("--json") ? report::history_json(record) : report::history_text(record, options), ""};
}

}  // namespace quarterturn::cli
