// SPDX-License-Identifier: MIT
#include "survey/mixed_model.hpp"

#include <Eigen/QR>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <set>

namespace quarterturn::survey {
namespace {

constexpr double kRankShare = 1e-8;  ///< singular value of a column that counts as felt, as a share of all

double half_width_mm(const station::Grid& grid) {
  return std::max(0.5, 0.5 * (grid.columns - 1)) * grid.pitch.mm();
}
double half_depth_mm(const station::Grid& grid) {
  return std::max(0.5, 0.5 * (grid.rows - 1)) * grid.pitch.mm();
}

int unknowns_of(Term term, const station::Grid& grid, int holes) {
  switch (term) {
    case Term::holes:
      return 2 * holes;
    case Term::row_shift:
      return 2 * grid.rows;
    case Term::row_tilt:
      return grid.rows;
    case Term::column_shift:
      return 2 * grid.columns;
    case Term::column_tilt:
      break;
  }
  return grid.columns;
}

double square(double x) {
  return x * x;
}

}  // namespace

MixedModel::MixedModel(const station::Station& station, std::span<const Observation> observations,
                       std::vector<Term> terms, bool caliper_scale, std::span<const Observation> also,
                       std::span<const Hole> set_aside)
    : grid_(station.grid), terms_(std::move(terms)), caliper_scale_(caliper_scale) {
  lay_out(station, observations, also);
  for (const Hole& hole : set_aside) {
    if (!index_of(hole) || !aside_index_.try_emplace(hole, random_).second) continue;
    random_ += 2;
    known_sd_.resize(known_sd_.size() + 2, kAnywhereMm);
    component_.resize(static_cast<std::size_t>(random_), terms_.size());
  }
  for (const Observation& o : observations) {
    const double nominal = nominal_value(station, o);
    rows_.push_back(row_of(functional_of(station, o)));
    // a caliper's scale error: the same column as a common stretch of x and y, radii aside
    if (caliper_scale_ && o.kind == Kind::distance)
      rows_.back().fixed(kEffects) = nominal * column_scale_[kEffects];
    y_.push_back(o.value - nominal);
    u_.push_back(o.u);
  }
  reduce_fixed();
}

void MixedModel::lay_out(const station::Station& station, std::span<const Observation> observations,
                         std::span<const Observation> also) {
  std::set<Hole> holes;
  std::set<std::string> dogs;
  std::set<Standing> standing;
  for (const auto& [name, dog] : station.dogs) {
    if (const double sd = standing_sd_mm(station, name); sd > 0) standing_sd_[name] = sd;
  }
  for (const std::span<const Observation> list : {observations, also}) {
    for (const Observation& o : list) {
      for (const Hole& hole : o.holes()) holes.insert(hole);
      for (const std::string& dog : o.dogs()) dogs.insert(dog);
      if (o.kind != Kind::corner) continue;
      for (const auto& entry : functional_of(station, o).standing) {
        if (standing_sd_.contains(entry.first.second)) standing.insert(entry.first);
      }
    }
  }
  holes_.assign(holes.begin(), holes.end());
  for (std::size_t i = 0; i < holes_.size(); ++i) hole_index_[holes_[i]] = 2 * static_cast<int>(i);
  for (std::size_t k = 0; k < terms_.size(); ++k) {
    term_begin_.push_back(random_);
    random_ += unknowns_of(terms_[k], grid_, static_cast<int>(holes_.size()));
    component_.resize(static_cast<std::size_t>(random_), k);
  }
  for (const Standing& one : standing) {
    standing_index_[one] = random_;
    random_ += 2;
    known_sd_.resize(known_sd_.size() + 2, standing_sd_.at(one.second));
  }
  component_.resize(static_cast<std::size_t>(random_), terms_.size());
  names_ = {"pitch-x", "pitch-y", "shear"};
  const double size = std::max(half_width_mm(grid_), half_depth_mm(grid_));
  column_scale_.assign(kEffects, 1 / size);
  if (caliper_scale_) {
    names_.emplace_back(kCaliperScale);
    column_scale_.push_back(1 / size);
  }
  for (const std::string& dog : dogs) {
    dog_index_[dog] = static_cast<int>(names_.size());
    names_.push_back(dog);
    column_scale_.push_back(1);
  }
}

std::optional<int> MixedModel::index_of(Hole hole) const {
  const auto found = hole_index_.find(hole);
  if (found == hole_index_.end()) return std::nullopt;
  return found->second;
}

double MixedModel::sd(int random, std::span<const double> theta) const {
  const std::size_t k = component_of(random);
  if (k < terms_.size()) return std::sqrt(theta[k]);
  return known_sd_[static_cast<std::size_t>(random) - (component_.size() - known_sd_.size())];
}

double MixedModel::besides(const Functional& a, const Functional& b, std::span<const double> theta) const {
  double sum = 0;
  for (const auto& [hole, g] : a.holes) {
    const auto other = b.holes.find(hole);
    if (other != b.holes.end() && !index_of(hole)) sum += dot(g, other->second) * theta.front();
  }
  for (const auto& [standing, g] : a.standing) {
    const auto other = b.standing.find(standing);
    const auto sd = standing_sd_.find(standing.second);
    if (other == b.standing.end() || sd == standing_sd_.end() || standing_index_.contains(standing)) continue;
    sum += dot(g, other->second) * square(sd->second);
  }
  return sum;
}

std::optional<int> MixedModel::index_aside(Hole hole) const {
  const auto found = aside_index_.find(hole);
  if (found == aside_index_.end()) return std::nullopt;
  return found->second;
}

std::optional<std::size_t> MixedModel::index_of_dog(const std::string& dog) const {
  const auto found = dog_index_.find(dog);
  if (found == dog_index_.end()) return std::nullopt;
  return static_cast<std::size_t>(found->second);
}

/// What one hole's share does to the random unknowns.
void MixedModel::add_random(Hole hole, Vec g, std::map<int, double>& random, Row& row) const {
  const int c = hole.column - 1, r = hole.row - 1;
  const double x = (c - 0.5 * (grid_.columns - 1)) * grid_.pitch.mm() / half_width_mm(grid_);
  const double y = (r - 0.5 * (grid_.rows - 1)) * grid_.pitch.mm() / half_depth_mm(grid_);
  const auto shift = [&](int at) {
    random[at] += g.x;
    random[at + 1] += g.y;
  };
  for (std::size_t k = 0; k < terms_.size(); ++k) {
    const int begin = term_begin_[k];
    switch (terms_[k]) {
      case Term::holes:
        if (const auto at = index_of(hole))
          shift(begin + *at);
        else
          row.fresh += dot(g, g);
        break;
      case Term::row_shift:
        shift(begin + 2 * r);
        break;
      case Term::row_tilt:
        random[begin + r] += g.y * x;
        break;
      case Term::column_shift:
        shift(begin + 2 * c);
        break;
      case Term::column_tilt:
        random[begin + c] -= g.x * y;
        break;
    }
  }
  if (const auto at = index_aside(hole)) {  // (M117)
    random[*at] += g.x;
    random[*at + 1] += g.y;
  }
}

// (M108)
Row MixedModel::row_of(const Functional& functional) const {
  std::map<int, double> random;
  Row row;
  row.fixed = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(names_.size()));
  for (const auto& [hole, g] : functional.holes) {
    add_random(hole, g, random, row);
    row.size += std::fabs(g.x) + std::fabs(g.y);
  }
  const std::array<double, kEffects> effects = effects_in(grid_, functional);
  for (std::size_t k = 0; k < kEffects; ++k) {
    row.fixed(static_cast<Eigen::Index>(k)) = effects[k] * column_scale_[k];
  }
  for (const auto& [dog, g] : functional.dogs) {
    const std::optional<std::size_t> at = index_of_dog(dog);
    row.size += std::fabs(g);
    if (at)
      row.fixed(static_cast<Eigen::Index>(*at)) += g * column_scale_[*at];
    else
      row.unseen_dogs.push_back(dog);
  }
  // (M115)
  for (const auto& [standing, g] : functional.standing) {
    const auto sd = standing_sd_.find(standing.second);
    if (sd == standing_sd_.end()) continue;
    const auto at = standing_index_.find(standing);
    if (at == standing_index_.end()) {
      row.newly_put += dot(g, g) * square(sd->second);
    } else {
      random[at->second] += g.x;
      random[at->second + 1] += g.y;
    }
  }
  for (const auto& [index, value] : random) {
    if (value != 0) row.random.push_back({index, value});
  }
  return row;
}

