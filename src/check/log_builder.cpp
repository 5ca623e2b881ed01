// SPDX-License-Identifier: MIT
#include "check/log_builder.hpp"

#include <Eigen/Eigenvalues>
#include <Eigen/QR>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace quarterturn::check {

namespace {

using Eigen::Index;
using Eigen::Map;
using Eigen::MatrixXd;
using Eigen::VectorXd;

struct Common {
  double share, fixed;
};

/// The one split of variance that all spot means of a strip share. Two spots always act as one: their line
/// has no residual, and its taper the variance v_1 + v_2 over the square of their distance.
std::optional<Common> common_of(const StripData& strip) {
  if (strip.position.size() == 2) {
    return Common{0.5 * (strip.reading_share[0] + strip.reading_share[1]),
                  0.5 * (strip.fixed[0] + strip.fixed[1])};
  }
  for (std::size_t i = 1; i < strip.position.size(); ++i) {
    if (strip.reading_share[i] != strip.reading_share[0] || strip.fixed[i] != strip.fixed[0])
      return std::nullopt;
  }
  return Common{strip.reading_share[0], strip.fixed[0]};
}

std::optional<Common> common_of(const GroupData& group) {
  std::optional<Common> common;
  for (const StripData& strip : group.strips) {
    const auto here = common_of(strip);
    if (!here) return std::nullopt;
    if (common && (common->share != here->share || common->fixed != here->fixed)) return std::nullopt;
    common = here;
  }
  return common;
}

bool three_alike(const GroupData& group) {
  const StripData& first = group.strips.front();
  return first.position.size() == 3 &&
         std::all_of(group.strips.begin(), group.strips.end(), [&](const StripData& strip) {
           return strip.position == first.position && strip.reading_share == first.reading_share &&
                  strip.fixed == first.fixed;
         });
}

/// Unweighted line: minus its slope, and Sxx.
struct Line {
  double taper = 0, sxx = 0;
};
Line line_of(const StripData& strip) {
  double mean = 0, sxy = 0;
  Line line;
  for (const double p : strip.position) mean += p / static_cast<double>(strip.position.size());
  for (std::size_t i = 0; i < strip.position.size(); ++i) {
    line.sxx += (strip.position[i] - mean) * (strip.position[i] - mean);
    sxy += (strip.position[i] - mean) * (strip.width[i] - strip.width[0]);
  }
  line.taper = -sxy / line.sxx;
  return line;
}

VectorXd widths_of(const GroupData& group) {
  std::vector<double> all;
  for (const StripData& strip : group.strips) all.insert(all.end(), strip.width.begin(), strip.width.end());
  return Map<const VectorXd>(all.data(), static_cast<Index>(all.size()));
}

/// What the restricted likelihood sees of the widths of a check: all that is orthogonal to a level a strip
/// and to the common taper.
MatrixXd seen_of(const GroupData& group) {
  Index spots = 0;
  for (const StripData& strip : group.strips) spots += static_cast<Index>(strip.position.size());
  const auto strips = static_cast<Index>(group.strips.size());
  MatrixXd x = MatrixXd::Zero(spots, strips + 1);
  Index row = 0;
  for (Index j = 0; j < strips; ++j) {
    for (const double p : group.strips[static_cast<std::size_t>(j)].position) {
      x(row, j) = 1;
      x(row++, strips) = p * group.x[static_cast<std::size_t>(j)] / 1000;
    }
  }
  const Eigen::HouseholderQR<MatrixXd> qr(x);
  const MatrixXd q = qr.householderQ() * MatrixXd::Identity(spots, spots);
  return q.rightCols(spots - strips - 1);
}

void set_widths(GroupData& group, const VectorXd& widths) {
  Index row = 0;
  for (StripData& strip : group.strips) {
    for (double& width : strip.width) width = widths(row++);
  }
}

}  // namespace

std::size_t LogBuilder::class_of(double share, double fixed) {
  auto& classes = terms_.classes;
  const auto found = std::find_if(classes.begin(), classes.end(),
                                  [&](const LineClass& c) { return c.share == share && c.fixed == fixed; });
  const auto index = static_cast<std::size_t>(found - classes.begin());
  if (index == classes.size()) classes.push_back({share, fixed, 0, 0});
  return index;
}

