// SPDX-License-Identifier: MIT
/// \file free_network.hpp
/// The other datum: holes free, no scatter assumed; all holes together neither moved nor turned.
///
/// In       a station and observations
/// Out      displacements with covariance where the observations determine them under those three conditions
/// Maths    METHOD.md (M105), (M114); Gauss-Newton on exact geometry by (M103), inner constraints
/// Assumes  sigma of each observation given; pitch and shear are part of the displacements
/// Range    at most 64 conditions missing beyond the three; sparser surveys need the scatter of holes as a
///          prior (adjust.hpp)
/// Accuracy 1e-9 against a pseudo-inverse (tests/survey/free_network_test.cpp)
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "stats/network_adjustment.hpp"
#include "survey/adjust.hpp"

namespace quarterturn::survey {

class FreeNetwork {
 public:
  /// \throws units::InputError from validate(), without observations, or when more conditions are missing
  FreeNetwork(station::Station station, std::vector<Observation> observations, double confidence = 0.95);

  /// Of a function that no movement of the whole table changes, or of displacements under the three
  /// conditions.
  [[nodiscard]] Answer estimate(const Functional& functional) const;
  [[nodiscard]] std::optional<Vec> displacement(Hole hole) const;  ///< [mm]; empty: not determined
  [[nodiscard]] std::optional<Ellipse> covariance(Hole hole) const;

  [[nodiscard]] const stats::NetworkAdjustment& network() const { return network_; }
  [[nodiscard]] int missing() const { return static_cast<int>(network_.undetermined.size()); }
  /// Independent conditions that the observations put on holes and dogs.
  [[nodiscard]] int rank() const;
  [[nodiscard]] const std::vector<Hole>& holes() const { return holes_; }

 private:
  [[nodiscard]] std::optional<std::vector<stats::Entry>> entries(const Functional& functional) const;
  void adjust(const std::vector<Observation>& observations);

  station::Station station_;
  double confidence_;
  std::vector<Hole> holes_;
  std::map<Hole, int> at_;
  std::map<std::string, int> dog_at_;
  int unknowns_ = 0;
  stats::NetworkAdjustment network_;
};

}  // namespace quarterturn::survey
