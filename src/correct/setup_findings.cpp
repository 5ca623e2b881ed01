// SPDX-License-Identifier: MIT
#include "correct/setup_findings.hpp"

#include <algorithm>

#include "check/test_cost.hpp"
#include "station/geometry.hpp"

namespace quarterturn::correct {

namespace {

using Findings = std::vector<check::Finding>;

void add(Findings& findings, const char* code, std::map<std::string, double> numbers) {
  findings.push_back({code, {}, std::move(numbers), {}});
}

/// \param along_cut  must fit between rail dog and fence \param along_fence  must reach the outer dog
Findings findings_of(const station::Station& station, const station::Setup& setup,
                     std::optional<double> along_cut_mm, double along_fence_mm) {
  Findings findings;
  const station::Geometry geometry = station::geometry_of(station, setup);
  if (geometry.fence->baseline_mm < kShortFenceMm)
    add(findings, "short-fence", {{"span_mm", geometry.fence->baseline_mm}});
  const auto room = station::room_of(station, setup);
  if (!along_cut_mm || !room) return findings;
  if (*along_cut_mm > room->between_near_dog_and_fence_mm) {
    add(findings, "panel-too-long",
        {{"room_mm", room->between_near_dog_and_fence_mm}, {"panel_mm", *along_cut_mm}});
  }
  if (!setup.bar && along_fence_mm < room->fence_outer_mm) {
    add(findings, "panel-leaves-outer-dog",
        {{"after_mm", along_fence_mm}, {"outer_mm", room->fence_outer_mm}});
  }
  return findings;
}

}  // namespace

std::vector<check::Finding> panel_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& panel, int cuts) {
  if (!panel) return findings_of(station, setup, std::nullopt, 0);
  return findings_of(station, setup, std::max(panel->width_mm, panel->depth_mm),
                     check::shorter_side_after(*panel, cuts));
}

std::vector<check::Finding> piece_findings(const station::Station& station, const station::Setup& setup,
                                           const std::optional<check::PanelSize>& piece) {
  if (!piece) return findings_of(station, setup, std::nullopt, 0);
  return findings_of(station, setup, piece->depth_mm, piece->width_mm);
}

}  // namespace quarterturn::correct