void LogBuilder::add(const GroupData& group, double ss_line, bool seating) {
  terms_.ss_pure += group.ss_pure;
  terms_.nu_pure += group.nu_pure;
  const auto common = common_of(group);
  if (!common) {
    if (three_alike(group)) {
      add_skew(group, seating);
    } else {
      add_unequal(group, seating);
    }
    return;
  }
  const std::size_t line_class = class_of(common->share, common->fixed);
  std::vector<double> sxx;
  for (const StripData& strip : group.strips) {
    terms_.classes[line_class].nu_line += static_cast<double>(strip.position.size()) - 2;
    sxx.push_back(line_of(strip).sxx);
  }
  terms_.classes[line_class].ss_line += ss_line;
  if (seating && group.strips.size() > 1) add_tapers(group, sxx, line_class);
}

// (M20): with V = s^2 K + v diag(1/Sxx), |V| t'V^-1 t and the quadratic form are those of the contrasts
// L'theta-hat, L't = 0. L is chosen so that L' diag(1/Sxx) L = I and L'KL is diagonal: one contrast, one
// term.
const LogBuilder::Design& LogBuilder::design_of(const GroupData& group, std::span<const double> sxx) {
  const auto n = static_cast<Index>(sxx.size());
  std::vector<double> key(group.seating);
  key.insert(key.end(), sxx.begin(), sxx.end());
  key.insert(key.end(), group.x.begin(), group.x.end());
  const auto [place, is_new] = designs_.try_emplace(std::move(key));
  Design& design = place->second;
  if (!is_new) return design;
  const VectorXd root = Map<const VectorXd>(sxx.data(), n).cwiseSqrt();
  const MatrixXd t = root.asDiagonal() * Map<const VectorXd>(group.x.data(), n);
  const MatrixXd q = Eigen::HouseholderQR<MatrixXd>(t).householderQ() * MatrixXd::Identity(n, n);
  const MatrixXd contrasts = root.asDiagonal() * q.rightCols(n - 1);
  const MatrixXd seen = contrasts.transpose() * Map<const MatrixXd>(group.seating.data(), n, n) * contrasts;
  const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(seen);
  const MatrixXd all = contrasts * eigen.eigenvectors();  // strips x contrasts: row-major, transposed
  design.to_contrasts.assign(all.data(), all.data() + all.size());
  const VectorXd ratio = eigen.eigenvalues().cwiseMax(0.0);
  design.ratio.assign(ratio.data(), ratio.data() + ratio.size());
  return design;
}

void LogBuilder::add_tapers(const GroupData& group, std::span<const double> sxx, std::size_t line_class) {
  const Design& design = design_of(group, sxx);
  const auto [first, is_first] = first_term_.try_emplace({&design, line_class}, terms_.tapers.size());
  if (is_first) {
    for (const double ratio : design.ratio) terms_.tapers.push_back({line_class, ratio, 0, 0});
  }
  std::vector<double> taper;
  for (const StripData& strip : group.strips) taper.push_back(line_of(strip).taper);
  for (std::size_t i = 0; i < design.ratio.size(); ++i) {
    double z = 0;
    for (std::size_t j = 0; j < taper.size(); ++j) z += design.to_contrasts[i * taper.size() + j] * taper[j];
    TaperTerm& term = terms_.tapers[first->second + i];
    term.checks += 1;
    term.squares += z * z;
  }
}

