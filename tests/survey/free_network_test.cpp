// SPDX-License-Identifier: MIT
#include "survey/free_network.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "survey/dense_survey.hpp"
#include "survey/survey_bench.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::FreeNetwork;
using survey::Taken;

namespace {

using List = std::vector<Observation>;

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("neighbours leave seventeen flexes, diagonals that span all strips close them") {
    const station::Station station = survey_table();
    List list;
    add_neighbours(list, station.grid, Taken::centre);
    CHECK(list.size() == 178);
    const FreeNetwork loose(station, list);
    CHECK(loose.rank() == 178);
    CHECK(loose.missing() == 17);
    CHECK(2 * loose.holes().size() - 3 == 195);
    CHECK_FALSE(loose.displacement({1, 1}));
    // strip i of 8 columns and strip j of 10 rows: a tree over the 18 has 17 edges
    List spanned = list;
    for (int i = 1; i <= 8; ++i) spanned.push_back(length_of({i, 1}, {i + 1, 2}, Taken::centre));
    for (int j = 2; j <= 10; ++j) spanned.push_back(length_of({1, j}, {2, j + 1}, Taken::centre));
    const FreeNetwork closed(station, spanned);
    CHECK(closed.rank() == 195);
    CHECK(closed.missing() == 0);
    // seventeen that leave a strip out close all but one
    spanned.back() = length_of({2, 1}, {1, 2}, Taken::centre);
    CHECK(FreeNetwork(station, spanned).missing() == 1);
  }

  TEST_CASE("displacements and ellipses are those of the pseudo-inverse") {
    std::mt19937_64 random(61);
    for (const auto& [columns, rows] : {std::pair{4, 5}, {9, 11}, {12, 12}}) {
      const station::Station station = survey_table(columns, rows);
      List list;
      add_neighbours(list, station.grid, Taken::centre);
      add_diagonals(list, station.grid, 1, 1, Taken::centre);
      // small displacements, so that what is second order is below what is compared
      Truth truth;
      truth.hole_sd = 1e-7;
      const survey::Displaced at = draw(station.grid, truth, random);
      for (Observation& o : list) {
        o.value += survey::apply(survey::functional_of(station, o), at) + 1e-7 * normal(random);
      }
      const FreeNetwork free(station, list);
      const DenseSurvey dense(station, list);
      const LeastSolution solution =
          least_solution(dense.design() / kDistanceU, dense.misclosures() / kDistanceU);
      CHECK(solution.rank == free.rank());
      const Eigen::VectorXd& x = solution.x;
      double worst = 0, worst_u = 0;
      for (const Hole& hole : free.holes()) {
        const Eigen::Index k = dense.at(hole);
        const Eigen::Matrix2d q = solution.covariance.block<2, 2>(k, k);
        const survey::Vec d = free.displacement(hole).value();
        const survey::Ellipse e = free.covariance(hole).value();
        worst = std::max({worst, std::fabs(d.x - x(k)), std::fabs(d.y - x(k + 1))});
        worst_u = std::max({worst_u, std::fabs(e.xx / q(0, 0) - 1), std::fabs(e.yy / q(1, 1) - 1),
                            std::fabs(e.xy - q(0, 1)) / q(0, 0)});
      }
      CHECK(x.cwiseAbs().maxCoeff() > 1e-7);
      CHECK(worst < 1e-12);  // mm; rounding of lengths near 100 mm is 1e-14
      CHECK(worst_u < 1e-9);
    }
  }

  TEST_CASE("a corner does not depend on the datum") {
    std::mt19937_64 random(62);
    const station::Station station = survey_table(6, 7);
    List list;
    add_neighbours(list, station.grid, Taken::centre);
    add_diagonals(list, station.grid, 1, 1, Taken::centre);
    add_diagonals(list, station.grid, 3, 3, Taken::centre);
    read_all(list, station, draw(station.grid, {}, random), random);
    const survey::Functional eps =
        survey::eps_of(station, survey::lines_of_holes({3, 1}, {3, 7}, {1, 3}, {6, 3}));
    const auto free = std::get<check::Estimate>(FreeNetwork(station, list).estimate(eps));
    survey::AdjustOptions wide;
    wide.hole_sd_mm = 100;
    wide.second_order = false;
    const auto prior = std::get<check::Estimate>(survey::Adjustment(station, list, wide).estimate(eps));
    CHECK(near(free.u, prior.u, 1e-5, 0));
    CHECK(near(free.x, prior.x, 0, 0.3 * free.u));  // second order, left out there
  }

  TEST_CASE("too sparse for a free network is said") {
    std::mt19937_64 random(63);
    const station::Station station = survey_table();
    List list;
    add_neighbours(list, station.grid, Taken::centre);
    CHECK_THROWS_AS(FreeNetwork(station, some_of(list, 60, random)), units::InputError);
  }
}
