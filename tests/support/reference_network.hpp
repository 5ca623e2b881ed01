// SPDX-License-Identifier: MIT
/// \file reference_network.hpp
/// The networks of data/reference/geodesy as problems to solve, and what was published of them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "stats/network_adjustment.hpp"

namespace quarterturn::test {

/// x = east, y = north; 2 parameters a point in the plane, 1 a height.
struct ReferenceNetwork {
  struct Point {
    std::string name;
    int first = 0;             ///< its x, or its height
    double value[2] = {0, 0};  ///< recomputed [m]
    double sd_mm[2] = {0, 0};  ///< recomputed
    double major_mm = 0, minor_mm = 0, bearing_deg = 0;
    double published[2] = {0, 0};  ///< [m], to 0.1 mm
    double published_sd_mm[2] = {0, 0};
    double published_sd_point_mm = 0;
    std::optional<double> published_correction_mm;
  };
  stats::Network network;
  bool heights = false, free = false;
  int dof = 0;
  double s0 = 0;  ///< recomputed
  std::vector<Point> points;
  std::vector<int> datum;          ///< parameters that the inner constraints of a free network take in
  std::vector<std::string> names;  ///< of the observations, as 'distance 86 75'
};

/// Inner constraints about x, for a free network: shifts, in the plane a turn as well.
std::vector<std::vector<double>> inner_constraints(const ReferenceNetwork& network,
                                                   std::span<const double> x);

/// \param id  file name without .json
ReferenceNetwork reference_network(const std::string& id);

/// All of data/reference/geodesy.
std::vector<std::string> reference_network_ids();

}  // namespace quarterturn::test
