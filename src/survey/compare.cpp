// SPDX-License-Identifier: MIT
#include "survey/compare.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/OrderingMethods>
#include <Eigen/SparseQR>
#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::survey {
namespace {

using Sparse = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;
using Elements = std::vector<Eigen::Triplet<double>>;

constexpr double kSeen = 1e-6;  ///< share of a hole's own columns that is not explained otherwise

/// Columns of holes and dogs as they appear; a dog has one a survey.
class Columns {
 public:
  int hole(Hole hole) { return of(holes_, hole, 2); }
  int dog(const std::string& dog, int survey) { return of(dogs_, std::pair(dog, survey), 1); }
  /// Fresh ones, of a hole that has moved.
  int more(int count) {
    count_ += count;
    return count_ - count;
  }
  [[nodiscard]] int count() const { return count_; }

 private:
  template <class Map, class Key>
  int of(Map& map, const Key& key, int width) {
    const auto [at, fresh] = map.try_emplace(key, count_);
    if (fresh) count_ += width;
    return at->second;
  }
  std::map<Hole, int> holes_;
  std::map<std::pair<std::string, int>, int> dogs_;
  int count_ = 0;
};

/// Weighted observations of one or two surveys over one set of holes.
struct Stack {
  Elements elements;
  std::vector<double> y;
  Columns columns;
  std::map<Hole, std::array<Elements, 2>> of_second;  ///< what a hole's x and y do to the second survey alone

  void add(const station::Station& station, const std::vector<Observation>& list, int survey) {
    for (const Observation& o : list) {
      const int row = static_cast<int>(y.size());
      const Functional f = functional_of(station, o);
      for (const auto& [hole, g] : f.holes) {
        const int at = columns.hole(hole);
        elements.emplace_back(row, at, g.x / o.u);
        elements.emplace_back(row, at + 1, g.y / o.u);
        if (survey == 0) continue;
        of_second[hole][0].emplace_back(row, 0, g.x / o.u);
        of_second[hole][1].emplace_back(row, 0, g.y / o.u);
      }
      for (const auto& [dog, g] : f.dogs) elements.emplace_back(row, columns.dog(dog, survey), g / o.u);
      y.push_back((o.value - nominal_value(station, o)) / o.u);
    }
  }
  /// The hole gets a displacement of its own in the second survey.
  void free_hole(Hole hole) {
    const int at = columns.more(2);
    for (int axis = 0; axis < 2; ++axis) {
      for (const auto& e : of_second[hole][static_cast<std::size_t>(axis)]) {
        elements.emplace_back(e.row(), at + axis, e.value());
      }
    }
  }
};

/// y less what the columns explain, as the last n - rank coordinates of Q'y.
class Unexplained {
 public:
  explicit Unexplained(const Stack& stack) : n_(static_cast<Eigen::Index>(stack.y.size())) {
    Sparse a(n_, std::max<Eigen::Index>(stack.columns.count(), 1));
    a.setFromTriplets(stack.elements.begin(), stack.elements.end());
    a.makeCompressed();
    qr_.setPivotThreshold(1e-9);
    qr_.compute(a);
    y_ = rest(Eigen::Map<const Vector>(stack.y.data(), n_));
  }
  [[nodiscard]] Vector rest(const Vector& v) const {
    const Vector turned = qr_.matrixQ().transpose() * v;
    return turned.tail(n_ - qr_.rank());
  }
  [[nodiscard]] Vector rest(const Elements& column) const {
    Vector v = Vector::Zero(n_);
    for (const auto& e : column) v(e.row()) += e.value();
    return rest(v);
  }
  [[nodiscard]] double squares() const { return y_.squaredNorm(); }
  [[nodiscard]] int dof() const { return static_cast<int>(n_ - qr_.rank()); }
  [[nodiscard]] const Vector& y() const { return y_; }

