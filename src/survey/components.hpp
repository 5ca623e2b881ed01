// SPDX-License-Identifier: MIT
/// \file components.hpp
/// How much holes scatter, and whether rows and columns scatter besides.
///
/// In       a station, observations, what is known of the scatter of holes
/// Out      random terms with their variances [mm^2] and the information on them
/// Maths    METHOD.md (M109), (M110): restricted likelihood; a term joins when its likelihood ratio shows it,
///          on half a chi-square with one degree, as a variance cannot be negative [SELFLIANG]
/// Assumes  as MixedModel; with fewer than kFewestForScatter observations to spare a stated or usual scatter
///          stands in and the result says so
/// Accuracy tests/survey/components_test.cpp
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "survey/mixed_model.hpp"

namespace quarterturn::survey {

/// Where the scatter of holes comes from.
enum class ScatterSource { fitted, given, stated, assumed };

struct AdjustOptions {
  std::optional<double> hole_sd_mm;  ///< sd of a hole a direction, given; empty: fitted
  bool look_for_rows = true;         ///< test for random terms of rows and columns; only where fitted
  std::vector<Term> rows;            ///< terms taken in any case
  std::vector<double> row_sd_mm;     ///< of each of them, given; empty: fitted
  bool caliper_scale = false;        ///< free a scale error of the caliper: pitch is then not determined
  std::vector<Hole> set_aside;  ///< holes that do not scatter like the others: each has a place of its own
  bool second_order = true;     ///< put exact geometry right at the estimate
  double confidence = 0.95;
};
inline constexpr double kAssumedHoleSdMm = 0.1;  ///< common practice, no source
inline constexpr int kFewestForScatter = 6;      ///< observations beyond fixed effects to fit a scatter from

/// A term that was looked for.
struct TermTest {
  Term term;
  double ratio = 0;  ///< likelihood ratio
  double p = 1;
  bool taken = false;
};

struct Components {
  std::shared_ptr<const MixedModel> model;
  std::vector<double> theta;        ///< variance of each term of the model [mm^2]
  std::vector<double> information;  ///< expected, row-major; all zero where given
  ScatterSource source = ScatterSource::fitted;
  bool converged = true;
  std::vector<TermTest> tests;

  [[nodiscard]] double hole_sd_mm() const;
  /// Degrees of freedom of the holes' scatter; infinite when not fitted.
  [[nodiscard]] double hole_dof() const;
};

Components fit_components(const station::Station& station, std::span<const Observation> observations,
                          const AdjustOptions& options);

/// The same terms fitted to other values (minus nominal), from where they were; what was given stays.
Components refit_components(const station::Station& station, std::span<const Observation> observations,
                            const AdjustOptions& options, const Components& before,
                            std::span<const double> y);

}  // namespace quarterturn::survey
