// SPDX-License-Identifier: MIT
/// \file requests.hpp
/// What a check found on an invented table, as correct/ is asked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "correct/correct.hpp"
#include "support/tables.hpp"

namespace quarterturn::test {

inline constexpr double kToleranceRad = 0.10 / 600;

/// The request keeps pointers into `table`, which must outlive it.
inline correct::Request request_for(const Case& table, double eps_rad, double u_rad = 3e-5) {
  correct::Request request;
  request.eps_rad = eps_rad;
  request.u_rad = u_rad;
  request.tolerance_rad = kToleranceRad;
  request.geometry = station::geometry_of(table.station, table.setup);
  request.prior = correct::prediction_of_new_station(request.geometry, std::nullopt);
  request.station = &table.station;
  request.setup = &table.setup;
  request.shims = table.station.shims;
  return request;
}
correct::Request request_for(const Case&& table, double eps_rad, double u_rad = 3e-5) = delete;

inline station::Shim shim(const char* name, double layer_mm, int layers, bool hard = false,
                          double u_mm = 0.005) {
  return {name, units::Length::from_mm(layer_mm), units::Length::from_mm(u_mm), layers, hard};
}

inline std::vector<correct::Move> moves_of(const correct::Advice& advice, correct::Means means) {
  std::vector<correct::Move> found;
  for (const auto& move : advice.moves) {
    if (move.means == means) found.push_back(move);
  }
  return found;
}

/// 0 far rail dog, 1 near rail dog, 2 right fence dog, 3 left fence dog: the oracle's numbers.
inline int number_of(correct::WhichDog dog) {
  switch (dog) {
    case correct::WhichDog::rail_far:
      return 0;
    case correct::WhichDog::rail_near:
      return 1;
    case correct::WhichDog::fence_right:
      return 2;
    case correct::WhichDog::fence_left:
      return 3;
    case correct::WhichDog::none:
      break;
  }
  return -1;
}

}  // namespace quarterturn::test
