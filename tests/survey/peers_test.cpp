// SPDX-License-Identifier: MIT
// A small grid of holes against R: tests/peers/survey_peers.R, its output survey_peers.csv, versions beside
// it; invented distances in tests/peers/survey_data.
#include <doctest/doctest.h>

#include "support/csv_table.hpp"
#include "support/near.hpp"
#include "survey/free_network.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Taken;

namespace {

std::vector<Observation> observations() {
  const CsvTable data("tests/peers/survey_data/grid.csv");
  std::vector<Observation> out;
  for (std::size_t i = 0; i < data.rows(); ++i) {
    const auto hole = [&](const char* which) {
      return Hole{std::stoi(data.text(i, std::string("c") + which)),
                  std::stoi(data.text(i, std::string("r") + which))};
    };
    const auto value = static_cast<double>(data.number(i, "value")),
               u = static_cast<double>(data.number(i, "u"));
    out.push_back(data.text(i, "kind") == "compare"
                      ? survey::compare(hole("1"), hole("2"), hole("3"), hole("4"), value, u)
                      : survey::distance(hole("1"), hole("2"), Taken::centre, value, u));
  }
  return out;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("displacements, pitch, shear and pairs of a small grid are those of R") {
    const station::Station station = survey_table(4, 4);
    const auto list = observations();
    std::map<std::string, double> ours;
    const survey::FreeNetwork free(station, list);
    REQUIRE(free.missing() == 0);
    for (int c = 1; c <= 4; ++c)
      for (int r = 1; r <= 4; ++r) {
        const Hole hole{c, r};
        const auto d = free.displacement(hole);
        const auto q = free.covariance(hole);
        REQUIRE(d.has_value());
        REQUIRE(q.has_value());
        ours["free " + hole.name() + "_x"] = d->x;
        ours["free " + hole.name() + "_y"] = d->y;
        ours["free " + hole.name() + "_ux"] = std::sqrt(q->xx);
        ours["free " + hole.name() + "_uy"] = std::sqrt(q->yy);
      }
    survey::AdjustOptions options;
    options.hole_sd_mm = kHoleSd;
    options.second_order = false;
    const survey::Adjustment mixed(station, list, options);
    const auto take = [&](const std::string& name, const survey::Answer& answer) {
      const auto e = std::get<check::Estimate>(answer);
      ours["mixed " + name] = e.x;
      ours["mixed u_" + name] = e.u;
    };
    take("pitch_x", mixed.effect(survey::Effect::pitch_x));
    take("pitch_y", mixed.effect(survey::Effect::pitch_y));
    take("shear", mixed.effect(survey::Effect::shear));
    take("eps_2_1_4_3_1_4", mixed.eps(survey::lines_of_holes({2, 1}, {2, 4}, {1, 3}, {4, 3})));
    take("eps_1_2_4_1_2_4", mixed.eps(survey::lines_of_holes({1, 2}, {1, 4}, {2, 1}, {4, 1})));
    take("eps_4_1_3_4_1_3", mixed.eps(survey::lines_of_holes({4, 1}, {4, 3}, {1, 4}, {3, 4})));
    const CsvTable peers("tests/peers/survey_peers.csv");
    CHECK(peers.rows() == ours.size());
    for (std::size_t i = 0; i < peers.rows(); ++i) {
      const std::string name = peers.text(i, "set") + " " + peers.text(i, "quantity");
      CAPTURE(name);
      REQUIRE(ours.contains(name));
      CHECK(near(ours.at(name), static_cast<double>(peers.number(i, "value")), 1e-9, 1e-12));
    }
  }
}
