// SPDX-License-Identifier: MIT
#include "files/event_rows.hpp"

#include <algorithm>
#include <cmath>

#include "check/check.hpp"
#include "files/dates.hpp"
#include "files/named_table.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {
namespace {

using units::InputError;

const std::vector<std::string> kEventColumns{"station", "setup", "date", "event", "note"};
const std::vector<std::string> kSummaryColumns{"station",         "setup", "when",  "test",
                                               "error",           "over",  "side",  "plus_minus",
                                               "already_divided", "by",    "source"};
constexpr double kMostErrorRad = 0.05;  // a strip's taper beyond a twentieth is refused in readings too

void plain(const std::string& text, const std::string& what) {
  if (units::inert(text, text.size()) != text)
    throw InputError(what, text, "one line of plain text", {}, "take control characters out");
}

}  // namespace

TableKind table_kind(const Text& text) {
  const Head head = read_head(text);
  const std::string_view rest = std::string_view(text.content).substr(head.offset);
  const std::string first = units::lowered(rest.substr(0, rest.find_first_of("\r\n")));
  if (first.find("already_divided") != std::string::npos || first.find("plus_minus") != std::string::npos)
    return TableKind::summaries;
  return first.find("event") != std::string::npos ? TableKind::events : TableKind::readings;
}

std::vector<EventRow> parse_events(const Text& text) {
  const NamedTable table(text, kEventColumns, {"date", "event"});
  std::vector<EventRow> found;
  for (const Row& row : table.rows()) {
    EventRow event;
    std::string column = "date";
    try {
      const auto moment = parse_date(table.text(row, "date"), "date");
      event.record.date = moment.as_typed;
      event.record.utc = moment.utc_second;
      column = "event";
      event.record.kind = table.text(row, "event");
      hold_to_event_kind(event.record.kind);
      for (const char* free : {"station", "setup", "note"}) {
        column = free;
        plain(table.text(row, free), free);
      }
    } catch (const InputError& error) {
      throw error.at(table.place(row, column));
    }
    event.station = table.text(row, "station");
    event.record.setup = table.text(row, "setup");
    event.record.note = table.text(row, "note");
    found.push_back(std::move(event));
  }
  return found;
}

const std::vector<std::string>& sides_of_summaries() {
  static const std::vector<std::string> sides{"over-90", "under-90", "unknown"};
  return sides;
}

SummaryRecord summary_of(const SummaryWords& words) {
  SummaryRecord record;
  const auto moment = parse_date(words.when, "when");
  record.date = moment.as_typed;
  record.utc = moment.utc_second;
  const auto* const test = check::find_test(words.test.empty() ? "five-cut" : words.test);
  if (test == nullptr)
    throw InputError("test", words.test, "five-cut, four-cut or progressive", {},
                     "the test the result came from");
  record.test = test->word;
  record.side = words.side.empty() ? "unknown" : words.side;
  if (std::ranges::find(sides_of_summaries(), record.side) == sides_of_summaries().end())
    throw InputError("side", words.side, units::one_of(sides_of_summaries()), {},
                     "of the corner that was kept");
  const std::string divided = units::lowered(words.already_divided);
  if (divided != "yes" && divided != "no")
    throw InputError("already_divided", words.already_divided, "yes or no", {},
                     "yes for the error of one corner, no for the difference measured on the strip");
  const double over = units::parse_length(words.over, "over").mm();
  if (!(over > 0))
    throw InputError("over", words.over, "a length above 0", {},
                     "the length that the error was measured over");
  const double share = 1 / (over * (divided == "yes" ? 1 : test->turns));
  record.error = units::parse_length(words.error, "error").mm() * share;
  if (!(record.error >= 0 && record.error < kMostErrorRad))
    throw InputError("error", words.error, "0 or more, and small against 'over'", {},
                     "its side stands in the column side");
  if (!words.plus_minus.empty()) {
    record.plus_minus = units::parse_length(words.plus_minus, "plus_minus").mm() * share;
    if (!(*record.plus_minus > 0))
      throw InputError("plus_minus", words.plus_minus, "above 0, or empty", {},
                       "half the width of a 95 % interval");
  }
  plain(words.by, "by");
  plain(words.source, "source");
  record.person = words.by;
  record.source = words.source;
  return record;
}

std::vector<SummaryRow> parse_summaries(const Text& text) {
  const NamedTable table(text, kSummaryColumns, {"when", "error", "over", "already_divided"});
  std::vector<SummaryRow> found;
  for (const Row& row : table.rows()) {
    const auto at = [&](const char* column) { return table.text(row, column); };
    SummaryRow summary;
    try {
      summary.record = summary_of({at("when"), at("test"), at("error"), at("over"), at("side"),
                                   at("plus_minus"), at("already_divided"), at("by"), at("source")});
      plain(at("station"), "station");
      plain(at("setup"), "setup");
    } catch (const InputError& error) {
      throw error.at(table.place(row, error.subject()));
    }
    summary.station = at("station");
    summary.record.setup = at("setup");
    found.push_back(std::move(summary));
  }
  return found;
}

}  // namespace quarterturn::files
