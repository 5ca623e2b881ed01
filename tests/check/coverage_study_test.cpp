// SPDX-License-Identifier: MIT
// The study behind the table of METHOD.md's intervals (M25): counts add up, threads change nothing, the table
// is whole.
#include "support/coverage_study.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>
#include <string>
#include <vector>

#include "support/near.hpp"

namespace {

using namespace quarterturn;
using test::near;

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

std::ptrdiff_t count(const std::string& text, char c) {
  return std::count(text.begin(), text.end(), c);
}

test::StudyCell logged_cell() {
  test::StudyCell cell;
  cell.design.cuts = 7;
  cell.design.positions = {0, 250, 500};
  cell.design.sigma_r = 1e-4;
  cell.log = test::LogDesign{cell.design, 4, 0, 0.2};
  return cell;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("what trials came to is counted by side; the half-width is the median over the ideal one") {
    std::vector<test::Trial> trials;
    for (int i = 1; i <= 101; ++i) trials.push_back({i == 1 ? -1 : i > 98 ? 1 : 0, 0.01 * i, false});
    const test::Coverage c = test::coverage_of(trials, 0.5);
    CHECK(c.trials == 101);
    CHECK(c.covered == 97);
    CHECK(c.below == 1);
    CHECK(c.above == 3);
    CHECK(near(c.half_width_ratio, 1.02, 1e-12, 0));
    // Of values spread evenly over 2.02 the median scatters by half of that over the root of their number.
    CHECK(near(c.half_width_ratio_error, 0.1, 0.1, 0));
  }

  TEST_CASE("a study gives the same for any number of threads, and another for another seed") {
    test::StudyCell cell;
    cell.design.panels = 3;
    cell.design.sigma_r = 3e-5;
    for (const test::StudyCell& one : {cell, logged_cell()}) {
      const auto run = [&](std::uint64_t seed, unsigned threads) {
        return test::study_csv(one, test::run_study(one, {60, seed, threads}));
      };
      const std::string alone = run(7, 1);
      CHECK(run(7, 2) == alone);
      CHECK(run(7, 3) == alone);
      CHECK(run(7, 100) == alone);
      CHECK(run(8, 1) != alone);
      CHECK(count(alone, ',') == count(test::study_csv_head(), ','));
    }
  }

  TEST_CASE("less confidence: the interval and the ideal analyst's both shrink") {
    test::StudyCell cell;
    cell.design.sigma_r = 3e-5;
    cell.knowledge.seating_nu = 12;
    cell.knowledge.confidence = 0.8;
    const test::LogCoverage result = test::run_study(cell, {1000, 7, 1});
    CHECK(near(result.coverage.rate(), 0.8, 0, 2.6 * 0.0127));
    CHECK(result.coverage.covered + result.coverage.below + result.coverage.above == 1000);
    CHECK(near(result.coverage.half_width_ratio, 1.02, 0, 0.04));
    CHECK(test::study_text(cell, result).find("nominal 0.8") != std::string::npos);
    CHECK(test::study_text(cell, result).find("log refused") == std::string::npos);
    const test::StudyCell logged = logged_cell();
    CHECK(test::study_text(logged, test::run_study(logged, {20, 7, 1})).find("log refused") !=
          std::string::npos);
  }

  TEST_CASE("the table has a figure in every cell") {
    const auto lines = lines_of(test::study_table({50, 7, 2}));
    REQUIRE(lines.size() == 15);  // heading, rule, eleven designs, an empty line, the errors
    for (std::size_t i = 0; i < 13; ++i) {
      CAPTURE(lines[i]);
      CHECK(count(lines[i], '|') == 6);
      CHECK(lines[i].find("nan") == std::string::npos);
    }
    CHECK(lines[2].starts_with("| 1 five-cut | s² on ν 4 | "));
    CHECK(lines[14].starts_with("50 trials a cell, seeds from 7 on"));
  }
}