 private:
  Eigen::Index n_;
  Eigen::SparseQR<Sparse, Eigen::COLAMDOrdering<int>> qr_;
  Vector y_;
};

double chi2_upper(double x, int dof) {
  return stats::f_upper(x / dof, dof, std::numeric_limits<double>::infinity());
}

/// What freeing the hole would take off the weighted squares.
MovedHole test_of(const Unexplained& common, Hole hole, const std::array<Elements, 2>& columns) {
  Eigen::Matrix<double, Eigen::Dynamic, 2> b(common.y().size(), 2);
  double own = 0;
  for (int axis = 0; axis < 2; ++axis) {
    b.col(axis) = common.rest(columns[static_cast<std::size_t>(axis)]);
    for (const auto& e : columns[static_cast<std::size_t>(axis)]) own += e.value() * e.value();
  }
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(Eigen::Matrix2d(b.transpose() * b));
  const Eigen::Vector2d with = b.transpose() * common.y();
  MovedHole out;
  out.hole = hole;
  for (int k = 0; k < 2; ++k) {
    if (!(eigen.eigenvalues()(k) > kSeen * own)) continue;
    const double along = eigen.eigenvectors().col(k).dot(with);
    out.statistic += along * along / eigen.eigenvalues()(k);
    out.by.x += along / eigen.eigenvalues()(k) * eigen.eigenvectors()(0, k);
    out.by.y += along / eigen.eigenvalues()(k) * eigen.eigenvectors()(1, k);
    ++out.dof;
  }
  if (out.dof > 0) out.p = chi2_upper(out.statistic, out.dof);
  return out;
}

/// Holm's steps: the plainest hole is freed, the others are tested again.
void name_moved(Stack stack, SurveyComparison& out, double alpha) {
  std::set<Hole> left;
  for (const auto& entry : stack.of_second) left.insert(entry.first);
  double before = 0;
  for (bool first = true; !left.empty(); first = false) {
    const Unexplained common(stack);
    std::optional<MovedHole> best;
    int seen = 0;
    for (const Hole& hole : left) {
      const MovedHole test = test_of(common, hole, stack.of_second.at(hole));
      if (test.dof == 0) {
        if (first) out.unseen.push_back(hole);
        continue;
      }
      ++seen;
      if (!best || test.p < best->p) best = test;
    }
    if (!best) return;
    best->p = std::min(1.0, std::max(before, best->p * seen));
    if (!(best->p < alpha)) return;
    before = best->p;
    left.erase(best->hole);
    stack.free_hole(best->hole);
    out.holes.push_back(*best);
  }
}

}  // namespace

// (M114)
SurveyComparison compare_surveys(const station::Station& station, const std::vector<Observation>& first,
                                 const std::vector<Observation>& second, double alpha) {
  Stack both, alone[2];
  for (int survey = 0; survey < 2; ++survey) {
    const std::vector<Observation>& list = survey == 0 ? first : second;
    const std::string name = survey == 0 ? "first" : "second";
    if (list.empty())
      throw units::InputError(name + " survey", std::string(units::kMissing), "at least one observation");
    for (std::size_t i = 0; i < list.size(); ++i) {
      validate(station, list[i], name + "[" + std::to_string(i) + "]");
    }
    both.add(station, list, survey);
    alone[survey].add(station, list, survey);
  }
  const Unexplained common(both), one(alone[0]), two(alone[1]);
  SurveyComparison out;
  out.statistic = std::max(0.0, common.squares() - one.squares() - two.squares());
  out.dof = common.dof() - one.dof() - two.dof();
  out.factor_dof = one.dof() + two.dof();
  if (out.factor_dof > 0) out.variance_factor = (one.squares() + two.squares()) / out.factor_dof;
  if (out.dof == 0) return out;
  out.p = chi2_upper(out.statistic, out.dof);
  if (out.factor_dof > 0) {
    out.p_f = stats::f_upper(out.statistic / out.dof / out.variance_factor, out.dof, out.factor_dof);
  }
  out.moved = out.p < alpha;
  if (out.moved) name_moved(both, out, alpha);
  return out;
}

}  // namespace quarterturn::survey