// Strips alike, so that the contrasts of their tapers are those of add_tapers and the same contrasts of their
// residuals go with them.
void LogBuilder::add_skew(const GroupData& group, bool seating) {
  const StripData& strip = group.strips.front();
  const std::vector<double>& p = strip.position;
  const double sxx = line_of(strip).sxx, mean = (p[0] + p[1] + p[2]) / 3;
  std::array<double, 3> h{}, c{p[1] - p[2], p[2] - p[0], p[0] - p[1]};
  const double norm = std::sqrt(c[0] * c[0] + c[1] * c[1] + c[2] * c[2]);
  double residual_reading = 0, residual_fixed = 0;
  SkewTerm skew;
  skew.taper_saw = 1 / sxx;
  for (std::size_t i = 0; i < 3; ++i) {
    h[i] = (mean - p[i]) / sxx;
    c[i] /= norm;
    skew.taper_reading += h[i] * h[i] * strip.reading_share[i];
    skew.taper_fixed += h[i] * h[i] * strip.fixed[i];
    skew.cross_reading += h[i] * c[i] * strip.reading_share[i];
    skew.cross_fixed += h[i] * c[i] * strip.fixed[i];
    residual_reading += c[i] * c[i] * strip.reading_share[i];
    residual_fixed += c[i] * c[i] * strip.fixed[i];
  }
  skew.line_class = class_of(residual_reading, residual_fixed);
  std::vector<double> b, r;
  for (const StripData& one : group.strips) {
    b.push_back(line_of(one).taper);
    r.push_back(c[1] * (one.width[1] - one.width[0]) + c[2] * (one.width[2] - one.width[0]));
    terms_.classes[skew.line_class].nu_line += 1;
    terms_.classes[skew.line_class].ss_line += r.back() * r.back();
  }
  if (!seating || b.size() < 2) return;
  const Design& design = design_of(group, std::vector<double>(b.size(), sxx));
  std::vector<double> layout(p);
  layout.insert(layout.end(), strip.reading_share.begin(), strip.reading_share.end());
  layout.insert(layout.end(), strip.fixed.begin(), strip.fixed.end());
  const auto [first, is_first] = first_skew_.try_emplace({&design, std::move(layout)}, terms_.skew.size());
  if (is_first) {
    for (const double ratio : design.ratio) {
      skew.ratio = ratio / sxx;
      terms_.skew.push_back(skew);
    }
  }
  for (std::size_t i = 0; i < design.ratio.size(); ++i) {
    double z_b = 0, z_r = 0;
    for (std::size_t j = 0; j < b.size(); ++j) {
      z_b += design.to_contrasts[i * b.size() + j] * b[j] / std::sqrt(sxx);
      z_r += design.to_contrasts[i * b.size() + j] * r[j] / std::sqrt(sxx);
    }
    SkewTerm& term = terms_.skew[first->second + i];
    term.checks += 1;
    term.bb += z_b * z_b;
    term.br += z_b * z_r;
    term.rr += z_r * z_r;
  }
}

// The likelihood of N checks of one design depends on their widths y through the sum of y y' over what it
// sees of them: as many columns of its root stand for all of them.
void LogBuilder::add_unequal(const GroupData& group, bool seating) {
  std::vector<double> key{seating ? 1.0 : 0.0};
  for (const StripData& strip : group.strips) {
    key.push_back(static_cast<double>(strip.position.size()));
    key.insert(key.end(), strip.position.begin(), strip.position.end());
    key.insert(key.end(), strip.reading_share.begin(), strip.reading_share.end());
    key.insert(key.end(), strip.fixed.begin(), strip.fixed.end());
  }
  key.insert(key.end(), group.seating.begin(), group.seating.end());
  key.insert(key.end(), group.x.begin(), group.x.end());
  Unequal& same = unequal_[std::move(key)];
  same.checks += 1;
  if (same.basis.empty()) {
    GroupData kept = group;
    kept.ss_pure = kept.nu_pure = 0;
    kept.discount = seating ? 1 : 0;
    same.first.push_back(std::move(kept));
    const auto rank = widths_of(group).size() - static_cast<Index>(group.strips.size()) - 1;
    if (static_cast<Index>(same.first.size()) <= rank) return;
    const MatrixXd seen = seen_of(group);
    same.basis.assign(seen.data(), seen.data() + seen.size());
    same.products.assign(static_cast<std::size_t>(rank * rank), 0.0);
    for (const GroupData& one : same.first) {
      const VectorXd y = seen.transpose() * widths_of(one);
      Map<MatrixXd>(same.products.data(), rank, rank) += y * y.transpose();
    }
    same.first.resize(1);
    return;
  }
  const VectorXd widths = widths_of(group);
  const auto rank = static_cast<Index>(same.basis.size()) / widths.size();
  const VectorXd y = Map<const MatrixXd>(same.basis.data(), widths.size(), rank).transpose() * widths;
  Map<MatrixXd>(same.products.data(), rank, rank) += y * y.transpose();
}

LogTerms LogBuilder::finish() {
  for (auto& [key, same] : unequal_) {
    if (same.basis.empty()) {
      for (GroupData& group : same.first) terms_.unequal.push_back(std::move(group));
      continue;
    }
    const Index spots = widths_of(same.first.front()).size();
    const auto rank = static_cast<Index>(same.basis.size()) / spots;
    const Eigen::SelfAdjointEigenSolver<MatrixXd> eigen(
        Map<const MatrixXd>(same.products.data(), rank, rank));
    const MatrixXd roots = Map<const MatrixXd>(same.basis.data(), spots, rank) * eigen.eigenvectors() *
                           eigen.eigenvalues().cwiseMax(0.0).cwiseSqrt().asDiagonal();
    for (Index i = 0; i < rank; ++i) {
      GroupData one = same.first.front();
      one.checks = same.checks / static_cast<double>(rank);
      set_widths(one, roots.col(i));
      terms_.unequal.push_back(std::move(one));
    }
  }
  return std::move(terms_);
}

}  // namespace quarterturn::check
