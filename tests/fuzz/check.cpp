// SPDX-License-Identifier: MIT
/// Fuzz target: a whole check from bytes to JSON. The first byte chooses the station of the examples, or
/// none.
#include <array>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "app/run_check.hpp"
#include "files/readings_file.hpp"
#include "files/station_file.hpp"
#include "fuzz/support/hold.hpp"
#include "report/check_report.hpp"
#include "support/json_schema.hpp"

using namespace quarterturn;
using fuzz::hold;

namespace {

constexpr const char* kSource = "readings.csv";

const std::optional<station::Station>& station_of(unsigned which) {
  static const auto all = [] {
    std::array<std::optional<station::Station>, 4> read;
    std::size_t n = 0;
    for (const char* name : {"dock", "loft", "tour"})
      read[n++] = files::parse_station(
          files::read_text(std::string(QUARTERTURN_ROOT "/examples/stations/") + name + ".json"));
    return read;
  }();
  return all[which % all.size()];
}

const test::SchemaJson& schema() {
  static const auto read =
      test::SchemaJson::parse(files::read_text(QUARTERTURN_ROOT "/data/schema/check.json").content);
  return read;
}

void hold_outcome(const correct::Outcome& outcome, const std::string& given) {
  // What is not finite is null in JSON, or stands nowhere: the schema tells where null may stand.
  const auto json = test::SchemaJson::parse(report::check_json(outcome));
  for (const auto& fault : test::schema_faults(schema(), json)) fuzz::broken("the schema: " + fault);
  if (json.contains("corner_error") && json["corner_error"].contains("interval_rad")) {
    const auto& corner = json["corner_error"];
    const double low = corner["interval_rad"][0], high = corner["interval_rad"][1];
    const double middle = corner["estimate_rad"];
    hold(std::isfinite(low) && std::isfinite(high) && low <= middle && middle <= high,
         "an interval is finite");
  }
  constexpr std::size_t kMost = 200'000;
  for (const bool plain : {false, true}) {
    report::TextOptions options;
    options.plain = plain;
    for (const std::string& text : {report::check_text(outcome, options), report::why_text(outcome, options),
                                    report::ways_text(outcome, options)}) {
      fuzz::hold_text(text, kMost, "what a check tells");
      fuzz::hold_numbers(text, given);
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  app::CheckRequest request;
  try {
    request.check = files::parse_readings(files::text_of(bytes, kSource));
  } catch (const units::InputError& fault) {
    fuzz::hold_fault(fault, kSource, bytes);
    return 0;
  }
  request.station = station_of(data[0] & 3U);
  request.strict = (data[0] & 4U) != 0;
  request.use_assumed = (data[0] & 8U) == 0;
  if (!request.station) {
    request.bare.keep = station::Side::left;
    request.bare.panel_side = station::PanelSide::before;
    request.bare.rail_baseline_mm = 768;
  }
  try {
    hold_outcome(app::run_check(request), bytes);
  } catch (const units::InputError& fault) {
    fuzz::hold_text(fault.what(), 3000, "a fault");
  } catch (const check::NoInterval& arithmetic) {
    const std::string told = report::no_interval_text(arithmetic, request.check, {});
    fuzz::hold_text(told, 10'000, "what is told without an interval");
    fuzz::hold_numbers(told, bytes);
  }
  return 0;
}
