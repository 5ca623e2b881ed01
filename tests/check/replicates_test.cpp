// SPDX-License-Identifier: MIT
// Checks drawn and fitted by the register against each drawn and fitted by itself, and against one another by
// each kind of machine code.
#include "check/replicates.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "stats/isa.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using check::Replicate;
using test::near;

namespace {

struct Cell {
  std::string name;
  int panels, cuts;
  std::vector<double> positions;
  int repeats;
  double sigma_f, sigma_r;
  std::vector<check::Evidence> evidence;
  bool use_assumed = true;
  bool different_places = false;
};

check::Evidence known(check::Component component, double mm, double nu) {
  return {component, mm * mm, nu, check::Source::caliper, {}};
}

/// Every branch: seating or saw marks that come out as nothing, each rule, each kind of knowledge.
std::vector<Cell> cells() {
  const auto reading = known(check::Component::reading, 0.015, 8),
             saw = known(check::Component::saw_marks, 0.01, 6),
             seating = known(check::Component::seating, 0.02, 12);
  const std::vector<double> six{20, 100, 180, 260, 340, 420}, four{0, 150, 300, 450}, two{0, 500};
  return {{"eight strips", 1, 12, six, 3, 0.01, 5e-5, {reading}},
          {"seating near nothing", 1, 12, six, 3, 0.02, 1e-6, {reading}},
          {"saw marks near nothing", 1, 8, six, 3, 0.0005, 5e-5, {}},
          {"all known", 1, 8, four, 2, 0.01, 5e-5, {reading, saw, seating}},
          {"two places", 1, 8, two, 3, 0, 5e-5, {reading, seating}},
          {"one strip, assumed", 1, 5, six, 3, 0.01, 5e-5, {reading}},
          {"two panels, assumed", 2, 5, six, 3, 0.01, 5e-5, {reading}},
          {"panels", 5, 5, six, 3, 0.01, 5e-5, {reading}},
          {"panels, one reading", 6, 5, four, 1, 0.01, 1e-5, {}},
          {"panels without assumption", 2, 5, six, 2, 0.01, 5e-5, {reading}, false},
          {"different places", 1, 12, six, 3, 0.01, 5e-5, {reading}, true, true},
          {"panels, different places", 5, 5, six, 3, 0.01, 5e-5, {reading}, true, true}};
}

struct Made {
  check::Check check;
  check::Fit fit;
  check::FitOptions options;
};
Made made(const Cell& cell) {
  std::mt19937_64 random(17);
  test::Design d;
  d.panels = cell.panels;
  d.cuts = cell.cuts;
  d.positions = cell.positions;
  d.repeats = cell.repeats;
  d.sigma_f = cell.sigma_f;
  d.sigma_r = cell.sigma_r;
  Made m;
  m.options.use_assumed = cell.use_assumed;
  m.check = d.check(random);
  if (cell.different_places) {  // every other strip has one place less, and its others stand closer
    for (std::size_t j = 0; j < m.check.strips.size(); j += 2) {
      m.check.strips[j].spots.pop_back();
      for (auto& spot : m.check.strips[j].spots) spot.position_mm *= 0.9;
    }
  }
  m.fit = check::fit(m.check, cell.evidence, {}, m.options);
  return m;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("replicates: by the register each is what it is by itself") {
    constexpr std::size_t kMany = 203;  // the last register is not full
    for (const Cell& cell : cells()) {
      CAPTURE(cell.name);
      const Made m = made(cell);
      const check::Replicates replicates(m.check, cell.evidence, m.fit, m.options, 3);
      REQUIRE(replicates.even());
      std::vector<Replicate> all(kMany);
      replicates.fill(0, all);
      std::size_t by_register = 0;
      for (std::size_t k = 0; k < kMany; ++k) {
        CAPTURE(k);
        by_register += all[k].by_register ? 1 : 0;
        const Replicate one = replicates.by_itself(k);
        CHECK(all[k].told == one.told);
        CHECK(near(all[k].eta, one.eta, 0, 1e-12));
        CHECK(near(all[k].half_width, one.half_width, 1e-12, 0));
      }
      CHECK(by_register == kMany);
    }
  }

  TEST_CASE("replicates: the same bits by each machine code, and from wherever one begins") {
    for (const Cell& cell : cells()) {
      CAPTURE(cell.name);
      const Made m = made(cell);
      const check::Replicates replicates(m.check, cell.evidence, m.fit, m.options, 3);
      const stats::Isa before = stats::isa_in_use();
      stats::use(stats::Isa::plain);
      std::vector<Replicate> plain(64), other(64);
      replicates.fill(0, plain);
      for (const auto isa : {stats::Isa::plain, stats::Isa::avx2, stats::Isa::avx512}) {
        if (!stats::runs(isa)) continue;
        stats::use(isa);
        const std::span<Replicate> parts(other);
        replicates.fill(0, parts.first(13));
        replicates.fill(13, parts.subspan(13));
        for (std::size_t k = 0; k < plain.size(); ++k) {
          CHECK(other[k].eta == plain[k].eta);
          CHECK(other[k].half_width == plain[k].half_width);
        }
      }
      stats::use(before);
    }
  }

  TEST_CASE("replicates: a design that asks for more is fitted one by one") {
    Cell cell = cells().front();
    cell.positions = {0, 250, 500};
    cell.cuts = 5;  // one degree of freedom for saw marks: (M28)
    const Made few = made(cell);
    CHECK(!check::Replicates(few.check, cell.evidence, few.fit, {}, 1).even());
    Made uneven = made(cells().front());
    uneven.check.strips.front().spots.front().readings.pop_back();
    const auto fit = check::fit(uneven.check, cell.evidence);
    const check::Replicates replicates(uneven.check, cell.evidence, fit, {}, 1);
    CHECK(!replicates.even());
    std::vector<Replicate> all(3);
    replicates.fill(5, all);
    for (std::size_t k = 0; k < all.size(); ++k)
      CHECK(all[k].half_width == replicates.by_itself(5 + k).half_width);
  }
}
