// SPDX-License-Identifier: MIT
#include "correct/setup_findings.hpp"

#include <algorithm>

#include "check/test_cost.hpp"
#include "station/geometry.hpp"

namespace quarterturn::correct {
namespace {

/// What counts of a panel: along the rail while it lies at the fence, and along the fence after the last cut.
struct Laid {
  double along_rail_mm = 0, after_mm = 0;
};

std::vector<check::Finding> findings_of(const station::Station& station, const station::Setup& setup,
                                        const std::optional<Laid>& laid) {
  std::vector<check::Finding> findings;
  const auto add = [&](const char* code, std::map<std::string, double> numbers) {
    findings.push_back({code, {}, std::move(numbers), {}});
  };
  const station::Geometry geometry = station::geometry_of(station, setup);
  if (geometry.fence->baseline_mm < kShortFenceMm)
    add("short-fence", {{"span_mm", geometry.fence->baseline_mm}});
  const auto room = station::room_of(station, setup);
  if (!laid || !room) return findings;

  if (laid->along_rail_mm > room->between_near_dog_and_fence_mm) {
    add("panel-too-long",
        {{"room_mm", room->between_near_dog_and_fence_mm}, {"panel_mm", laid->along_rail_mm}});
  }
  if (!setup.bar && laid->after_mm < room->fence_outer_mm) {
    add("panel-leaves-outer-dog", {{"after_mm", laid->after_mm}, {"outer_mm", room->fence_outer_mm}});
  }
  return findings;
}

}  // namespace

std::vector<check::Finding> panel_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& panel, int cuts) {
  std::optional<Laid> laid;
  if (panel) laid = {std::max(panel->width_mm, panel->depth_mm), check::shorter_side_after(*panel, cuts)};
  return findings_of(station, setup, laid);
}

std::vector<check::Finding> piece_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& piece, check::Form form) {
  std::optional<Laid> laid;
  if (piece) {
    const double kept = form == check::Form::halves ? (piece->width_mm - check::kKerfMm) / 2
                                                    : piece->width_mm - check::kStripMm - check::kKerfMm;
    laid = {piece->depth_mm, kept};
  }
  return findings_of(station, setup, laid);
}

}  // namespace quarterturn::correct
