// SPDX-License-Identifier: MIT
#include "stats/conditional_normal.hpp"

#include <Eigen/Cholesky>

namespace quarterturn::stats {

namespace {

using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

std::vector<double> values_of(const RowMajor& m) {
  return {m.data(), m.data() + m.size()};
}

}  // namespace

std::vector<double> lower_root(std::span<const double> v, int n) {
  const Eigen::MatrixXd all = Eigen::Map<const RowMajor>(v.data(), n, n);
  return values_of(Eigen::LLT<Eigen::MatrixXd>(all).matrixL());
}

ConditionalNormal conditional_normal(std::span<const double> all, int old, int fresh) {
  const Eigen::Map<const RowMajor> v(all.data(), old + fresh, old + fresh);
  const RowMajor cross = v.block(old, 0, fresh, old);
  const Eigen::LLT<Eigen::MatrixXd> known(v.topLeftCorner(old, old));
  const RowMajor gain = known.solve(cross.transpose()).transpose();
  const RowMajor open = v.bottomRightCorner(fresh, fresh) - gain * cross.transpose();
  return {values_of(gain), lower_root(values_of(open), fresh)};
}

}  // namespace quarterturn::stats
