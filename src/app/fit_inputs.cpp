// SPDX-License-Identifier: MIT
#include "app/fit_inputs.hpp"

#include <algorithm>

#include "check/reference_lengths.hpp"
#include "files/caliper_classes.hpp"

namespace quarterturn::app {
namespace {

constexpr double kPanelMm = 600.0, kPanelInch = 24.0;

}  // namespace

check::Caliper usual_feeler() {
  return files::caliper_of_class("feeler");
}

std::optional<check::Caliper> caliper_in_use(const check::Check& check,
                                             const std::optional<station::Station>& station) {
  if (check.caliper) return check.caliper;
  if (check.gaps()) return usual_feeler();
  if (!station) return std::nullopt;
  const auto& owned = station->calipers;
  if (!check.caliper_id.empty()) {
    const auto found = std::find_if(owned.begin(), owned.end(),
                                    [&](const auto& caliper) { return caliper.name == check.caliper_id; });
    if (found != owned.end()) return files::caliper_of_class(found->caliper_class);
    return std::nullopt;
  }
  if (owned.size() == 1) return files::caliper_of_class(owned.front().caliper_class);
  return std::nullopt;
}

std::vector<check::Evidence> evidence_of(const std::optional<check::Caliper>& caliper) {
  if (!caliper || caliper->repeatability_mm <= 0) return {};
  return {{check::Component::reading,
           caliper->repeatability_mm * caliper->repeatability_mm,
           caliper->dof(),
           check::Source::caliper,
           {}}};
}

check::FitOptions fit_options_of(const std::optional<station::Geometry>& geometry, double confidence,
                                 bool use_assumed) {
  check::FitOptions options;
  options.confidence = confidence;
  options.use_assumed = use_assumed;
  if (geometry) {
    options.span_mm = geometry->seating_span_mm();
    options.bar_length_mm = geometry->bar_length_mm;
  }
  return options;
}

double usual_panel_mm(units::Unit unit) {
  return unit == units::Unit::inch ? kPanelInch * units::kMmPerInch : kPanelMm;
}

double told_over_mm(const std::optional<units::Tolerance>& tolerance,
                    const std::optional<check::PanelSize>& named, units::Unit unit) {
  if (tolerance && tolerance->over) return tolerance->over->mm();
  return named ? named->width_mm : usual_panel_mm(unit);
}

double least_panel_mm(const station::Station& station, const station::Setup& setup) {
  const auto room = station::room_of(station, setup);
  return room && !setup.bar ? std::max(check::kSmallestPanelMm, room->fence_outer_mm)
                            : check::kSmallestPanelMm;
}

}  // namespace quarterturn::app
