// SPDX-License-Identifier: MIT
/// Intervals with a real log: each trial draws the earlier checks as well as today's, seating included. The
/// expected shares are METHOD.md's (M18), measured earlier by an independent simulation.
#include <doctest/doctest.h>

#include <cmath>
#include <cstdlib>
#include <string>
#include <vector>

#include "support/simulate.hpp"
#include "support/trials.hpp"

using namespace quarterturn;

namespace {

constexpr int kTrials = 2000;              // in the ordinary run
constexpr std::uint64_t kSeed = 20260301;  // fixed once
constexpr int kNu = 12;

/// Three spots a strip, three readings each: saw marks have to be told from seating.
test::Design design_of(int panels, int cuts, double sigma_r, double sigma_f = 0) {
  test::Design d;
  d.panels = panels;
  d.cuts = cuts;
  d.positions = {0, 250, 500};
  d.sigma_r = sigma_r;
  d.sigma_f = sigma_f;
  return d;
}

/// Earlier checks of two panels, twelve of them; or of eight cuts, four: nu_J = 12.
test::LogDesign log_of(bool two_panels, double sigma_r, double sigma_f = 0) {
  test::LogDesign log;
  log.check = two_panels ? design_of(2, 5, sigma_r, sigma_f) : design_of(1, 8, sigma_r, sigma_f);
  log.checks = two_panels ? 12 : 4;
  return log;
}

struct Cell {
  const char* name;
  int panels, cuts;
  double sigma_r;
  bool log_of_panels;
  double sigma_f = 0;
};

std::string label_of(const Cell& cell, const test::LogCoverage& c) {
  return std::string(cell.name) + (cell.log_of_panels ? ", log of two panels" : ", log of eight cuts") +
         ", seating " + std::to_string(cell.sigma_r) + ", saw marks " + std::to_string(cell.sigma_f) +
         ": covered " + std::to_string(c.coverage.rate()) + ", width " +
         std::to_string(c.coverage.half_width_ratio) + ", log refused " + std::to_string(c.refusal_rate());
}

double error(double share, int n) {
  return 2.6 * std::sqrt(share * (1 - share) / n);
}

}  // namespace

TEST_SUITE("coverage") {
  TEST_CASE("with a log of twelve degrees of freedom, steady seating, undiscounted") {
    const int n = test::trials(kTrials);
    // Where seating turns a strip by less than reading does, twelve degrees of freedom of the log tell little
    // of it: such cells stand below, held from one side only.
    const Cell cells[] = {
        {"1 five-cut", 1, 5, 3e-5, true},       {"1 five-cut", 1, 5, 2e-4, true},
        {"1 five-cut", 1, 5, 1e-4, true, 0.01}, {"1 five-cut", 1, 5, 3e-5, false},
        {"1 five-cut", 1, 5, 2e-4, false},      {"2 five-cut", 2, 5, 3e-5, true},
        {"2 five-cut", 2, 5, 2e-4, true},       {"8 cuts", 1, 8, 3e-5, true},
        {"8 cuts", 1, 8, 2e-4, false},
    };
    for (const Cell& cell : cells) {
      const test::LogDesign log = log_of(cell.log_of_panels, cell.sigma_r, cell.sigma_f);
      REQUIRE(log.nu() == kNu);
      const auto c =
          test::log_coverage(design_of(cell.panels, cell.cuts, cell.sigma_r, cell.sigma_f), log, n, kSeed);
      const std::string label = label_of(cell, c);
      INFO(label);
      MESSAGE(label);
      CHECK(c.coverage.rate() >= 0.94 - error(0.94, n));
      CHECK(c.coverage.rate() <= 0.965 + error(0.965, n));
      // The median of n half-widths scatters by up to 1.25 / sqrt(n) of itself.
      CHECK(c.coverage.half_width_ratio <= 1.25 * (1 + 2.6 * 1.25 / std::sqrt(n)));
      if (cell.panels * cell.cuts == 5) {
        CHECK(c.refused == 0);  // one strip has no scatter
      } else {
        CHECK(std::fabs(c.refusal_rate() - 0.05) <= 0.01 + error(0.05, n));  // the F test's size
      }
    }
    for (const Cell& cell : {Cell{"1 five-cut", 1, 5, 1e-5, true}, Cell{"8 cuts", 1, 8, 1e-5, true}}) {
      const auto c = test::log_coverage(design_of(cell.panels, cell.cuts, cell.sigma_r),
                                        log_of(true, cell.sigma_r), n, kSeed);
      const std::string label = label_of(cell, c);
      INFO(label);
      MESSAGE(label);
      CHECK(c.coverage.rate() >= 0.94 - error(0.94, n));
      CHECK(c.refusal_rate() <= 0.06 + error(0.05, n));
    }
  }

  TEST_CASE("with a log, seating that varies from check to check, discounted") {
    const int n = test::trials(kTrials);
    for (const Cell& cell : {Cell{"1 five-cut", 1, 5, 3e-5, true}, Cell{"1 five-cut", 1, 5, 2e-4, true},
                             Cell{"2 five-cut", 2, 5, 2e-4, true}, Cell{"8 cuts", 1, 8, 2e-4, false}}) {
      test::LogDesign log = log_of(cell.log_of_panels, cell.sigma_r);
      log.between = log.omega2 = 0.2;
      const auto c = test::log_coverage(design_of(cell.panels, cell.cuts, cell.sigma_r), log, n, kSeed);
      const std::string label = label_of(cell, c);
      INFO(label);
      MESSAGE(label);
      CHECK(c.coverage.rate() >= 0.945 - error(0.945, n));
      CHECK(c.coverage.rate() <= 0.97 + error(0.97, n));
      CHECK(c.refusal_rate() <= 0.05 + error(0.05, n));
    }
  }

  TEST_CASE("seating twice the log's: what the F test saves is told, not promised") {
    const int n = test::trials(kTrials);
    for (const Cell& cell : {Cell{"1 five-cut", 1, 5, 2e-4, true}, Cell{"2 five-cut", 2, 5, 2e-4, true},
                             Cell{"8 cuts", 1, 8, 2e-4, false}}) {
      test::LogDesign log = log_of(cell.log_of_panels, cell.sigma_r / 2);
      log.omega2 = 0.2;
      const auto c = test::log_coverage(design_of(cell.panels, cell.cuts, cell.sigma_r), log, n, kSeed);
      MESSAGE(label_of(cell, c));
      if (cell.panels * cell.cuts == 5) {
        CHECK(c.refused == 0);
      } else {
        CHECK(c.refusal_rate() > 0.05);  // it sees more than it imagines
      }
    }
  }
}
