// SPDX-License-Identifier: MIT
/// \file uncertainty_budget.hpp
/// An uncertainty budget: rows with their standard uncertainties, put together by the law of propagation.
///
/// In       a row an input: estimate, standard uncertainty u_i >= 0, degrees of freedom, sensitivity
///          c_i = df/dx_i; correlations between rows; second derivatives where the first are not enough
/// Out      combined standard uncertainty, each row's contribution and share, effective degrees of freedom,
///          coverage factor and expanded uncertainty; all in the unit of the result
/// Maths    METHOD.md (M84), (M85); [GUM] 4.2, 5.1.2, 5.2, G.3, G.4.1
/// Assumes  a model that is nearly linear within the u_i, and a result near enough to normal for t; whether
///          that holds is what stats/monte_carlo.hpp tells
/// Range    any number of rows; O(n^3) with correlations, O(n^2) without
/// Accuracy every printed figure of GUM G.4.1, H.1 and H.2, save two that the guide made from rounded ones
///          (tests/stats/uncertainty_budget_test.cpp)
#pragma once

#include <cstddef>
#include <limits>
#include <span>
#include <string>
#include <vector>

namespace quarterturn::stats {

enum class Evaluation { a, b };  ///< by statistics of repeated observations, or by any other means

struct BudgetRow {
  std::string name;
  double value = 0;  ///< estimate, in the input's unit
  double u = 0;      ///< standard uncertainty, in the input's unit
  Evaluation type = Evaluation::b;
  double dof = std::numeric_limits<double>::infinity();  ///< of u
  double sensitivity = 1;                                ///< unit of the result per unit of the input
};

/// Correlation coefficient of two different rows; a pair that is not given has none.
struct Correlation {
  std::size_t i = 0, j = 0;
  double r = 0;
};

/// d2f/dx_i dx_j; each pair once. Products and squares of inputs have no further terms.
struct SecondOrder {
  std::size_t i = 0, j = 0;
  double derivative = 0;
};

/// Which degrees of freedom Student's t is taken at: as they are, or cut to the next lower whole number, as
/// the printed examples of [GUM] do (G.4.1).
enum class DofUse { exact, whole };

struct Budget {
  std::vector<double> contribution;  ///< |c_i| u_i, a row
  std::vector<double> share;         ///< of u^2, a row, covariances halved; below 0 where a row takes away
  std::vector<double> second_contribution, second_share;  ///< a second-order term
  double u = 0;                                           ///< combined standard uncertainty
  double dof = std::numeric_limits<double>::infinity();   ///< effective, at least 1

  /// t_p(dof), two-sided. \throws std::domain_error unless 0 < confidence < 1
  [[nodiscard]] double factor(double confidence = 0.95, DofUse use = DofUse::exact) const;
  /// U = factor u: the interval is the estimate ± U.
  [[nodiscard]] double expanded(double confidence = 0.95, DofUse use = DofUse::exact) const;
};

/// All shares, of rows and of second-order terms, add up to 1, or are 0 when u is.
///
/// Effective degrees of freedom need independent u_i. Rows that are correlated, directly or by way of others,
/// count as one component, on the smallest degrees of freedom of its members: exact where all were observed
/// together equally often, careful where rows add, not to be relied on where they nearly cancel.
/// \throws std::domain_error on no rows, a value that is not finite, u below 0, dof not above 0, a row that
///         does not exist, a pair given twice, |r| > 1, correlations that contradict each other, a
///         second-order term of a correlated row
/// Example: combine({{{"scale", 0, 3}, {"reading", 0, 4}}}).u is 5.
Budget combine(std::span<const BudgetRow> rows, std::span<const Correlation> correlations = {},
               std::span<const SecondOrder> second = {});

/// Covariance of two results of the same inputs, the second with sensitivities `other` (one a row).
/// \throws std::domain_error as combine
double covariance(std::span<const BudgetRow> rows, std::span<const double> other,
                  std::span<const Correlation> correlations = {});

/// Type A: mean of repeated independent observations, its standard uncertainty, n - 1 degrees of freedom.
struct Repeated {
  double mean = 0, u = 0, dof = 0;
};
/// \throws std::domain_error on fewer than two values or a value that is not finite
Repeated repeated(std::span<const double> values);

/// Correlation of the means of two quantities observed together; 0 when one of them never varied.
/// \throws std::domain_error as repeated, and on different numbers of values
double mean_correlation(std::span<const double> x, std::span<const double> y);

/// Degrees of freedom of a type B u that is itself doubted by this share: 0.25 for a quarter gives 8.
/// \throws std::domain_error below 0
double dof_of_doubt(double relative);

}  // namespace quarterturn::stats
