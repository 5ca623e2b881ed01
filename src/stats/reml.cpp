// SPDX-License-Identifier: MIT
#include "stats/reml.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace quarterturn::stats {

namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;
constexpr int kMostVariances = 8;
/// Of so few variances that no memory is asked for.
using Square =
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, kMostVariances, kMostVariances>;
using Column = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMostVariances, 1>;
using Free = std::array<bool, kMostVariances>;

/// Solves A x = -gradient for the small positive semidefinite A picked out by `free`; a ridge of 1e-14 of the
/// diagonal keeps directions that the data do not inform from blowing up. \returns false: A is not positive
bool solve_free(const Square& curvature, const Column& gradient, const Free& free, Column& full) {
  const auto n = curvature.rows();
  std::array<Eigen::Index, kMostVariances> index{};
  Eigen::Index m = 0;
  for (Eigen::Index i = 0; i < n; ++i) {
    if (free[static_cast<std::size_t>(i)]) index[static_cast<std::size_t>(m++)] = i;
  }
  Square a(m, m);
  Column b(m);
  for (Eigen::Index i = 0; i < m; ++i) {
    const auto row = index[static_cast<std::size_t>(i)];
    b(i) = -gradient(row);
    for (Eigen::Index j = 0; j < m; ++j) a(i, j) = curvature(row, index[static_cast<std::size_t>(j)]);
    a(i, i) += 1e-14 * a(i, i) + std::numeric_limits<double>::min();
  }
  const Eigen::LDLT<Square> factor(a);
  const Column x = factor.solve(b);
  full = Column::Zero(n);
  for (Eigen::Index i = 0; i < m; ++i) full(index[static_cast<std::size_t>(i)]) = x(i);
  return (factor.vectorD().array() > 0).all();
}

/// Step from theta to the least of the parabola with theta + step >= 0, on the way from one bound to the
/// next: the variance that the way meets first stays at zero, and from there the rest goes on. Each such way
/// leads down, so the step does. \returns false: the curvature is not positive over the free ones
bool box_step(const Column& theta, const Square& curvature, const Column& gradient, Column& out) {
  const auto n = theta.size();
  Free free{};
  Column fixed = Column::Zero(n), here = Column::Zero(n), step;
  for (Eigen::Index i = 0; i < n; ++i) free[static_cast<std::size_t>(i)] = theta(i) > 0 || gradient(i) < 0;
  for (bool positive = true;;) {
    const Column shifted = gradient + curvature * fixed;
    positive = solve_free(curvature, shifted, free, step) && positive;
    out = step + fixed;
    double share = 1;
    Eigen::Index met = -1;
    for (Eigen::Index i = 0; i < n; ++i) {
      if (!free[static_cast<std::size_t>(i)] || !(theta(i) + out(i) < 0)) continue;
      const double reached = (theta(i) + here(i)) / (here(i) - out(i));
      if (met < 0 || reached < share) {
        share = reached;
        met = i;
      }
    }
    if (met < 0) return positive;
    here += share * (out - here);
    here(met) = fixed(met) = -theta(met);
    free[static_cast<std::size_t>(met)] = false;
  }
}

/// What the curvature of the likelihood has over its expectation, learnt from the steps made: the symmetric
/// correction of rank one that explains how the gradient changed.
class Learnt {
 public:
  explicit Learnt(Eigen::Index n) : beyond_(Square::Zero(n, n)) {}
  [[nodiscard]] const Square& beyond() const { return beyond_; }
  [[nodiscard]] bool empty() const { return (beyond_.array() == 0).all(); }
  void add(const Column& step, const Column& change, const Square& information) {
    const Column missed = change - (information + beyond_) * step;
    const double along = missed.dot(step);
    // In one direction after another it is exact; where what was missed lies across the step, or is nothing,
    // it is left as it is.
    if (!(std::fabs(along) > 1e-8 * missed.norm() * step.norm())) return;
    beyond_ += missed * missed.transpose() / along;
  }
  void forget() { beyond_.setZero(); }

 private:
  Square beyond_;
};

}  // namespace

