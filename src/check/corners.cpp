// SPDX-License-Identifier: MIT
#include "check/corners.hpp"

#include <Eigen/QR>
#include <algorithm>

namespace quarterturn::check {

bool Corners::independent() const {
  for (int c = 0; c < columns(); ++c) {
    int strips_with = 0;
    for (int s = 0; s < strips; ++s) strips_with += at(s, c) != 0 ? 1 : 0;
    if (strips_with > 1) return false;
  }
  return true;
}

namespace {

using Columns = Eigen::MatrixXd;

/// The columns of T, each to a largest count of one, less what the regressors make of them: what is left of
/// one is zero where it cannot be told from eta and the boards' tapers.
Columns told(const Corners& k) {
  const std::vector<double> x = k.regressors();
  Columns regressors(k.strips, 1 + k.boards), left(k.strips, k.columns());
  for (int s = 0; s < k.strips; ++s) {
    for (int b = 0; b <= k.boards; ++b)
      regressors(s, b) = x[static_cast<std::size_t>(s * (1 + k.boards) + b)];
    for (int c = 0; c < k.columns(); ++c) left(s, c) = k.at(s, c);
  }
  for (int c = 0; c < k.columns(); ++c) left.col(c) /= left.col(c).cwiseAbs().maxCoeff();
  return left - regressors * regressors.colPivHouseholderQr().solve(left);
}

bool is_zero(const Eigen::VectorXd& column) {
  return column.cwiseAbs().maxCoeff() < 1e-9;
}

}  // namespace

// (M8)
std::vector<Corners::Group> Corners::groups() const {
  const Columns left = told(*this);
  std::vector<Group> out;
  std::vector<bool> taken(names.size(), false);
  for (int c = 0; c < columns(); ++c) {
    if (taken[static_cast<std::size_t>(c)]) continue;
    Group group;
    group.members = {c};
    group.sign = {1};
    group.testable = !is_zero(left.col(c));
    for (int other = c + 1; other < columns(); ++other) {
      if (taken[static_cast<std::size_t>(other)]) continue;
      const bool same = is_zero(left.col(c) - left.col(other));
      // All untestable corners stand together.
      if (!same && !(group.testable && is_zero(left.col(c) + left.col(other)))) continue;
      group.members.push_back(other);
      group.sign.push_back(same ? 1 : -1);
      taken[static_cast<std::size_t>(other)] = true;
    }
    out.push_back(std::move(group));
  }
  return out;
}

namespace {

/// (M7): corner i lies between edge i-1 and edge i; the strip (a, b) sums corners a+1 … b.
Corners corners_of_strips(const Check& check) {
  Corners k;
  k.strips = static_cast<int>(check.strips.size());
  for (const Strip& strip : check.strips) {
    for (int cut = strip.from_cut + 1; cut <= strip.to_cut; ++cut) k.names.push_back({strip.panel, cut});
  }
  std::sort(k.names.begin(), k.names.end());
  k.names.erase(std::unique(k.names.begin(), k.names.end()), k.names.end());
  k.T.assign(static_cast<std::size_t>(k.strips) * k.names.size(), 0.0);
  for (std::size_t s = 0; s < check.strips.size(); ++s) {
    const Strip& strip = check.strips[s];
    for (std::size_t c = 0; c < k.names.size(); ++c) {
      const auto& name = k.names[c];
      if (name.panel == strip.panel && name.cut > strip.from_cut && name.cut <= strip.to_cut) {
        k.T[s * k.names.size() + c] = 1.0;
      }
    }
    k.t.push_back(strip.to_cut - strip.from_cut);
  }
  return k;
}

/// The seatings that one joint sums, none of them shared with another joint.
struct Joint {
  std::vector<Corners::Name> names;  ///< panel left open
  std::vector<double> counts;
  double eta = 0;
};

Joint joint_of(const Check& check) {
  if (check.test == TestKind::frame) {  // (M97)
    const bool shared = check.form == Form::shared;
    const int cuts = shared ? check.pieces + 1 : 2 * check.pieces;
    Joint joint;
    for (int cut = 1; cut <= cuts; ++cut) {
      const bool two_ends = shared && cut > 1 && cut < cuts;  // the first and the last part waste off
      joint.names.push_back({0, cut});
      joint.counts.push_back(check.outer_sign * (two_ends ? 2.0 : 1.0));
    }
    joint.eta = check.outer_sign * 2.0 * check.pieces;
    return joint;
  }
  if (check.form == Form::halves) return {{{0, 1}, {0, 1, 1}, {0, 1, 2}}, {2, 1, 1}, 2};  // (M96)
  return {{{0, 1}, {0, 2}, {0, 2, 1}, {0, 2, 2}}, {1, 1, 1, 1}, 2};                       // (M95)
}

/// Boards 1, 2, … as joints 1 and 2, 3 and 4, …: the second with the board turned end for end (M96).
void add_boards(Corners& k, const Check& check) {
  const auto has = [&](int panel) {
    return std::any_of(check.strips.begin(), check.strips.end(),
                       [panel](const Strip& strip) { return strip.panel == panel; });
  };
  std::vector<int> first_joints;
  bool whole = false;
  for (const Strip& strip : check.strips) {
    const int first = strip.panel - (strip.panel + 1) % 2;
    whole = whole || (has(first) && has(first + 1));
    if (std::find(first_joints.begin(), first_joints.end(), first) == first_joints.end())
      first_joints.push_back(first);
  }
  k.board_taper_unseen = !whole;
  if (!whole) return;
  k.boards = static_cast<int>(first_joints.size());
  k.K.assign(check.strips.size() * first_joints.size(), 0.0);
  for (std::size_t s = 0; s < check.strips.size(); ++s) {
    for (std::size_t b = 0; b < first_joints.size(); ++b) {
      const int from_first = check.strips[s].panel - first_joints[b];
      if (from_first == 0 || from_first == 1) k.K[s * first_joints.size() + b] = from_first == 0 ? 1 : -1;
    }
  }
}

Corners corners_of_joints(const Check& check) {
  Corners k;
  k.strips = static_cast<int>(check.strips.size());
  const Joint joint = joint_of(check);
  const std::size_t each = joint.names.size(), columns = each * check.strips.size();
  k.T.assign(check.strips.size() * columns, 0.0);
  for (std::size_t s = 0; s < check.strips.size(); ++s) {
    for (std::size_t c = 0; c < each; ++c) {
      k.names.push_back(joint.names[c]);
      k.names.back().panel = check.strips[s].panel;
      k.T[s * columns + s * each + c] = joint.counts[c];
    }
    k.t.push_back(joint.eta);
  }
  if (check.form == Form::halves) add_boards(k, check);
  return k;
}

}  // namespace

std::vector<double> Corners::regressors() const {
  if (boards == 0) return t;
  std::vector<double> x;
  const auto b = static_cast<std::size_t>(boards);
  for (std::size_t s = 0; s < t.size(); ++s) {
    x.push_back(t[s]);
    for (std::size_t c = 0; c < b; ++c) x.push_back(K[s * b + c]);
  }
  return x;
}

double Corners::squares(int strip) const {
  double sum = 0;
  for (int c = 0; c < columns(); ++c) sum += at(strip, c) * at(strip, c);
  return sum;
}

Corners corners_of(const Check& check) {
  return check.gaps() ? corners_of_joints(check) : corners_of_strips(check);
}

}  // namespace quarterturn::check
