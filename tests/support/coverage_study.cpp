// SPDX-License-Identifier: MIT
#include "support/coverage_study.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <future>
#include <random>
#include <vector>

namespace quarterturn::test {

namespace {

constexpr double kSeatings[] = {1e-5, 3e-5, 2e-4};

std::mt19937_64 stream(std::uint64_t seed, std::uint64_t trial) {
  std::seed_seq words{seed & 0xffffffffU, seed >> 32U, trial};
  return std::mt19937_64(words);
}

double share_error(double share, int n) {
  return std::sqrt(share * (1 - share) / n);
}

template <typename... Values>
std::string text(const char* format, Values... values) {
  char out[256];
  std::snprintf(out, sizeof out, format, values...);
  return out;
}

double confidence_of(const StudyCell& cell) {
  return cell.log ? cell.log->confidence : cell.knowledge.confidence;
}

struct Row {
  const char *design, *known;
  int panels, cuts, spots;
  int seating_nu;  // > 0: s^2 on so many degrees of freedom
  int log_checks;  // > 0: a real log of so many checks of eight cuts
  double omega2;
};

/// Those of METHOD.md's table; then the same with earlier checks in place of a variance.
constexpr Row kRows[] = {
    {"1 five-cut", "s² on ν 4", 1, 5, 2, 4, 0, 0},
    {"1 five-cut", "s² on ν 12", 1, 5, 2, 12, 0, 0},
    {"2 five-cut", "nothing", 2, 5, 2, 0, 0, 0},
    {"2 five-cut", "s² on ν 4", 2, 5, 2, 4, 0, 0},
    {"3 five-cut", "nothing", 3, 5, 2, 0, 0, 0},
    {"5 five-cut", "nothing", 5, 5, 2, 0, 0, 0},
    {"progressive, 8 cuts", "nothing", 1, 8, 2, 0, 0, 0},
    {"progressive, 8 cuts", "s² on ν 12", 1, 8, 2, 12, 0, 0},
    {"1 five-cut, 3 spots", "log of 4 checks of 8 cuts, ω² = 0", 1, 5, 3, 0, 4, 0},
    {"1 five-cut, 3 spots", "log of 4 checks of 8 cuts, ω² = 0.2", 1, 5, 3, 0, 4, 0.2},
    {"progressive, 8 cuts, 3 spots", "log of 4 checks of 8 cuts, ω² = 0.2", 1, 8, 3, 0, 4, 0.2},
};

StudyCell cell_of(const Row& row, double seating, double confidence, double step) {
  StudyCell cell;
  cell.design.panels = row.panels;
  cell.design.cuts = row.cuts;
  if (row.spots == 3) cell.design.positions = {0, 250, 500};
  cell.design.sigma_r = seating;
  cell.design.step = step;
  cell.knowledge.seating_nu = row.seating_nu;
  cell.knowledge.confidence = confidence;
  if (row.log_checks > 0) {
    LogDesign log;
    log.check = cell.design;
    log.check.panels = 1;
    log.check.cuts = 8;
    log.checks = row.log_checks;
    log.omega2 = row.omega2;
    log.confidence = confidence;
    cell.log = log;
  }
  return cell;
}

}  // namespace

LogCoverage run_study(const StudyCell& cell, const Study& study) {
  std::vector<Trial> all(static_cast<std::size_t>(study.trials));
  const std::size_t threads = std::max(1U, study.threads);
  const auto work = [&](std::size_t first) {
    for (std::size_t i = first; i < all.size(); i += threads) {
      std::mt19937_64 random = stream(study.seed, i);
      all[i] =
          cell.log ? log_trial(cell.design, *cell.log, random) : trial(cell.design, cell.knowledge, random);
    }
  };
  std::vector<std::future<void>> others;
  for (std::size_t t = 1; t < threads; ++t) others.push_back(std::async(std::launch::async, work, t));
  work(0);
  for (auto& other : others) other.get();
  LogCoverage out;
  out.coverage = coverage_of(all, cell.design.ideal_half_width(confidence_of(cell)));
  for (const Trial& one : all) out.refused += one.refused ? 1 : 0;
  return out;
}

std::string study_text(const StudyCell& cell, const LogCoverage& result) {
  const Coverage& c = result.coverage;
  const auto line = [&](const char* name, double share) {
    return text("%-24s %.4f ± %.4f\n", name, share, share_error(share, c.trials));
  };
  std::string out = line("covered", c.rate());
  out +=
      line("interval below the truth", c.share(c.below)) + line("interval above the truth", c.share(c.above));
  out += text("%-24s %.3f ± %.3f\n", "half-width over ideal", c.half_width_ratio, c.half_width_ratio_error);
  if (cell.log) out += line("log refused", result.refusal_rate());
  return out +
         text("%d trials, nominal %g; ± one Monte Carlo standard error\n", c.trials, confidence_of(cell));
}

std::string study_csv_head() {
  return "panels,cuts,spots,readings,sigma_m,sigma_f,sigma_r,step,log_nu,log_checks,omega2,between,"
         "confidence,"
         "trials,covered,below,above,half_width_ratio,half_width_ratio_error,refused\n";
}

std::string study_csv(const StudyCell& cell, const LogCoverage& result) {
  const Design& d = cell.design;
  const Coverage& c = result.coverage;
  return text("%d,%d,%zu,%d,%g,%g,%g,%g,", d.panels, d.cuts, d.positions.size(), d.repeats, d.sigma_m,
              d.sigma_f, d.sigma_r, d.step) +
         text("%d,%d,%g,%g,%g,", cell.log ? 0 : cell.knowledge.seating_nu, cell.log ? cell.log->checks : 0,
              cell.log ? cell.log->omega2 : 0.0, cell.log ? cell.log->between : 0.0, confidence_of(cell)) +
         text("%d,%d,%d,%d,%.4f,%.4f,%d\n", c.trials, c.covered, c.below, c.above, c.half_width_ratio,
              c.half_width_ratio_error, result.refused);
}

std::string study_table(const Study& study, double confidence, double step) {
  std::string out = "| design | known of seating |";
  for (const double seating : kSeatings) out += text(" σ_r %.0e |", seating);
  out += "\n| --- | --- | --- | --- | --- |\n";
  double coverage_error = 0, side_error = 0, width_error = 0;
  Study one = study;
  for (const Row& row : kRows) {
    out += std::string("| ") + row.design + " | " + row.known + " |";
    for (const double seating : kSeatings) {
      const LogCoverage result = run_study(cell_of(row, seating, confidence, step), one);
      const Coverage& c = result.coverage;
      ++one.seed;
      out +=
          text(" %.3f / %.3f %.3f / %.2f", c.rate(), c.share(c.below), c.share(c.above), c.half_width_ratio);
      out += row.log_checks > 0 && row.cuts > 5 ? text(" / %.3f |", result.refusal_rate()) : " |";
      coverage_error = std::max(coverage_error, share_error(c.rate(), c.trials));
      for (const int side : {c.below, c.above}) {
        side_error = std::max(side_error, share_error(c.share(side), c.trials));
      }
      width_error = std::max(width_error, c.half_width_ratio_error / c.half_width_ratio);
    }
    out += "\n";
  }
  return out +
         text(
             "\n%d trials a cell, seeds from %llu on; Monte Carlo standard errors at most %.4f, %.4f a side, "
             "%.1f %% of the half-width.\n",
             study.trials, static_cast<unsigned long long>(study.seed), coverage_error, side_error,
             100 * width_error);
}

}  // namespace quarterturn::test