RemlFit maximise_reml(const RemlModel& model, std::span<const double> start) {
  constexpr int kMostIterations = 500;
  constexpr double kEnough = 1e-13;    // relative change of each variance against its own scale
  constexpr double kRounding = 1e-12;  // of the likelihood; steps that gain less are judged by the gradient
  constexpr double kClose = 1e-7;      // alone, which keeps more digits, until they shrink no more
  constexpr double kTrusted = 1e-6;    // the end by what was learnt is one by scoring alone as well
  constexpr double kNear = 0.5;  // smaller steps have a likelihood to learn from that is nearly a parabola
  const auto n = static_cast<Eigen::Index>(start.size());
  if (n > kMostVariances) throw std::invalid_argument("maximise_reml: more than eight variances");
  RemlFit fit;
  fit.theta.assign(start.begin(), start.end());
  model(fit.theta, fit.at);
  std::vector<double> trial(start.size());
  RemlPoint at_trial;
  double scale = 0;
  double previous = std::numeric_limits<double>::infinity();
  int shrinks_no_more = 0;
  for (double s : start) scale = std::max(scale, s);
  Learnt learnt(n);
  const auto size_of = [&](const Column& step) {
    double largest = 0;
    for (Eigen::Index i = 0; i < n; ++i) {
      const double theta = fit.theta[static_cast<std::size_t>(i)];
      largest = std::max(largest, std::fabs(step(i)) / (std::fabs(theta) + 1e-9 * scale));
    }
    return largest;
  };
  for (fit.iterations = 0; fit.iterations < kMostIterations; ++fit.iterations) {
    const Column theta = Eigen::Map<const VectorXd>(fit.theta.data(), n);
    const Column gradient = Eigen::Map<const VectorXd>(fit.at.gradient.data(), n);
    const Square information = Eigen::Map<const MatrixXd>(fit.at.information.data(), n, n);
    Column step;
    if (!box_step(theta, information + learnt.beyond(), gradient, step)) {
      learnt.forget();
      box_step(theta, information, gradient, step);
    }
    const double largest = size_of(step);
    const bool enough = largest < kEnough;
    shrinks_no_more = largest >= previous ? shrinks_no_more + 1 : 0;
    if (enough || (largest < kClose && shrinks_no_more > 1)) {
      Column plain = step;
      if (!learnt.empty()) box_step(theta, information, gradient, plain);
      // A learnt step that shrinks no more is no end: scoring alone goes on from there.
      fit.converged = learnt.empty() || (enough && size_of(plain) < kTrusted);
      if (fit.converged) break;
      learnt.forget();
      previous = std::numeric_limits<double>::infinity();
      continue;
    }
    previous = largest;
    const double rounding = kRounding * (1 + std::fabs(fit.at.minus_log));
    const bool unseen = largest < 1e-4 || -gradient.dot(step) < rounding;
    const double allowed = fit.at.minus_log + (unseen ? rounding : 0.0);
    bool moved = false;
    double share = 1.0;
    for (int halving = 0; halving < 34; ++halving, share *= 0.5) {
      for (Eigen::Index i = 0; i < n; ++i) {
        const double value = theta(i) + share * step(i);
        trial[static_cast<std::size_t>(i)] = value < 1e-300 ? 0.0 : value;
      }
      model(trial, at_trial);
      if (at_trial.minus_log <= allowed) {
        moved = true;
        break;
      }
    }
    if (!moved && !learnt.empty()) {  // what was learnt may have led astray
      learnt.forget();
      continue;
    }
    if (!moved) {  // no descent left within rounding
      fit.converged = largest < 1e-5;
      break;
    }
    if (largest < kNear) {
      learnt.add(Eigen::Map<const VectorXd>(trial.data(), n) - theta,
                 Eigen::Map<const VectorXd>(at_trial.gradient.data(), n) - gradient,
                 Eigen::Map<const MatrixXd>(at_trial.information.data(), n, n));
    }
    fit.theta = trial;
    std::swap(fit.at, at_trial);
  }
  // A likelihood that is all but flat: the steps still shrink, too slowly.
  if (fit.iterations == kMostIterations) fit.converged = previous < kClose;
  return fit;
}

namespace {

struct Dense {
  MatrixXd v_inverse, projection, xtvx_inverse;
  double log_det_v = 0, log_det_x = 0;
  bool ok = false;
};

Dense factor(const DenseModel& model, std::span<const double> theta) {
  Dense d;
  MatrixXd v = MatrixXd::Zero(model.n, model.n);
  for (std::size_t k = 0; k < theta.size(); ++k) {
    v += theta[k] * Eigen::Map<const MatrixXd>(model.v[k].data(), model.n, model.n);
  }
  const Eigen::LLT<MatrixXd> llt(v);
  if (llt.info() != Eigen::Success) return d;
  using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const RowMajor> x(model.x.data(), model.n, model.p);
  d.v_inverse = llt.solve(MatrixXd::Identity(model.n, model.n));
  const MatrixXd vx = llt.solve(MatrixXd(x));
  const Eigen::LLT<MatrixXd> small(x.transpose() * vx);
  if (small.info() != Eigen::Success) return d;
  d.xtvx_inverse = small.solve(MatrixXd::Identity(model.p, model.p));
  d.projection = d.v_inverse - vx * d.xtvx_inverse * vx.transpose();
  d.log_det_v = 2 * MatrixXd(llt.matrixL()).diagonal().array().log().sum();
  d.log_det_x = 2 * MatrixXd(small.matrixL()).diagonal().array().log().sum();
  d.ok = true;
  return d;
}

}  // namespace

