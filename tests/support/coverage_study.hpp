// SPDX-License-Identifier: MIT
/// \file coverage_study.hpp
/// How often intervals hold the truth, for any design and any knowledge of seating, in as many trials as
/// wanted. Each trial draws from a stream of its own, by seed and number: one result for any number of
/// threads.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "support/simulate.hpp"

namespace quarterturn::test {

inline constexpr std::uint64_t kStudySeed = 20260301;

struct StudyCell {
  Design design;
  Knowledge knowledge;           ///< without a log
  std::optional<LogDesign> log;  ///< a real one, drawn in each trial; `knowledge` then does not count
};

struct Study {
  int trials = 100'000;
  std::uint64_t seed = kStudySeed;
  unsigned threads = 1;
};

LogCoverage run_study(const StudyCell& cell, const Study& study);

/// One line a figure, with Monte Carlo standard errors.
std::string study_text(const StudyCell& cell, const LogCoverage& result);
std::string study_csv_head();
std::string study_csv(const StudyCell& cell, const LogCoverage& result);

/// Designs by size of seating in Markdown: coverage, errors below and above, half-width over the ideal
/// analyst's. Cell number i, counted from 0 row by row, has the seed study.seed + i.
std::string study_table(const Study& study, double confidence = 0.95, double step = 0.01);

}  // namespace quarterturn::test
