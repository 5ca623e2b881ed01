// SPDX-License-Identifier: MIT
#include "app/run_plan.hpp"

#include <algorithm>
#include <cmath>

#include "app/bare_geometry.hpp"
#include "app/fit_inputs.hpp"
#include "app/known_checks.hpp"
#include "correct/setup_findings.hpp"
#include "files/caliper_classes.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

using plan::From;

constexpr const char* kUsualCaliper = "digital";
constexpr int kMostCutsBefore = 16;    ///< looked at while a person waits
constexpr double kLeastApartMm = 100;  ///< nearer places tell hardly anything of an angle

const station::Setup* setup_of(const PlanRequest& request) {
  if (!request.station) return nullptr;
  const auto& setup = request.station->setup(request.setup);
  if (std::fabs(setup.nominal_deg - 90) >= 0.01) {
    throw units::InputError("setup", setup.name, "one of 90 degrees", {},
                            "strips tell square setups only; measure a mitre on a closed frame");
  }
  return &setup;
}

std::optional<station::Geometry> geometry_of(const PlanRequest& request, const station::Setup* setup) {
  if (setup != nullptr) return station::geometry_of(*request.station, *setup);
  BareSetup bare;
  bare.fence_baseline_mm = request.fence_baseline_mm;
  return geometry_of_bare(bare);
}

void take_caliper(const PlanRequest& request, plan::Result& result) {
  auto& caliper = result.bench.caliper;
  caliper = request.caliper;
  if (!caliper && request.station && request.station->calipers.size() == 1)
    caliper = files::caliper_of_class(request.station->calipers.front().caliper_class);
  if (!caliper) {
    caliper = files::caliper_of_class(kUsualCaliper);
    result.caliper_assumed = true;
  }
  result.bench.evidence = evidence_of(caliper);
}

/// A panel of the usual size, or what there is room for.
void take_panel(const PlanRequest& request, const std::optional<station::Room>& room, plan::Result& result) {
  result.panel_assumed = !request.panel;
  double side = usual_panel_mm(request.unit);
  if (room) side = std::min(side, std::floor(room->between_near_dog_and_fence_mm / 50) * 50);
  result.bench.panel = request.panel.value_or(check::PanelSize{side, side, {}});
}

/// Sizes planned for, and what the fit will know of them.
void take_sizes(const PlanRequest& request, plan::Result& result) {
  auto& bench = result.bench;
  result.log = plan::sizes_of_log(request.earlier, bench.evidence, bench.options);
  const double of_class = bench.caliper->repeatability_mm > 0
                              ? bench.caliper->repeatability_mm
                              : files::caliper_of_class(kUsualCaliper).repeatability_mm;
  bench.sizes = {result.log.reading_mm.value_or(of_class), result.log.saw_marks_mm.value_or(0),
                 result.log.seating_mm.value_or(check::kAssumedSeatingMm)};
  if (result.log.reading_mm)
    result.reading = From::log;
  else if (bench.caliper->repeatability_mm <= 0)
    result.reading = From::assumed;
  if (result.log.saw_marks_mm) result.saw_marks = From::log;
  if (result.log.seating_mm) result.seating = From::log;
  bench.earlier = request.earlier;
  // Sizes that are given are not those of the log: its checks would contradict the tests that are foretold.
  if (request.saw_marks_mm || request.seating_mm) bench.earlier.clear();
  if (request.saw_marks_mm) {
    bench.sizes.saw_marks_mm = *request.saw_marks_mm;
    result.saw_marks = From::given;
  }
  if (request.seating_mm) {
    bench.sizes.seating_mm = *request.seating_mm;
    result.seating = From::given;
  }
}

