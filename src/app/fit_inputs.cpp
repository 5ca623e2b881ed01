// SPDX-License-Identifier: MIT
#include "app/fit_inputs.hpp"

#include "files/caliper_classes.hpp"

namespace quarterturn::app {
namespace {

constexpr double kPanelMm = 600.0, kPanelInch = 24.0;

}  // namespace

check::Caliper usual_feeler() {
  return files::caliper_of_class("feeler");
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

}  // namespace quarterturn::app