// (M24): -log L = 1/2 [ln|V| + ln|X'V^-1 X| + y'Py]; gradient 1/2 [tr(P V_a) - y'P V_a P y]; information 1/2
// tr(P V_a P V_b).
void DenseModel::evaluate(std::span<const double> theta, RemlPoint& out) const {
  const auto m = theta.size();
  out.gradient.assign(m, 0.0);
  out.information.assign(m * m, 0.0);
  const Dense d = factor(*this, theta);
  if (!d.ok) {
    out.minus_log = std::numeric_limits<double>::infinity();
    return;
  }
  // P annihilates X, so y may be taken about its fitted means: spares P the digits of their common level.
  using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const RowMajor> regressors(x.data(), n, p);
  const Eigen::Map<const VectorXd> raw(y.data(), n);
  const VectorXd data = raw - regressors * (d.xtvx_inverse * (regressors.transpose() * (d.v_inverse * raw)));
  const VectorXd py = d.projection * data;
  out.minus_log = 0.5 * (d.log_det_v + d.log_det_x + data.dot(py));
  std::vector<MatrixXd> pv(m);
  for (std::size_t a = 0; a < m; ++a) {
    const Eigen::Map<const MatrixXd> va(v[a].data(), n, n);
    pv[a] = d.projection * va;
    out.gradient[a] = 0.5 * (pv[a].trace() - py.dot(va * py));
  }
  for (std::size_t a = 0; a < m; ++a) {
    for (std::size_t b = 0; b < m; ++b) {
      out.information[a * m + b] = 0.5 * (pv[a].array() * pv[b].transpose().array()).sum();
    }
  }
}

Gls generalised_least_squares(const DenseModel& model, std::span<const double> theta) {
  const Dense d = factor(model, theta);
  using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const RowMajor> x(model.x.data(), model.n, model.p);
  const Eigen::Map<const VectorXd> data(model.y.data(), model.n);
  const VectorXd beta = d.xtvx_inverse * (x.transpose() * (d.v_inverse * data));
  Gls gls;
  gls.beta.assign(beta.data(), beta.data() + beta.size());
  gls.covariance.assign(d.xtvx_inverse.data(), d.xtvx_inverse.data() + d.xtvx_inverse.size());
  return gls;
}

// (M26) with d var / d theta_a = (c' C X'V^-1) V_a (V^-1 X C c), C = (X'V^-1 X)^-1.
double satterthwaite_dof(const DenseModel& model, std::span<const double> theta,
                         std::span<const double> contrast) {
  const Dense d = factor(model, theta);
  using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const RowMajor> x(model.x.data(), model.n, model.p);
  const Eigen::Map<const VectorXd> c(contrast.data(), model.p);
  const VectorXd a = d.v_inverse * (x * (d.xtvx_inverse * c));
  const double variance = c.dot(d.xtvx_inverse * c);
  std::vector<double> gradient(theta.size());
  for (std::size_t k = 0; k < theta.size(); ++k) {
    gradient[k] = a.dot(Eigen::Map<const MatrixXd>(model.v[k].data(), model.n, model.n) * a);
  }
  RemlPoint point;
  model.evaluate(theta, point);
  return satterthwaite(variance, gradient, point.information, 0.0);
}

double satterthwaite(double variance, std::span<const double> gradient, std::span<const double> information,
                     double floor) {
  const auto n = gradient.size();
  std::vector<std::size_t> rows;
  for (std::size_t i = 0; i < n; ++i) {
    if (information[i * n + i] > 0) rows.push_back(i);
  }
  const auto m = static_cast<Eigen::Index>(rows.size());
  MatrixXd a(m, m);
  VectorXd g(m);
  for (Eigen::Index i = 0; i < m; ++i) {
    const auto row = rows[static_cast<std::size_t>(i)];
    g(i) = gradient[row];
    for (Eigen::Index j = 0; j < m; ++j) a(i, j) = information[row * n + rows[static_cast<std::size_t>(j)]];
  }
  if (m == 0 || g.squaredNorm() == 0) return std::numeric_limits<double>::infinity();
  // Scaled to a unit diagonal: variances of different size share one pivot tolerance.
  const VectorXd root = a.diagonal().array().sqrt();
  MatrixXd unit = root.cwiseInverse().asDiagonal() * a * root.cwiseInverse().asDiagonal();
  unit.diagonal().array() += 1e-14;  // two variances that the data cannot tell apart leave a finite answer
  const VectorXd scaled = g.cwiseQuotient(root);
  const double spread = scaled.dot(unit.ldlt().solve(scaled));
  return std::max(floor, 2 * variance * variance / spread);
}

}  // namespace quarterturn::stats
