// SPDX-License-Identifier: MIT
#include "stats/gaussian_evidence.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace quarterturn::stats {

struct GaussianEvidence::Inside {
  Eigen::LLT<Eigen::MatrixXd> factor;
  Eigen::VectorXd y, solved;  // solved: C^-1 y
  double log_density = 0;
};

GaussianEvidence::GaussianEvidence(const GaussianModel& model) : inside_(std::make_unique<Inside>()) {
  const auto n = static_cast<Eigen::Index>(model.y.size());
  if (model.v.size() != model.y.size() || model.sd.size() != model.columns.size())
    throw std::domain_error("gaussian evidence: lengths differ");
  Eigen::MatrixXd c = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const double v = model.v[static_cast<std::size_t>(i)];
    if (!(v > 0)) throw std::domain_error("gaussian evidence: a variance must be above 0");
    c(i, i) = v;
  }
  for (std::size_t k = 0; k < model.columns.size(); ++k) {
    if (model.columns[k].size() != model.y.size())
      throw std::domain_error("gaussian evidence: lengths differ");
    const Eigen::Map<const Eigen::VectorXd> x(model.columns[k].data(), n);
    c.noalias() += model.sd[k] * model.sd[k] * x * x.transpose();
  }
  inside_->factor.compute(c);
  inside_->y = Eigen::Map<const Eigen::VectorXd>(model.y.data(), n);
  inside_->solved = inside_->factor.solve(inside_->y);
  // (M77)  ln p = -1/2 (n ln 2 pi + ln det C + y' C^-1 y)
  const double log_det = 2 * inside_->factor.matrixLLT().diagonal().array().log().sum();
  inside_->log_density = -0.5 * (static_cast<double>(n) * std::log(2 * std::numbers::pi) + log_det +
                                 inside_->y.dot(inside_->solved));
}

GaussianEvidence::~GaussianEvidence() = default;
GaussianEvidence::GaussianEvidence(GaussianEvidence&&) noexcept = default;

double GaussianEvidence::log_density() const {
  return inside_->log_density;
}

GaussianEvidence::Added GaussianEvidence::with(std::span<const double> x, double mean, double sd) const {
  if (x.size() != static_cast<std::size_t>(inside_->y.size()))
    throw std::domain_error("gaussian evidence: lengths differ");
  const Eigen::Map<const Eigen::VectorXd> column(x.data(), inside_->y.size());
  // (M78)  a = x' C^-1 x, b = x' C^-1 y:
  // ln p = ln p_0 + m b - 1/2 m^2 a - 1/2 ln(1 + s^2 a) + 1/2 s^2 (b - m a)^2/(1 + s^2 a)
  const double a = column.dot(inside_->factor.solve(column)), b = column.dot(inside_->solved);
  const double grown = 1 + sd * sd * a, rest = b - mean * a;
  Added added;
  added.log_density = inside_->log_density + mean * b - 0.5 * mean * mean * a - 0.5 * std::log(grown) +
                      0.5 * sd * sd * rest * rest / grown;
  added.size = mean + sd * sd * rest / grown;
  added.size_u = sd / std::sqrt(grown);
  return added;
}

}  // namespace quarterturn::stats
