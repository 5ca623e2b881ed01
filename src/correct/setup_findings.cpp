// SPDX-License-Identifier: MIT
#include "correct/setup_findings.hpp"

#include <algorithm>

#include "check/test_cost.hpp"
#include "station/geometry.hpp"

namespace quarterturn::correct {

std::vector<check::Finding> panel_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& panel, int cuts) {
  std::vector<check::Finding> findings;
  const auto add = [&](const char* code, std::map<std::string, double> numbers) {
    findings.push_back({code, {}, std::move(numbers), {}});
  };
  const station::Geometry geometry = station::geometry_of(station, setup);
  if (geometry.fence->baseline_mm < kShortFenceMm)
    add("short-fence", {{"span_mm", geometry.fence->baseline_mm}});
  const auto room = station::room_of(station, setup);
  if (!panel || !room) return findings;

  const double longer = std::max(panel->width_mm, panel->depth_mm);
  if (longer > room->between_near_dog_and_fence_mm) {
    add("panel-too-long", {{"room_mm", room->between_near_dog_and_fence_mm}, {"panel_mm", longer}});
  }
  const double after = check::shorter_side_after(*panel, cuts);
  if (!setup.bar && after < room->fence_outer_mm) {
    add("panel-leaves-outer-dog", {{"after_mm", after}, {"outer_mm", room->fence_outer_mm}});
  }
  return findings;
}

}  // namespace quarterturn::correct
