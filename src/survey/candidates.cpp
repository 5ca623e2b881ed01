// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "survey/next.hpp"

namespace quarterturn::survey {
namespace {

constexpr double kLeastBetweenMm = 10;  ///< for the inside jaws

double radius_mm(const station::Station& station, const std::string& dog) {
  const auto found = station.dogs.find(dog);
  return found == station.dogs.end() ? 0 : found->second.diameter.mm() / 2;
}

/// A length between two holes of a grid as the caliper can take it; empty: beyond its reach.
std::optional<Observation> within_reach(double apart_mm, double around_mm, const NextOptions& options) {
  constexpr double kRounding = 1 + 1e-12;
  const bool centre = options.dog_1.empty() || options.dog_2.empty();
  const double over_mm = apart_mm + around_mm, between_mm = apart_mm - around_mm;
  if (over_mm <= options.reach_mm * kRounding) {
    return distance({}, {}, centre ? Taken::centre : Taken::outside, centre ? apart_mm : over_mm,
                    options.distance_u_mm, centre ? "" : options.dog_1, centre ? "" : options.dog_2);
  }
  if (centre || !options.between || between_mm < kLeastBetweenMm || between_mm > options.reach_mm * kRounding)
    return std::nullopt;
  return distance({}, {}, Taken::inside, between_mm, options.distance_u_mm, options.dog_1, options.dog_2);
}

void add_distances(std::vector<Candidate>& out, const station::Station& station, const NextOptions& options) {
  const station::Grid& grid = station.grid;
  const bool centre = options.dog_1.empty() || options.dog_2.empty();
  const double around = centre ? grid.hole_diameter.mm()
                               : radius_mm(station, options.dog_1) + radius_mm(station, options.dog_2);
  const double most = options.reach_mm + (options.between ? around : -around);
  const int reach = static_cast<int>(std::floor(most / grid.pitch.mm() + 1e-9));
  std::vector<Candidate> all;
  for (int dc = -std::min(reach, grid.columns - 1); dc <= std::min(reach, grid.columns - 1); ++dc) {
    for (int dr = 0; dr <= std::min(reach, grid.rows - 1); ++dr) {
      if (dr == 0 && dc <= 0) continue;
      const auto length = within_reach(grid.pitch.mm() * std::hypot(dc, dr), around, options);
      if (!length) continue;
      for (int c = std::max(1, 1 - dc); c <= grid.columns - std::max(0, dc); ++c) {
        for (int r = 1; r + dr <= grid.rows; ++r) {
          Candidate one{*length, options.distance_minutes};
          one.observation.from = {c, r};
          one.observation.to = {c + dc, r + dr};
          if (grid.has(one.observation.from) && grid.has(one.observation.to)) all.push_back(std::move(one));
        }
      }
    }
  }
  const std::size_t step = (all.size() + kMostCandidates - 1) / std::max<std::size_t>(kMostCandidates, 1);
  for (std::size_t i = 0; i < all.size(); i += std::max<std::size_t>(step, 1)) out.push_back(all[i]);
}

/// Whole, half and quarter of what there is.
std::set<int> sizes(int holes) {
  std::set<int> out;
  for (const int part : {1, 2, 4}) {
    if ((holes - 1) / part > 0) out.insert((holes - 1) / part);
  }
  return out;
}

void add_diagonals(std::vector<Candidate>& out, const station::Station& station, const NextOptions& options) {
  const station::Grid& grid = station.grid;
  for (const int w : sizes(grid.columns)) {
    for (const int h : sizes(grid.rows)) {
      for (int c = 1; c + w <= grid.columns; c += std::max(1, w / 2)) {
        for (int r = 1; r + h <= grid.rows; r += std::max(1, h / 2)) {
          const Hole a{c, r}, b{c + w, r + h}, d{c + w, r}, e{c, r + h};
          if (!grid.has(a) || !grid.has(b) || !grid.has(d) || !grid.has(e)) continue;
          out.push_back({compare(a, b, d, e, 0, options.compare_u_mm), options.compare_minutes});
        }
      }
    }
  }
}

}  // namespace

std::vector<Candidate> candidates(const station::Station& station, const NextOptions& options) {
  std::vector<Candidate> out;
  add_distances(out, station, options);
  add_diagonals(out, station, options);
  for (const station::Setup& setup : options.checks) {
    Observation check = corner(setup, 0, options.corner_u_rad);
    check.value = nominal_value(station, check);
    out.push_back({check, options.check_minutes});
    for (const auto& [rail, fence] : {std::pair{true, false}, {false, true}, {true, true}}) {
      Observation turned = exchanged(check, rail, fence);
      turned.value = nominal_value(station, turned);
      out.push_back({turned, options.exchange_minutes});
    }
  }
  return out;
}

}  // namespace quarterturn::survey
