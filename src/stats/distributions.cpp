// SPDX-License-Identifier: MIT
#include "stats/distributions.hpp"

#include <stdexcept>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numbers>

namespace quarterturn::stats {

namespace bm = boost::math;

namespace {

// Plain double throughout: long double internals gain nothing at these tolerances, cost time at every
// quantile, and overflow where long double is no wider than double.
using Plain = bm::policies::policy<bm::policies::promote_double<false>>;
using Normal = bm::normal_distribution<double, Plain>;
using StudentT = bm::students_t_distribution<double, Plain>;
using ChiSquared = bm::chi_squared_distribution<double, Plain>;
using FisherF = bm::fisher_f_distribution<double, Plain>;

constexpr double kLogSmallest = -746;  ///< of a positive double: exp of it is 0

/// Whether P(chi2 <= x) is below every positive number. With a = dof/2 and h = x/2 it is below h^a / Gamma(a
/// + 1) / (1 - h/(a + 1)), its series held by a geometric one. Boost 1.74 throws there: its Gamma(a)
/// overflows.
bool is_nothing(double x, double dof) {
  const double a = dof / 2, h = x / 2;
  return h < 1e-4 * a && a * std::log(h) - bm::lgamma(a + 1) < kLogSmallest;
}

}  // namespace

double normal_density(double z) {
  return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

double normal_probability(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normal_quantile(double p) {
  return bm::quantile(Normal(), p);
}

double t_probability(double t, double dof) {
  if (std::isinf(dof)) return normal_probability(t);
  return bm::cdf(StudentT(dof), t);
}

double t_quantile(double p, double dof) {
  if (std::isinf(dof)) return normal_quantile(p);
  return bm::quantile(StudentT(dof), p);
}

double noncentral_t_probability(double t, double dof, double shift) {
  return bm::cdf(bm::non_central_t_distribution<double, Plain>(dof, shift), t);
}

double chi2_probability(double x, double dof) {
  if (x <= 0) return 0.0;
  if (is_nothing(x, dof)) return 0.0;
  return bm::cdf(ChiSquared(dof), x);
}

double chi2_quantile(double p, double dof) {
  return bm::quantile(ChiSquared(dof), p);
}

double f_upper(double f, double dof1, double dof2) {
  if (f <= 0) return 1.0;
  if (std::isinf(dof2))
    return is_nothing(f * dof1, dof1) ? 1.0 : bm::cdf(bm::complement(ChiSquared(dof1), f * dof1));
  return bm::cdf(bm::complement(FisherF(dof1, dof2), f));
}

double f_quantile(double p, double dof1, double dof2) {
  if (std::isinf(dof2)) return chi2_quantile(p, dof1) / dof1;
  return bm::quantile(FisherF(dof1, dof2), p);
}

std::pair<double, double> share_interval(int hits, int trials, double confidence) {
  if (trials <= 0 || hits < 0 || hits > trials) throw std::domain_error("share_interval: hits out of trials");
  const double tail = 0.5 * (1 - confidence), k = hits, rest = trials - hits;
  const double low = hits == 0 ? 0.0 : k / (k + (rest + 1) * f_quantile(1 - tail, 2 * (rest + 1), 2 * k));
  const double odds = hits == trials ? 0.0 : (k + 1) * f_quantile(1 - tail, 2 * (k + 1), 2 * rest);
  return {low, hits == trials ? 1.0 : odds / (rest + odds)};
}

}  // namespace quarterturn::stats
