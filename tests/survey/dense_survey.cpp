// SPDX-License-Identifier: MIT
#include "survey/dense_survey.hpp"

#include <Eigen/Cholesky>
#include <Eigen/QR>
#include <Eigen/SVD>
#include <cmath>
#include <utility>

namespace quarterturn::test {

/// Whitened, so that what the observations feel is told from rounding.
struct DenseSurvey::Solved {
  std::array<double, 3> theta;
  Eigen::MatrixXd k;
  Eigen::LLT<Eigen::MatrixXd> llt;
  Eigen::VectorXd scale, wy, beta;
  Eigen::MatrixXd wx;
  Eigen::JacobiSVD<Eigen::MatrixXd> svd;
};

DenseSurvey::~DenseSurvey() = default;

DenseSurvey::DenseSurvey(const station::Station& station,
                         const std::vector<survey::Observation>& observations)
    : grid_(station.grid) {
  for (const auto& [name, dog] : station.dogs) {
    const int next = static_cast<int>(dog_.size());
    dog_[name] = next;
  }
  const auto n = static_cast<Eigen::Index>(observations.size());
  a_.resize(n, unknowns());
  d_.resize(n, static_cast<Eigen::Index>(dog_.size()));
  u_.resize(n);
  y_.resize(n);
  for (Eigen::Index i = 0; i < n; ++i) {
    const survey::Observation& o = observations[static_cast<std::size_t>(i)];
    const DenseRow row = row_of(o);
    a_.row(i) = row.holes.transpose();
    d_.row(i) = row.dogs.transpose();
    u_(i) = o.u;
    y_(i) = o.value - nominal(o);
  }
  fill_effects();
}

DenseRow DenseSurvey::none() const {
  return {Eigen::VectorXd::Zero(unknowns()), Eigen::VectorXd::Zero(static_cast<Eigen::Index>(dog_.size()))};
}

DenseRow DenseSurvey::row_of(const survey::Observation& o) const {
  DenseRow row = none();
  const double taken = o.taken == survey::Taken::centre ? 0 : o.taken == survey::Taken::outside ? 1 : -1;
  if (o.kind == survey::Kind::corner) {
    const double br = (o.to.row - o.from.row) * grid_.pitch.mm();
    const double bf = (o.via[1].column - o.via[0].column) * grid_.pitch.mm();
    row.holes(at(o.to)) -= 1 / br;
    row.holes(at(o.from)) += 1 / br;
    row.holes(at(o.via[1]) + 1) -= 1 / bf;
    row.holes(at(o.via[0]) + 1) += 1 / bf;
    const double rail = o.side == station::Side::left ? 1 : -1;
    const double fence = o.panel_side == station::PanelSide::beyond ? 1 : -1;
    row.dogs(dog(o.dog_to)) += rail / br;
    row.dogs(dog(o.dog_from)) -= rail / br;
    row.dogs(dog(o.dog_via[1])) -= fence / bf;
    row.dogs(dog(o.dog_via[0])) += fence / bf;
    return row;
  }
  add_length(row, o.from, o.to, 1);
  if (o.kind == survey::Kind::compare) add_length(row, o.via[0], o.via[1], -1);
  if (!o.dog_from.empty()) row.dogs(dog(o.dog_from)) += taken;
  if (!o.dog_to.empty()) row.dogs(dog(o.dog_to)) += taken;
  return row;
}

DenseSurvey::Value DenseSurvey::estimate(const DenseRow& g, double hole, double row_shift,
                                         double row_tilt) const {
  const std::array<double, 3> theta{hole, row_shift, row_tilt};
  if (!solved_ || solved_->theta != theta) solve(theta);
  const Solved& at = *solved_;
  Eigen::VectorXd fixed(3 + d_.cols());
  fixed << f_.transpose() * g.holes, g.dogs;
  const Eigen::VectorXd wc = at.llt.matrixL().solve(Eigen::VectorXd(a_ * at.k * g.holes));
  const Eigen::VectorXd f = at.scale.cwiseInverse().asDiagonal() * fixed;
  const Eigen::VectorXd rest = f - at.wx.transpose() * wc;
  const Eigen::Index r = at.svd.rank();
  const Eigen::MatrixXd in = at.svd.matrixV().leftCols(r);
  const Eigen::VectorXd share =
      at.svd.singularValues().head(r).cwiseInverse().asDiagonal() * (in.transpose() * rest);
  const double variance = g.holes.dot(at.k * g.holes) - wc.squaredNorm() + share.squaredNorm();
  return {f.dot(at.beta) + wc.dot(at.wy - at.wx * at.beta), std::sqrt(variance),
          (f - in * (in.transpose() * f)).norm() <= 1e-7 * f.norm()};
}

Eigen::MatrixXd DenseSurvey::prior(double hole, double row_shift, double row_tilt) const {
  Eigen::MatrixXd k = hole * Eigen::MatrixXd::Identity(unknowns(), unknowns());
  for (int r = 1; r <= grid_.rows; ++r)
    for (int c = 1; c <= grid_.columns; ++c)
      for (int e = 1; e <= grid_.columns; ++e) {
        const double middle = 0.5 * (grid_.columns + 1), half = 0.5 * (grid_.columns - 1);
        k(at({c, r}), at({e, r})) += row_shift;
        k(at({c, r}) + 1, at({e, r}) + 1) += row_shift + row_tilt * (c - middle) / half * (e - middle) / half;
      }
  return k;
}

double DenseSurvey::minus_log(double hole, double row_shift, double row_tilt) const {
  Eigen::MatrixXd all(a_.rows(), 3 + d_.cols());
  all << a_ * f_, d_;
  // any basis of its columns serves: the likelihood changes by a constant
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(all);
  qr.setThreshold(1e-9);
  const Eigen::MatrixXd x = Eigen::MatrixXd(qr.householderQ()).leftCols(qr.rank());
  const Eigen::MatrixXd v =
      a_ * prior(hole, row_shift, row_tilt) * a_.transpose() + Eigen::MatrixXd(u_.cwiseAbs2().asDiagonal());
  const Eigen::MatrixXd vx = v.ldlt().solve(x), xvx = x.transpose() * vx;
  const Eigen::VectorXd vy = v.ldlt().solve(y_);
  const Eigen::VectorXd b = xvx.ldlt().solve(x.transpose() * vy);
  return 0.5 * (v.ldlt().vectorD().array().log().sum() + xvx.ldlt().vectorD().array().log().sum() +
                y_.dot(vy) - b.dot(x.transpose() * vy));
}

void DenseSurvey::solve(const std::array<double, 3>& theta) const {
  Solved at{theta, prior(theta[0], theta[1], theta[2]), {}, {}, {}, {}, {}, {}};
  Eigen::MatrixXd x(a_.rows(), 3 + d_.cols());
  x << a_ * f_, d_;
  at.llt.compute(a_ * at.k * a_.transpose() + Eigen::MatrixXd(u_.cwiseAbs2().asDiagonal()));
  at.scale = Eigen::VectorXd::Ones(x.cols());
  at.wx = at.llt.matrixL().solve(x);
  for (Eigen::Index j = 0; j < x.cols(); ++j)
    if (at.wx.col(j).norm() > 0) at.scale(j) = at.wx.col(j).norm();
  at.wx = at.wx * at.scale.cwiseInverse().asDiagonal();
  at.svd.compute(at.wx, Eigen::ComputeThinU | Eigen::ComputeThinV);
  at.svd.setThreshold(1e-9);
  at.wy = at.llt.matrixL().solve(y_);
  at.beta = at.svd.solve(at.wy);
  solved_ = std::make_unique<const Solved>(std::move(at));
}

double DenseSurvey::span(survey::Hole a, survey::Hole b) const {
  return grid_.pitch.mm() * std::hypot(b.column - a.column, b.row - a.row);
}

void DenseSurvey::add_length(DenseRow& row, survey::Hole a, survey::Hole b, double sign) const {
  const double l = std::hypot(b.column - a.column, b.row - a.row);
  row.holes(at(b)) += sign * (b.column - a.column) / l;
  row.holes(at(a)) -= sign * (b.column - a.column) / l;
  row.holes(at(b) + 1) += sign * (b.row - a.row) / l;
  row.holes(at(a) + 1) -= sign * (b.row - a.row) / l;
}

double DenseSurvey::nominal(const survey::Observation& o) const {
  if (o.kind == survey::Kind::corner) return 0;
  double out = span(o.from, o.to);
  if (o.kind == survey::Kind::compare) return out - span(o.via[0], o.via[1]);
  return out + (o.taken == survey::Taken::centre ? 0 : o.taken == survey::Taken::outside ? 20 : -20);
}

void DenseSurvey::fill_effects() {
  f_ = Eigen::MatrixXd::Zero(unknowns(), 3);
  for (int c = 1; c <= grid_.columns; ++c)
    for (int r = 1; r <= grid_.rows; ++r) {
      const double x = grid_.pitch.mm() * (c - 0.5 * (grid_.columns + 1));
      const double y = grid_.pitch.mm() * (r - 0.5 * (grid_.rows + 1));
      f_(at({c, r}), 0) = x;
      f_(at({c, r}) + 1, 1) = y;
      f_(at({c, r}), 2) = -y / 2;
      f_(at({c, r}) + 1, 2) = -x / 2;
    }
}

LeastSolution least_solution(const Eigen::MatrixXd& a, const Eigen::VectorXd& y) {
  Eigen::JacobiSVD<Eigen::MatrixXd> svd(a, Eigen::ComputeThinU | Eigen::ComputeThinV);
  svd.setThreshold(1e-9);
  const Eigen::MatrixXd half =
      svd.matrixV().leftCols(svd.rank()) * svd.singularValues().head(svd.rank()).cwiseInverse().asDiagonal();
  const Eigen::VectorXd x = svd.solve(y);
  return {x, half * half.transpose(), (y - a * x).squaredNorm(), svd.rank()};
}

Eigen::MatrixXd inverse_of(const Eigen::MatrixXd& a) {
  Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> q(a);
  q.setThreshold(1e-9);
  return q.pseudoInverse();
}

}  // namespace quarterturn::test
