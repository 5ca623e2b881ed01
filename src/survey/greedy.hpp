// SPDX-License-Identifier: MIT
/// \file greedy.hpp
/// Measurements chosen one after the other, each as if those before it had been made; and what one would
/// read.
///
/// In       a table, what was measured of it (nothing is enough), candidates with their minutes
/// Out      the best not yet taken: for one wanted function (M113), or for all of the table together (M118);
///          the value that others foretell for an observation (M119)
/// Maths    METHOD.md (M113), (M118) after [LINDLEY], (M119)
/// Assumes  variances of the random terms as given; fixed effects and oversizes normal beforehand with sd
/// wide
///          enough to be no knowledge (kWideEffect, kWideOversizeMm)
/// Range    a solve each time one is taken, one inner product a candidate; factored anew every kAnew
/// Accuracy against covariances written out in full (tests/survey/to_measure_test.cpp, next_test.cpp)
#pragma once

#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "stats/sparse_cholesky.hpp"
#include "survey/next.hpp"

namespace quarterturn::survey {

/// What stands before anything is chosen.
struct Known {
  station::Station station;
  std::vector<Observation> made;
  std::vector<Term> terms{Term::holes};
  std::vector<double> theta;  ///< of each term [mm^2]
  bool caliper_scale = false;
  std::vector<Hole> set_aside;  ///< holes that do not scatter like the others
};
using Wanted = std::function<Row(const MixedModel&)>;

/// Standard uncertainty of a wanted function, fixed effects flat; empty: not determined.
std::optional<double> u_of(const Known& known, const Wanted& wanted);

/// All unknowns normal and scaled to variance 1: N = I + S Z'R^-1 Z S, fixed effects among Z.
class Wide {
 public:
  using Entries = std::vector<stats::Entry>;

  Wide(const Known& known, const MixedModel& model);
  [[nodiscard]] Entries entries(const Row& row) const;
  [[nodiscard]] std::vector<double> solve(const Entries& c) const {
    return factor_->solve(std::span<const stats::Entry>(c));
  }
  /// Takes one more observation into N. Solutions know of it after factor().
  void add(const Entries& z, double u);
  void factor();
  /// N^-1 S Z'R^-1 y: where the unknowns are expected.
  [[nodiscard]] std::vector<double> expected() const;

 private:
  const MixedModel& model_;
  std::vector<double> theta_, sd_;
  std::vector<stats::Triplet> lower_;
  int unknowns_ = 0;
  std::optional<stats::SparseCholesky> factor_;
};

class Greedy {
 public:
  /// \param list    lives as long as this does
  /// \param wanted  empty: all of the table together
  Greedy(const Known& known, const std::vector<Candidate>& list, const Wanted& wanted);

  /// Most information a minute among those not yet taken; of equals the one whose holes were touched least,
  /// then the one farthest from what was taken. Empty: none tells anything.
  [[nodiscard]] std::optional<std::size_t> best() const;
  void take(std::size_t at);

 private:
  struct Considered {
    Wide::Entries entries;
    double covariance = 0, variance = 0, u = 0;
    double nearest = 0;  ///< pitches to the nearest that was taken, from middle to middle
    bool taken = false;
  };
  [[nodiscard]] double gain(std::size_t at) const;
  [[nodiscard]] int touched(std::size_t at) const;
  void mark(const Observation& made);

  const std::vector<Candidate>& list_;
  MixedModel model_;
  Wide wide_;
  bool whole_;
  double left_ = 0;  ///< variance of the wanted function
  std::vector<Considered> considered_;
  std::map<Hole, int> touches_;
  std::vector<std::pair<std::vector<double>, double>> taken_;  ///< since N was last factored
};

/// The value that what was measured foretells for an observation, and the standard deviation of what it would
/// read about it.
struct Foretold {
  double value = 0, sd = 0;
};
Foretold foretold(const Known& known, const Observation& observation);

/// `value` so far off is doubted: one in a thousand without a mistake.
inline constexpr double kDoubtful = 3.29;

}  // namespace quarterturn::survey