void hold_to_panel(const PlanRequest& request, const plan::Result& result) {
  const auto& panel = result.bench.panel;
  const double shorter = std::min(panel.width_mm, panel.depth_mm);
  const auto mm = [](double value) { return units::shortest(std::round(value * 10) / 10) + " mm"; };
  if (plan::most_cuts_on(panel, result.least_mm) < 5) {
    throw units::InputError(
        "panel", mm(panel.width_mm) + " x " + mm(panel.depth_mm),
        "at least " + mm(result.least_mm + shorter - check::shorter_side_after(panel, 5)) +
            " each way for five cuts",
        {},
        "less than " + mm(result.least_mm) + " would be left of it, too little to " +
            (result.least_mm > check::kSmallestPanelMm ? "lie at both fence dogs" : "hold safely"));
  }
  if (!request.apart_mm) return;
  if (*request.apart_mm < kLeastApartMm || *request.apart_mm >= shorter) {
    throw units::InputError("distance apart", mm(*request.apart_mm),
                            "from " + mm(kLeastApartMm) + " to less than the panel's " + mm(shorter), {},
                            "the distance between the two outer places measured on a strip");
  }
}

}  // namespace

plan::Result run_plan(const PlanRequest& request) {
  plan::Result result;
  const station::Setup* setup = setup_of(request);
  const auto geometry = geometry_of(request, setup);
  const auto room = setup != nullptr ? station::room_of(*request.station, *setup) : std::nullopt;
  auto& bench = result.bench;
  if (setup != nullptr) {
    result.station = request.station->name;
    result.setup = setup->name;
  }
  bench.options = fit_options_of(geometry, request.confidence, request.use_assumed);
  bench.spots = request.spots;
  bench.readings = request.readings;
  bench.apart_mm = request.apart_mm;
  take_caliper(request, result);
  take_panel(request, room, result);
  take_sizes(request, result);
  result.span_assumed = !bench.options.span_mm && !bench.options.bar_length_mm;
  result.span_mm = bench.options.bar_length_mm ? *bench.options.bar_length_mm
                                               : bench.options.span_mm.value_or(check::kDefaultSpanMm);
  result.most_cuts = request.most_cuts;
  result.least_mm = setup != nullptr ? least_panel_mm(*request.station, *setup) : check::kSmallestPanelMm;
  hold_to_panel(request, result);
  if (setup != nullptr) result.findings = correct::panel_findings(*request.station, *setup, bench.panel, 5);

  const auto tolerance = request.tolerance  ? request.tolerance
                         : setup != nullptr ? setup->tolerance
                                            : std::nullopt;
  if (tolerance)
    result.aim = plan::Aim{tolerance->angle.rad(), request.share_within, request.share_outside,
                           request.chance, request.strict};
  result.over_mm = told_over_mm(tolerance, request.panel, request.unit);
  result.plan = plan::plan_of(bench, result.aim, request.most_cuts, result.least_mm, request.to_cheapest);
  return result;
}

std::optional<plan::Result> outlook_of(const CheckRequest& request) {
  if (!request.station) return std::nullopt;
  PlanRequest plan;
  plan.station = request.station;
  plan.setup = request.setup.empty() ? request.check.setup : request.setup;
  plan.tolerance = request.tolerance ? request.tolerance : request.check.tolerance;
  plan.panel = request.check.panel_size;
  plan.caliper = request.check.caliper;
  plan.confidence = request.confidence;
  plan.strict = request.strict;
  plan.use_assumed = request.use_assumed;
  plan.unit = request.check.unit;
  plan.earlier = request.earlier;
  plan.most_cuts = kMostCutsBefore;
  plan.to_cheapest = true;
  try {
    auto result = run_plan(plan);
    return result.aim ? std::optional(std::move(result)) : std::nullopt;
  } catch (const units::InputError&) {
    return std::nullopt;  // the check itself says what is wrong with panel or setup
  }
}

std::vector<check::ScatterEvidence> earlier_of(const logbook::Logbook& log, const station::Station& station,
                                               const std::string& setup, std::int64_t now_utc) {
  const std::string id = log.known_station(station);
  if (id.empty()) return {};
  auto earlier = known_before(log, id, station, station.setup(setup).name, now_utc).earlier;
  std::erase_if(earlier, [](const auto& one) { return one.readings.gaps(); });  // strips are planned
  return earlier;
}

}  // namespace quarterturn::app
