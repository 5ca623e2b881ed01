// SPDX-License-Identifier: MIT
/// Fuzz target: an observation file, and what a survey of the table of the example makes of a short one.
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>

#include "app/run_survey.hpp"
#include "files/observation_file.hpp"
#include "files/station_file.hpp"
#include "fuzz/support/hold.hpp"
#include "report/survey_report.hpp"

using namespace quarterturn;
using fuzz::hold;

namespace {

constexpr const char* kSource = "survey.csv";
constexpr std::size_t kMostSurveyed = 12;  ///< rows: a survey of a few is a matter of milliseconds

void hold_same(const files::ObservationRow& a, const files::ObservationRow& b) {
  const auto &p = a.observation, &q = b.observation;
  hold(p.kind == q.kind && p.from == q.from && p.to == q.to && p.via == q.via, "holes are the same");
  hold(p.side == q.side && p.panel_side == q.panel_side && p.taken == q.taken, "sides are the same");
  hold(p.dog_from == q.dog_from && p.dog_to == q.dog_to && p.dog_via == q.dog_via, "dogs are the same");
  hold(p.value == q.value && p.u == q.u && std::isfinite(p.value) && std::isfinite(p.u), "a value stays");
  hold(a.check == b.check && a.note == b.note && a.measured == b.measured, "the words are the same");
}

void hold_same(const std::vector<files::ObservationRow>& a, const std::vector<files::ObservationRow>& b) {
  hold(a.size() == b.size(), "there are as many rows");
  for (std::size_t i = 0; i < a.size(); ++i) hold_same(a[i], b[i]);
}

void take_survey(const files::ObservationFile& file) {
  static const station::Station dock =
      files::parse_station(files::read_text(QUARTERTURN_ROOT "/examples/stations/dock.json"));
  if (file.rows.size() > kMostSurveyed) return;
  app::SurveyRequest request;
  request.station = dock;
  request.file = file;
  const auto result = app::run_survey(request, nullptr);
  hold(nlohmann::json::accept(report::survey_json(result)), "a survey is told in JSON");
  const std::string text = report::survey_text(result, {});
  fuzz::hold_text(text, 100'000, "a survey");
  fuzz::hold_numbers(text, files::write_observations(file));
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  try {
    const auto read = files::parse_observations(files::text_of(bytes, kSource));
    const std::string written = files::write_observations(read);
    const auto again = files::parse_observations(files::text_of(written, kSource));
    hold_same(read.rows, again.rows);
    hold_same(read.unmeasured, again.unmeasured);
    hold(read.station == again.station && read.setup == again.setup && read.date == again.date &&
             read.by == again.by && read.note == again.note && read.unit == again.unit &&
             read.caliper.has_value() == again.caliper.has_value(),
         "the head is the same");
    hold(files::write_observations(again) == written, "it is written the same again");
    take_survey(read);
  } catch (const units::InputError& fault) {
    fuzz::hold_fault(fault, kSource, bytes);
  }
  return 0;
}
