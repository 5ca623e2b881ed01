// SPDX-License-Identifier: MIT
/// Fuzz target: a readings file or a message, and the two tables of events and of old results. What is read
/// and written again is read the same.
#include <cstdint>
#include <string>

#include "files/event_rows.hpp"
#include "files/readings_file.hpp"
#include "fuzz/support/hold.hpp"
#include "fuzz/support/same.hpp"

using namespace quarterturn;
using fuzz::hold;

namespace {

constexpr const char* kSource = "readings.csv";

void readings(const files::Text& text) {
  const check::Check read = files::parse_readings(text);
  fuzz::hold_finite(read);
  const std::string written = files::write_readings(read);
  const check::Check again = files::parse_readings(files::text_of(written, kSource));
  fuzz::hold_same(read, again);
  hold(files::write_readings(again) == written, "what was written is written the same again");
  // A header put on it is read again; without it the rest is as before.
  const std::string noted = files::with_header(text, "note", "=cold, \"and\" damp");
  hold(files::parse_readings(files::text_of(noted, kSource)).note == "=cold, \"and\" damp",
       "a header that was put on is there");
}

void tables(const files::Text& text) {
  switch (files::table_kind(text)) {
    case files::TableKind::events:
      for (const auto& row : files::parse_events(text)) files::hold_to_event_kind(row.record.kind);
      return;
    case files::TableKind::summaries:
      for (const auto& row : files::parse_summaries(text)) {
        hold(std::isfinite(row.record.error) && row.record.error >= 0, "an old result is not negative");
        hold(!row.record.plus_minus || std::isfinite(*row.record.plus_minus), "its ± is finite");
      }
      return;
    case files::TableKind::readings:
      return readings(text);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  try {
    tables(files::text_of(bytes, kSource));
  } catch (const units::InputError& fault) {
    fuzz::hold_fault(fault, kSource, bytes);
  }
  return 0;
}
