// SPDX-License-Identifier: MIT
// What a fault of each part makes of eps, held against tangents of displaced circles and sawn panels.
#include "history/scene.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "support/fault_bench.hpp"
#include "support/near.hpp"

namespace {

using namespace quarterturn;
using history::PartKind;
using test::near;

double share(const history::Scene& scene, const history::Seen& seen, PartKind kind, const std::string& name) {
  double per = 0;
  for (const auto& one : seen.shares) {
    if (scene.parts[one.part].kind == kind && scene.parts[one.part].name == name) per += one.per;
  }
  return per;
}

}  // namespace

TEST_SUITE("history") {
  TEST_CASE("scene: shares of holes, dogs and the grid are those of exact tangents") {
    std::mt19937_64 random(1);
    test::FaultBench bench(random);
    history::Scene scene;
    history::Seen seen;
    const auto& setup = bench.station.setups.at("crosscut");
    history::stand_on(scene, seen, bench.station, setup, {}, 600);
    const double mm = 0.1, before = bench.eps("crosscut");
    // Second order: shift over baseline, 0.1/288, and the unequal holes of the bench likewise
    const auto check = [&](double per) {
      CHECK(near((bench.eps("crosscut") - before) / mm, per, 2e-3, 1e-9));
    };
    const auto part = [&](const char* dog, const char* hole, bool rail) {
      CAPTURE(dog);
      auto& place = bench.holes.at(hole);
      const auto kept_hole = place;
      (rail ? place.x : place.y) += mm * (rail ? -1 : 1);  // along m: quarter left of the line
      check(share(scene, seen, PartKind::hole,
                  std::string(hole) + (rail ? " along the fence" : " along the rail")));
      check(share(scene, seen, PartKind::dog_lean, dog));
      place = kept_hole;
      bench.dogs.at(dog).diameter_mm += 2 * mm;
      check(share(scene, seen, PartKind::dog_size, dog));
      bench.dogs.at(dog).diameter_mm -= 2 * mm;
    };
    part("tall-1", "E2", true);
    part("tall-2", "E10", true);
    part("low-1", "A9", false);
    part("low-2", "D9", false);
    bench.dogs.at("tall-2").shim_mm = mm;
    check(seen.per_rail);
    bench.dogs.at("tall-2").shim_mm = 0;
    bench.dogs.at("low-2").shim_mm = mm;
    check(seen.per_fence);
    bench.dogs.at("low-2").shim_mm = 0;
    bench.shear_rad = 1e-4;
    CHECK(near(bench.eps("crosscut") - before, 1e-4 * share(scene, seen, PartKind::square, ""), 1e-3, 0));
    // A dog turned by half a turn leans the other way.
    history::Seen turned;
    history::stand_on(scene, turned, bench.station, setup, {{"tall-1", -1}}, 600);
    CHECK(near(share(scene, turned, PartKind::dog_lean, "tall-1"),
               -share(scene, seen, PartKind::dog_lean, "tall-1"), 1e-15, 0));
  }

  TEST_CASE("scene: the share of a bow is what strips of a curved saw read") {
    for (const char* side : {"before", "beyond"}) {
      CAPTURE(std::string(side));
      std::mt19937_64 random(1);
      test::FaultBench bench(random);
      auto& setup = bench.station.setups.at("crosscut");
      if (std::string(side) == "beyond") {
        setup.panel_side = station::PanelSide::beyond;
        setup.fence = {{station::parse_hole("A3"), "low-1"}, {station::parse_hole("D3"), "low-2"}};
      }
      test::Table table = test::table_of(bench.station, setup);
      const double h = 0.1;
      const auto strips_of = [&](double curvature) {
        table.curvature_per_mm = curvature;
        return test::cut_panel(table, test::skewed_panel(640, 640), 5).back();
      };
      const double length = strips_of(0).length_mm();
      const double theta = strips_of(8 * h / (length * length)).taper_rad() - strips_of(0).taper_rad();
      history::Scene scene;
      history::Seen seen;
      history::stand_on(scene, seen, bench.station, setup, {}, length);
      const double q = station::corner_sign(setup.keep, setup.panel_side);
      // The strip of the last two cuts: two lengths that differ by a strip (M6)
      CHECK(near(q * theta / 4 / h, share(scene, seen, PartKind::bow, ""), 0.03, 2e-5));
    }
  }

  TEST_CASE("scene: play turns each line by itself, as (M74)") {
    std::mt19937_64 random(1);
    test::FaultBench bench(random);
    history::Scene scene;
    for (const char* name : {"crosscut", "small", "crosscut"}) {
      history::Seen seen;
      history::stand_on(scene, seen, bench.station, bench.station.setups.at(name), {}, 600);
      seen.insertion = scene.checks.size() == 2 ? 1 : 0;
      scene.checks.push_back(seen);
    }
    const auto columns = history::play_columns(scene);
    CHECK(columns.size() == 5);  // one rail and two fences, then rail and fence anew
    double square = 0, both = 0;
    for (const auto& x : columns) {
      square += x[0] * x[0];
      both += x[0] != 0 && x[1] != 0;
    }
    // (sqrt 2/4) sqrt(1/768^2 + 1/288^2) by hand
    CHECK(near(std::sqrt(square), 1.31109e-3, 1e-5, 0));
    CHECK(both == 1);
  }

  TEST_CASE("scene: the good check is the last one within of the newest one's setup") {
    history::Scene scene;
    const auto add = [&](const char* setup, bool within) {
      history::Seen seen;
      seen.setup = setup;
      seen.within = within;
      scene.checks.push_back(seen);
    };
    add("a", false);
    CHECK(!scene.good());
    add("a", true);
    CHECK(scene.good() == 0);  // none was within: the one before
    add("b", true);
    add("a", false);
    add("a", false);
    CHECK(scene.good() == 1);
    add("c", false);
    CHECK(!scene.good());
  }
}
