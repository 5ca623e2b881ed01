// SPDX-License-Identifier: MIT
/// \file coverage_study.cpp
/// How often a printed interval holds the truth, for one design or for the table of src/METHOD.md.
///
///     build/coverage_study --panels 1 --cuts 8 --sigma-r 3e-5 --log-nu 12
///     build/coverage_study --table --trials 20000
///
/// Trial i draws from the stream (seed, i): the number of threads changes nothing but the time.
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <map>
#include <stdexcept>
#include <string>
#include <thread>

#include "support/coverage_study.hpp"

using namespace quarterturn;

namespace {

const char kHelp[] =
    "coverage_study [--table] [option value]…   simulated checks: does the interval hold the truth?\n"
    "  --table                 the table of src/METHOD.md; takes trials, seed, confidence, step, threads\n"
    "  --panels 1 --cuts 5     strips (1,5), (2,6), … of each panel\n"
    "  --spots 2 --readings 3  a strip, evenly over 500 mm; a spot\n"
    "  --sigma-m 0.015 --sigma-f 0 --sigma-r 3e-5   reading [mm], saw marks [mm], seating [rad]\n"
    "  --log-nu N              a variance of seating on N degrees of freedom, drawn in each trial\n"
    "  --log-checks N          or N earlier checks, fitted together with today's\n"
    "  --log-panels --log-cuts their design; as today's unless given\n"
    "  --omega2 0 --between 0  variance of ln σ_r² from check to check: as fitted, as it is\n"
    "  --step 0.01             of the caliper [mm]; 0: not rounded\n"
    "  --confidence 0.95 --trials 100000 --seed 20260301 --threads (all)\n"
    "  --csv                   one row under a heading\n";

class Options {
 public:
  Options(int argc, char** argv) {
    for (int i = 1; i < argc; ++i) {
      const std::string name = argv[i];
      if (name == "--table" || name == "--csv" || name == "--help") {
        given_[name] = "1";
      } else if (std::string(kHelp).find(name + " ") == std::string::npos || !name.starts_with("--")) {
        throw std::invalid_argument(name + " is no option");
      } else if (++i == argc) {
        throw std::invalid_argument(name + " needs a value");
      } else {
        given_[name] = argv[i];
      }
    }
  }
  [[nodiscard]] bool has(const std::string& name) const { return given_.contains(name); }
  [[nodiscard]] double number(const std::string& name, double otherwise, double least, double most) const {
    const auto found = given_.find(name);
    if (found == given_.end()) return otherwise;
    std::size_t end = 0;
    double value = 0;
    try {
      value = std::stod(found->second, &end);
    } catch (const std::exception&) {
      end = std::string::npos;
    }
    if (end != found->second.size() || !(value >= least && value <= most)) {
      char range[64];
      std::snprintf(range, sizeof range, "%g to %g", least, most);
      throw std::invalid_argument(name + " is " + found->second + ", but must be a number from " + range);
    }
    return value;
  }
  [[nodiscard]] int count(const std::string& name, int otherwise, int least, int most) const {
    const double value = number(name, otherwise, least, most);
    if (value != static_cast<int>(value)) throw std::invalid_argument(name + " must be a whole number");
    return static_cast<int>(value);
  }

 private:
  std::map<std::string, std::string> given_;
};

test::StudyCell cell_of(const Options& options, double confidence, double step) {
  test::StudyCell cell;
  test::Design& d = cell.design;
  d.panels = options.count("--panels", 1, 1, 100);
  d.cuts = options.count("--cuts", 5, 5, 104);
  const int spots = options.count("--spots", 2, 2, 100);
  d.positions.clear();
  for (int i = 0; i < spots; ++i) d.positions.push_back(500.0 * i / (spots - 1));
  d.repeats = options.count("--readings", 3, 1, 100);
  d.sigma_m = options.number("--sigma-m", 0.015, 0, 1);
  d.sigma_f = options.number("--sigma-f", 0, 0, 1);
  d.sigma_r = options.number("--sigma-r", 3e-5, 0, 0.01);
  d.step = step;
  cell.knowledge.seating_nu = options.count("--log-nu", 0, 0, 10'000);
  cell.knowledge.confidence = confidence;
  if (options.has("--log-checks")) {
    if (options.has("--log-nu")) throw std::invalid_argument("--log-nu and --log-checks exclude each other");
    test::LogDesign log;
    log.check = d;
    log.check.panels = options.count("--log-panels", d.panels, 1, 100);
    log.check.cuts = options.count("--log-cuts", d.cuts, 5, 104);
    log.checks = options.count("--log-checks", 4, 1, 1000);
    log.omega2 = options.number("--omega2", 0, 0, 10);
    log.between = options.number("--between", 0, 0, 10);
    log.confidence = confidence;
    cell.log = log;
  }
  const bool known = cell.knowledge.seating_nu > 0 || (cell.log && cell.log->nu() > 0);
  if (d.strips() == 1 && !known) {
    throw std::invalid_argument(
        "one strip tells nothing of seating: --log-nu, or --log-checks with --log-cuts 6 or more, say what "
        "does");
  }
  return cell;
}

int run(const Options& options) {
  if (options.has("--help")) {
    std::fputs(kHelp, stdout);
    return 0;
  }
  test::Study study;
  study.trials = options.count("--trials", study.trials, 1, 100'000'000);
  study.seed = static_cast<std::uint64_t>(options.number("--seed", test::kStudySeed, 0, 9e15));
  const unsigned cores = std::thread::hardware_concurrency();
  study.threads =
      static_cast<unsigned>(options.count("--threads", cores > 0 ? static_cast<int>(cores) : 1, 1, 256));
  const double confidence = options.number("--confidence", 0.95, 0.01, 0.9999);
  const double step = options.number("--step", 0.01, 0, 1);
  if (options.has("--table")) {
    std::fputs(test::study_table(study, confidence, step).c_str(), stdout);
    return 0;
  }
  const test::StudyCell cell = cell_of(options, confidence, step);
  const test::LogCoverage result = test::run_study(cell, study);
  const std::string text = options.has("--csv") ? test::study_csv_head() + test::study_csv(cell, result)
                                                : test::study_text(cell, result);
  std::fputs(text.c_str(), stdout);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  try {
    return run(Options(argc, argv));
  } catch (const std::exception& e) {
    std::fprintf(stderr, "coverage_study: %s\n", e.what());
    return 2;
  }
}
