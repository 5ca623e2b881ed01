// SPDX-License-Identifier: MIT
#include "survey/free_network.hpp"

#include <cmath>
#include <set>
#include <stdexcept>

#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::survey {

FreeNetwork::FreeNetwork(station::Station station, std::vector<Observation> observations, double confidence)
    : station_(std::move(station)), confidence_(confidence) {
  if (observations.empty()) {
    throw units::InputError("observations", std::string(units::kMissing), "at least one");
  }
  std::set<Hole> holes;
  std::set<std::string> dogs;
  for (std::size_t i = 0; i < observations.size(); ++i) {
    validate(station_, observations[i], "observations[" + std::to_string(i) + "]");
    for (const Hole& hole : observations[i].holes()) holes.insert(hole);
    for (const std::string& dog : observations[i].dogs()) dogs.insert(dog);
  }
  holes_.assign(holes.begin(), holes.end());
  for (const Hole& hole : holes_) {
    at_[hole] = unknowns_;
    unknowns_ += 2;
  }
  for (const std::string& dog : dogs) dog_at_[dog] = unknowns_++;
  adjust(observations);
}

// (M114)
void FreeNetwork::adjust(const std::vector<Observation>& observations) {
  stats::Network network;
  const auto n = static_cast<std::size_t>(unknowns_);
  network.start.assign(n, 0);
  std::vector<std::vector<stats::Entry>> derivatives;
  for (const Observation& o : observations) {
    network.observations.push_back({o.value, o.u});
    derivatives.push_back(*entries(functional_of(station_, o)));
  }
  network.model = [&](int i, std::span<const double> x, std::vector<stats::Entry>& out) {
    const Observation& o = observations[static_cast<std::size_t>(i)];
    out = derivatives[static_cast<std::size_t>(i)];
    Displaced at;
    for (const Hole& hole : o.holes()) {
      const auto k = static_cast<std::size_t>(at_.at(hole));
      at.holes[hole] = {x[k], x[k + 1]};
    }
    for (const std::string& dog : o.dogs()) at.dogs[dog] = x[static_cast<std::size_t>(dog_at_.at(dog))];
    return exact_value(station_, o, at);
  };
  network.datum.assign(3, std::vector<double>(n, 0));
  for (const auto& [hole, k] : at_) {
    const auto i = static_cast<std::size_t>(k);
    const double x = hole.column - 0.5 * (station_.grid.columns + 1);
    const double y = hole.row - 0.5 * (station_.grid.rows + 1);
    network.datum[0][i] = network.datum[1][i + 1] = 1;
    network.datum[2][i] = -y;
    network.datum[2][i + 1] = x;
  }
  stats::NetworkOptions options;
  options.a_posteriori = false;
  try {
    network_ = stats::adjust_network(network, options);
  } catch (const std::domain_error&) {
    throw units::InputError("observations", std::to_string(observations.size()),
                            "enough to hold " + std::to_string(holes_.size()) + " holes in all but 64 ways",
                            {}, "with the scatter of holes as prior knowledge fewer are enough");
  }
}

std::optional<std::vector<stats::Entry>> FreeNetwork::entries(const Functional& functional) const {
  std::vector<stats::Entry> out;
  for (const auto& [hole, g] : functional.holes) {
    const auto found = at_.find(hole);
    if (found == at_.end()) return std::nullopt;
    out.push_back({found->second, g.x});
    out.push_back({found->second + 1, g.y});
  }
  for (const auto& [dog, g] : functional.dogs) {
    const auto found = dog_at_.find(dog);
    if (found == dog_at_.end()) return std::nullopt;
    out.push_back({found->second, g});
  }
  return out;
}

Answer FreeNetwork::estimate(const Functional& functional) const {
  const std::optional<std::vector<stats::Entry>> c = entries(functional);
  const std::optional<double> variance = c ? network_.covariance(*c, *c) : std::nullopt;
  if (!variance) return Undetermined{{"holes"}};
  check::Estimate out;
  for (const stats::Entry& e : *c) out.x += e.value * network_.parameters[static_cast<std::size_t>(e.index)];
  out.u = std::sqrt(std::max(0.0, *variance));
  out.confidence = confidence_;
  out.half_width = stats::normal_quantile(0.5 * (1 + confidence_)) * out.u;
  return out;
}

std::optional<Vec> FreeNetwork::displacement(Hole hole) const {
  if (!covariance(hole)) return std::nullopt;
  const auto k = static_cast<std::size_t>(at_.at(hole));
  return Vec{network_.parameters[k], network_.parameters[k + 1]};
}

std::optional<Ellipse> FreeNetwork::covariance(Hole hole) const {
  const auto found = at_.find(hole);
  if (found == at_.end()) return std::nullopt;
  const int k = found->second;
  const auto xx = network_.covariance(k, k), xy = network_.covariance(k, k + 1),
             yy = network_.covariance(k + 1, k + 1);
  if (!xx || !xy || !yy) return std::nullopt;
  return Ellipse{*xx, *xy, *yy};
}

int FreeNetwork::rank() const {
  return unknowns_ - 3 - missing();
}

}  // namespace quarterturn::survey