Row MixedModel::row_of(Effect effect) const {
  Row row = row_of(Functional{});
  row.fixed(static_cast<Eigen::Index>(effect)) = column_scale_[static_cast<std::size_t>(effect)];
  return row;
}

/// Row space of X, columns scaled to length 1: a basis in which X'R^-1 X is the unit matrix, and the rest.
void MixedModel::reduce_fixed() {
  const auto n = static_cast<Eigen::Index>(rows_.size()), p = static_cast<Eigen::Index>(names_.size());
  Eigen::MatrixXd x(std::max(n, p), p);
  x.setZero();
  for (Eigen::Index i = 0; i < n; ++i) {
    x.row(i) = rows_[static_cast<std::size_t>(i)].fixed.transpose() / u_[static_cast<std::size_t>(i)];
  }
  for (Eigen::Index k = 0; k < p; ++k) {
    const double norm = x.col(k).norm();
    if (!(norm > 0)) continue;
    x.col(k) /= norm;
    column_scale_[static_cast<std::size_t>(k)] /= norm;
    for (Row& row : rows_) row.fixed(k) /= norm;
  }
  const Eigen::HouseholderQR<Eigen::MatrixXd> qr(x);
  const Eigen::MatrixXd r = qr.matrixQR().topRows(p).triangularView<Eigen::Upper>();
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(r, Eigen::ComputeFullV);
  Eigen::Index rank = 0;
  while (rank < p && svd.singularValues()(rank) > kRankShare) ++rank;
  basis_ = svd.matrixV().leftCols(rank) * svd.singularValues().head(rank).cwiseInverse().asDiagonal();
  outside_ = svd.matrixV().rightCols(p - rank);
  for (const Row& row : rows_) {
    const Eigen::VectorXd in = basis_.transpose() * row.fixed;
    reduced_.emplace_back(in.data(), in.data() + in.size());
  }
}

std::vector<std::string> MixedModel::undetermined(const Row& row) const {
  if (!row.unseen_dogs.empty()) return row.unseen_dogs;
  const Eigen::VectorXd part = outside_ * (outside_.transpose() * row.fixed);
  if (part.norm() <= 1e-7 * row.fixed.norm() + 1e-12 * row.size) return {};
  std::vector<std::string> names;
  for (Eigen::Index k = 0; k < part.size(); ++k) {
    if (std::fabs(part(k)) > 0.1 * part.cwiseAbs().maxCoeff())
      names.push_back(names_[static_cast<std::size_t>(k)]);
  }
  return names;
}

std::vector<stats::Entry> MixedModel::scaled(const Row& row, std::span<const double> theta) const {
  std::vector<stats::Entry> out;
  out.reserve(row.random.size() + static_cast<std::size_t>(basis_.cols()));
  for (const stats::Entry& e : row.random) {
    out.push_back({e.index, e.value * sd(e.index, theta)});
  }
  const Eigen::VectorXd in = basis_.transpose() * row.fixed;
  for (Eigen::Index k = 0; k < in.size(); ++k) out.push_back({random_ + static_cast<int>(k), in(k)});
  return out;
}

}  // namespace quarterturn::survey
