// SPDX-License-Identifier: MIT
#include "stats/distributions.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <numbers>

namespace quarterturn::stats {

namespace bm = boost::math;

double normal_density(double z) {
  return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

double normal_probability(double z) {
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normal_quantile(double p) {
  return bm::quantile(bm::normal(), p);
}

double t_probability(double t, double dof) {
  if (std::isinf(dof)) return normal_probability(t);
  return bm::cdf(bm::students_t(dof), t);
}

double t_quantile(double p, double dof) {
  if (std::isinf(dof)) return normal_quantile(p);
  return bm::quantile(bm::students_t(dof), p);
}

double chi2_probability(double x, double dof) {
  if (x <= 0) return 0.0;
  return bm::cdf(bm::chi_squared(dof), x);
}

double chi2_quantile(double p, double dof) {
  return bm::quantile(bm::chi_squared(dof), p);
}

double f_upper(double f, double dof1, double dof2) {
  if (f <= 0) return 1.0;
  if (std::isinf(dof2)) return bm::cdf(bm::complement(bm::chi_squared(dof1), f * dof1));
  return bm::cdf(bm::complement(bm::fisher_f(dof1, dof2), f));
}

double f_quantile(double p, double dof1, double dof2) {
  if (std::isinf(dof2)) return chi2_quantile(p, dof1) / dof1;
  return bm::quantile(bm::fisher_f(dof1, dof2), p);
}

}  // namespace quarterturn::stats
