// SPDX-License-Identifier: MIT
// Published networks: levelling, distances, angles, azimuths; fixed and free. Sources in
// data/reference/SOURCE.md.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <string>

#include "stats/network_adjustment.hpp"
#include "support/near.hpp"
#include "support/reference_network.hpp"

namespace {

using namespace quarterturn;
using test::near;
using test::ReferenceNetwork;

constexpr double kDegree = std::numbers::pi / 180;

/// Greatest differences of one network, in units of the last place that is given.
struct Worst {
  double value = 0, sd = 0, ellipse = 0, bearing = 0;                 ///< recomputed
  double published = 0, published_sd = 0, point = 0, correction = 0;  ///< published
};

void widen(double& worst, double difference, double unit) {
  worst = std::max(worst, std::fabs(difference) / unit);
}

void compare_axis(const ReferenceNetwork& reference, const stats::NetworkAdjustment& found,
                  const ReferenceNetwork::Point& p, int axis, Worst& worst) {
  const int i = p.first + axis;
  const double value = found.parameters[static_cast<std::size_t>(i)];
  const double sd = 1000 * found.standard_deviation(i).value();
  widen(worst.value, value - p.value[axis], reference.heights ? 1e-8 : 1e-7);
  widen(worst.sd, sd - p.sd_mm[axis], reference.heights ? 1e-6 : 1e-5);
  widen(worst.published, value - p.published[axis], 1e-4);
  widen(worst.published_sd, sd - p.published_sd_mm[axis], 0.01);
}

Worst compare(const ReferenceNetwork& reference, const stats::NetworkAdjustment& found) {
  Worst worst;
  for (const auto& p : reference.points) {
    compare_axis(reference, found, p, 0, worst);
    if (reference.heights) {
      const auto i = static_cast<std::size_t>(p.first);
      widen(worst.correction,
            1000 * (found.parameters[i] - reference.network.start[i]) - p.published_correction_mm.value(),
            0.01);
      continue;
    }
    compare_axis(reference, found, p, 1, worst);
    const auto ellipse = found.ellipse(p.first, p.first + 1).value();
    widen(worst.ellipse, 1000 * ellipse.major - p.major_mm, 1e-5);
    widen(worst.ellipse, 1000 * ellipse.minor - p.minor_mm, 1e-5);
    widen(worst.bearing, ellipse.bearing / kDegree - p.bearing_deg, 1e-4);
    widen(worst.point, 1000 * std::hypot(ellipse.major, ellipse.minor) - p.published_sd_point_mm, 0.01);
  }
  return worst;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("thirteen published networks come out to every digit that is given") {
    const auto ids = test::reference_network_ids();
    CHECK(ids.size() == 13);
    for (const std::string& id : ids) {
      CAPTURE(id);
      ReferenceNetwork reference = test::reference_network(id);
      auto found = stats::adjust_network(reference.network);
      CHECK(found.converged);
      CHECK(found.undetermined.empty());
      CHECK(found.dof == reference.dof);
      CHECK(near(found.sigma0, reference.s0, 1e-10, 0));
      // half a unit of the last place, and what rounding of 1e7 m adds
      Worst worst = compare(reference, found);
      CHECK(worst.value <= 0.502);
      CHECK(worst.published <= 0.502);
      CHECK(worst.correction <= 0.502);
      if (reference.free) {
        // the deviations given are those under constraints about the adjusted points, not the approximate
        // ones
        CHECK(worst.sd < 3);
        reference.network.datum = test::inner_constraints(reference, found.parameters);
        reference.network.start = found.parameters;
        found = stats::adjust_network(reference.network);
        worst = compare(reference, found);
        CHECK(worst.value <= 0.502);
      }
      CHECK(worst.sd <= 0.502);
      CHECK(worst.ellipse <= 0.502);
      CHECK(worst.bearing <= 0.502);
      CHECK(worst.published_sd <= 0.502);
      CHECK(worst.point <= 0.502);
    }
  }

  TEST_CASE("the published free network: w tells what leaving one distance out would bring") {
    const ReferenceNetwork reference = test::reference_network("Hoepke_Distance_free");
    const auto whole = stats::adjust_network(reference.network);
    std::size_t best = 0;
    double lowest = whole.weighted_squares;
    for (std::size_t i = 0; i < reference.names.size(); ++i) {
      CAPTURE(reference.names[i]);
      stats::Network rest = reference.network;
      rest.observations[i].sigma = 1e6;  // m: as good as not measured
      const auto without = stats::adjust_network(rest);
      const stats::Residual& judged = whole.residuals[i];
      // curvature of the distances shifts both a little
      CHECK(near(whole.weighted_squares - without.weighted_squares, judged.w.value() * judged.w.value(), 1e-3,
                 1e-3));
      CHECK(near(without.residuals[i].residual, judged.residual / judged.redundancy, 1e-3, 1e-6));
      if (without.weighted_squares < lowest) {
        lowest = without.weighted_squares;
        best = i;
      }
    }
    CHECK(stats::largest_w(whole.residuals) == best);
    CHECK(reference.names[best] == "distance 1087 20");
  }

  TEST_CASE("a blunder of 5 cm on any distance of it is the first that w names") {
    const ReferenceNetwork reference = test::reference_network("Hoepke_Distance_free");
    for (std::size_t i = 0; i < reference.names.size(); ++i) {
      CAPTURE(reference.names[i]);
      stats::Network wrong = reference.network;
      wrong.observations[i].value += 0.05;
      const auto found = stats::adjust_network(wrong);
      CHECK(stats::largest_w(found.residuals) == i);
      const stats::Residual& judged = found.residuals[i];
      // the distances themselves disagree by up to 16 mm
      CHECK(near(judged.residual / judged.redundancy, 0.05, 0, 0.017));
      CHECK(judged.detectable.value() < 0.05);
    }
  }
}
