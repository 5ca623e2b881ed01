// SPDX-License-Identifier: MIT
// A hole that does not scatter like the others is set aside: what the others and their pairs are told by
// then.
#include <doctest/doctest.h>

#include "support/near.hpp"
#include "survey/snooping.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Adjustment;
using survey::Taken;

namespace {

std::vector<Observation> drawn(const station::Grid& grid, std::size_t count, std::mt19937_64& random) {
  std::vector<Observation> all;
  add_neighbours(all, grid, Taken::centre);
  for (int k = 1; k <= 3; ++k) add_diagonals(all, grid, k, k, Taken::centre);
  return some_of(all, count, random);
}

struct Found {
  double covered = 0, half_width = 0;                ///< of pairs that do not use the bad hole
  double covered_before = 0, half_width_before = 0;  ///< with the hole among the others
  double of_bad = 0;                                 ///< coverage of pairs that do use it
  double pairs = 0, pairs_of_bad = 0;
  double aside = 0, aside_right = 0, sd = 0;
};

Found run(double off_sd, int tables) {
  constexpr int kPairs = 8;
  const station::Station station = survey_table(7, 8);
  std::mt19937_64 random(61);
  const auto from = [&](int low, int high) {
    return low + static_cast<int>(random() % static_cast<unsigned>(high - low + 1));
  };
  Found found;
  for (int i = 0; i < tables; ++i) {
    survey::Displaced at = draw(station.grid, {}, random);
    std::vector<Observation> list = drawn(station.grid, 160, random);
    const Hole bad{from(2, 6), from(2, 7)};
    const double angle = 6.283185307179586 * static_cast<double>(random() % 1000) / 1000;
    if (off_sd > 0) at.holes[bad] = {off_sd * kHoleSd * std::cos(angle), off_sd * kHoleSd * std::sin(angle)};
    read_all(list, station, at, random);
    const auto now = survey::adjust(station, list);
    const Adjustment before(station, list);
    const auto& aside = now->options().set_aside;
    found.aside += !aside.empty();
    found.aside_right += aside.size() == 1 && aside[0] == bad;
    found.sd += now->components().hole_sd_mm();
    for (int k = 0; k < 2 * kPairs; ++k) {
      const bool with_bad = k >= kPairs;
      const int near = with_bad ? bad.row : from(1, 4), far = near + from(2, 8 - near > 2 ? 8 - near : 2);
      const int column = with_bad ? bad.column : from(1, 7), left = from(1, 4), right = left + 3;
      if (far > 8) continue;
      const auto lines = survey::lines_of_holes({column, near}, {column, far}, {left, 1}, {right, 1});
      const auto f = survey::eps_of(station, lines);
      const double truth = survey::apply(f, at);
      const auto e = std::get<check::Estimate>(now->eps(lines)),
                 b = std::get<check::Estimate>(before.eps(lines));
      const bool holds = std::fabs(e.x - truth) <= e.half_width;
      if (with_bad) {
        found.of_bad += holds;
        ++found.pairs_of_bad;
        continue;
      }
      if (f.holes.contains(bad)) continue;
      ++found.pairs;
      found.covered += holds;
      found.half_width += e.half_width;
      found.covered_before += std::fabs(b.x - truth) <= b.half_width;
      found.half_width_before += b.half_width;
    }
  }
  return found;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("a hole eight sigma off is set aside: other pairs are covered as told, and told narrower" *
            doctest::test_suite("coverage")) {
    constexpr int kTables = 150;
    const Found f = run(8, kTables);
    const Found clean = run(0, kTables);
    MESSAGE("aside " << f.aside / kTables << ", the right one alone " << f.aside_right / kTables << ", sd "
                     << f.sd / kTables << "; half-width " << f.half_width / f.half_width_before
                     << " of before; none off: aside " << clean.aside / kTables << ", half-width "
                     << clean.half_width / clean.half_width_before << ", sd " << clean.sd / kTables);
    MESSAGE("covered " << f.covered / f.pairs << ", before " << f.covered_before / f.pairs
                       << ", with the hole " << f.of_bad / f.pairs_of_bad << "; none off "
                       << clean.covered / clean.pairs);
    CHECK(std::fabs(f.covered / f.pairs - 0.95) < 0.02);
    CHECK(std::fabs(f.of_bad / f.pairs_of_bad - 0.95) < 0.03);
    CHECK(std::fabs(clean.covered / clean.pairs - 0.95) < 0.02);
    CHECK(f.aside / kTables > 0.98);
    CHECK(f.aside_right / kTables > 0.88);
    CHECK(near(f.sd / kTables, kHoleSd, 0.05, 0));
    CHECK(f.half_width < 0.9 * f.half_width_before);
    CHECK(clean.aside / kTables < 0.10);
    CHECK(near(clean.half_width / clean.half_width_before, 1, 0.02, 0));
  }

  TEST_CASE("set aside, a hole is tested against the others as before, and lies where it was put") {
    std::mt19937_64 random(62);
    const station::Station station = survey_table(6, 6);
    survey::Displaced at = draw(station.grid, {}, random);
    std::vector<Observation> list = drawn(station.grid, 110, random);
    const Hole bad{3, 4};
    at.holes[bad] = {0.6, -0.5};
    read_all(list, station, at, random);
    survey::AdjustOptions options;
    options.hole_sd_mm = kHoleSd;
    options.second_order = false;
    const survey::HoleTest before = survey::snoop(Adjustment(station, list, options)).holes.front();
    options.set_aside = {bad};
    const Adjustment aside(station, list, options);
    const survey::HoleTest now = survey::snoop(aside).holes.front();
    CHECK(before.hole == bad);
    CHECK(now.hole == bad);
    CHECK(near(now.statistic, before.statistic, 1e-6, 0));
    CHECK(near(now.displacement.x, before.displacement.x, 1e-6, 0));
    CHECK(near(now.displacement.y, before.displacement.y, 1e-6, 0));
    // where it is told to lie: the whole of it, hardly pulled back
    const survey::HoleResult hole = aside.hole(bad);
    CHECK(near(hole.deviation.x, 0.6, 0, 4 * std::sqrt(hole.covariance.xx)));
    CHECK(near(hole.deviation.y, -0.5, 0, 4 * std::sqrt(hole.covariance.yy)));
    CHECK(std::hypot(hole.deviation.x - now.displacement.x, hole.deviation.y - now.displacement.y) < 0.02);
    CHECK(hole.informed > 0.99);
    // seen in one direction alone, it is tested in that
    std::erase_if(
        list, [&](const Observation& o) { return (o.from == bad || o.to == bad) && o.from.row != o.to.row; });
    list.push_back(length_of({2, 4}, bad, Taken::centre));
    list.back().value += 0.6;
    const Adjustment along(station, list, options);
    for (const auto& test : survey::snoop(along).holes)
      if (test.hole == bad) CHECK(test.dof == 1);
    // what is given is not fitted, so nothing is set aside
    survey::AdjustOptions given;
    given.hole_sd_mm = kHoleSd;
    CHECK(survey::adjust(station, list, given)->options().set_aside.empty());
  }
}
