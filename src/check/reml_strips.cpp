// SPDX-License-Identifier: MIT
#include "check/reml_strips.hpp"

#include <Eigen/Cholesky>
#include <cmath>
#include <limits>

#include "check/log_terms.hpp"

namespace quarterturn::check {

namespace {

using Eigen::Index;
using Eigen::Map;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using RowMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2, kThetas = 3;

/// One strip's weighted line (M11): slope functional a, projected residuals P y, diagonal pieces.
struct LineFit {
  double taper = 0, variance = 0, reading_part = 0, saw_part = 0;
  double log_det = 0, residual_ss = 0;
  std::vector<double> a;                   // taper = sum a_i width_i
  std::vector<double> py;                  // P y
  std::vector<double> weight, leverage_p;  // 1/variance; P_ii
  double mean_position = 0, sum_weight = 0, sxx = 0;
};

LineFit line_fit(const StripData& strip, std::span<const double> theta) {
  const std::size_t n = strip.position.size();
  LineFit line;
  line.weight.resize(n);
  line.a.resize(n);
  line.py.resize(n);
  line.leverage_p.resize(n);
  double sum_wp = 0, sum_wy = 0, log_v = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double v = theta[kSaw] + strip.reading_share[i] * theta[kReading] + strip.fixed[i];
    line.weight[i] = 1.0 / v;
    log_v += std::log(v);
    line.sum_weight += line.weight[i];
    sum_wp += line.weight[i] * strip.position[i];
    sum_wy += line.weight[i] * strip.width[i];
  }
  line.mean_position = sum_wp / line.sum_weight;
  const double mean_width = sum_wy / line.sum_weight;
  double sxy = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double dp = strip.position[i] - line.mean_position;
    line.sxx += line.weight[i] * dp * dp;
    sxy += line.weight[i] * dp * (strip.width[i] - mean_width);
  }
  const double slope = sxy / line.sxx;
  line.taper = -slope;
  line.variance = 1.0 / line.sxx;
  for (std::size_t i = 0; i < n; ++i) {
    const double dp = strip.position[i] - line.mean_position;
    const double residual = strip.width[i] - mean_width - slope * dp;
    line.a[i] = -line.weight[i] * dp / line.sxx;
    line.py[i] = line.weight[i] * residual;
    line.leverage_p[i] =
        line.weight[i] - line.weight[i] * line.weight[i] * (1.0 / line.sum_weight + dp * dp / line.sxx);
    line.residual_ss += line.weight[i] * residual * residual;
    line.reading_part += line.a[i] * line.a[i] * strip.reading_share[i];
    line.saw_part += line.a[i] * line.a[i];
  }
  line.log_det = log_v + std::log(line.sum_weight) + std::log(line.sxx);  // ln|D| + ln|X'D^-1 X|
  return line;
}

/// Element (i, k) of the strip's projection P.
double projection(const StripData& strip, const LineFit& line, std::size_t i, std::size_t k) {
  const double di = strip.position[i] - line.mean_position, dk = strip.position[k] - line.mean_position;
  const double common = -line.weight[i] * line.weight[k] * (1.0 / line.sum_weight + di * dk / line.sxx);
  return i == k ? line.weight[i] + common : common;
}

/// The taper stage (M13), (M14): V, its inverse, the projection P3.
struct TaperStage {
  MatrixXd v_inverse, p3, covariance;
  VectorXd taper, u;  // u = P3 taper
  VectorXd beta;
  double log_det = 0, quadratic = 0;
  bool ok = false;
};

TaperStage taper_stage(const GroupData& group, const std::vector<LineFit>& lines, double seating) {
  const auto n = static_cast<Index>(lines.size());
  TaperStage stage;
  MatrixXd v = seating * Map<const MatrixXd>(group.seating.data(), n, n);
  stage.taper.resize(n);
  for (Index j = 0; j < n; ++j) {
    v(j, j) += lines[static_cast<std::size_t>(j)].variance;
    stage.taper(j) = lines[static_cast<std::size_t>(j)].taper;
  }
  const Eigen::LLT<MatrixXd> llt(v);
  if (llt.info() != Eigen::Success) return stage;
  const Map<const RowMatrix> x(group.x.data(), n, group.regressors);
  stage.v_inverse = llt.solve(MatrixXd::Identity(n, n));
  const MatrixXd vx = stage.v_inverse * x;
  const Eigen::LLT<MatrixXd> small(x.transpose() * vx);
  if (small.info() != Eigen::Success) return stage;
  stage.covariance = small.solve(MatrixXd::Identity(group.regressors, group.regressors));
  stage.p3 = stage.v_inverse - vx * stage.covariance * vx.transpose();
  stage.beta = stage.covariance * (vx.transpose() * stage.taper);
  stage.u = stage.p3 * stage.taper;
  stage.quadratic = stage.taper.dot(stage.u);
  stage.log_det = 2 * MatrixXd(llt.matrixL()).diagonal().array().log().sum() +
                  2 * MatrixXd(small.matrixL()).diagonal().array().log().sum();
  stage.ok = true;
  return stage;
}

/// Sums over the spots of one strip that the gradient and the information need.
struct SpotSums {
  double trace[2] = {0, 0};     // tr(P V_a)
  double residual[2] = {0, 0};  // (Py)' V_a (Py)
  double cross[2] = {0, 0};     // a' V_a (Py)
  double slope[2] = {0, 0};     // a' V_a a
  double pp[3] = {0, 0, 0};     // tr(P V_a P V_b) for (m,m), (m,f), (f,f)
  double apa[3] = {0, 0, 0};    // a' V_a P V_b a
};

/// The double sums of SpotSums, spot by spot: exact where P is nearly nothing, as on two spots.
void add_pairs(const StripData& strip, const LineFit& line, SpotSums& s) {
  const std::size_t n = strip.position.size();
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t k = 0; k < n; ++k) {
      const double p = projection(strip, line, i, k), c = strip.reading_share[i], d = strip.reading_share[k];
      const double squared = p * p, product = line.a[i] * p * line.a[k];
      s.pp[0] += c * d * squared;
      s.pp[1] += c * squared;
      s.pp[2] += squared;
      s.apa[0] += c * d * product;
      s.apa[1] += c * product;
      s.apa[2] += product;
    }
  }
}

/// The same from moments, in time as the spots and not as their pairs: P = W - W (11'/sum w + dd'/sxx) W.
void add_moments(const StripData& strip, const LineFit& line, SpotSums& s) {
  double w2[2][3] = {}, aw[2][2] = {};  // sums of share w^2 d^r, of share a w d^r; [1]: share is 1
  double own_pp[3] = {}, own_apa[3] = {};
  for (std::size_t i = 0; i < strip.position.size(); ++i) {
    const double w = line.weight[i], d = strip.position[i] - line.mean_position,
                 share = strip.reading_share[i];
    const double pp = w * w - 2 * w * w * w * (1 / line.sum_weight + d * d / line.sxx);
    const double apa = line.a[i] * line.a[i] * w;
    const double both[3] = {share * share, share, 1}, one[2] = {share, 1};
    for (std::size_t k = 0; k < 3; ++k) {
      own_pp[k] += both[k] * pp;
      own_apa[k] += both[k] * apa;
    }
    for (std::size_t k = 0; k < 2; ++k) {
      const double square = one[k] * w * w, product = one[k] * line.a[i] * w;
      w2[k][0] += square;
      w2[k][1] += square * d;
      w2[k][2] += square * d * d;
      aw[k][0] += product;
      aw[k][1] += product * d;
    }
  }
  const double g = 1 / line.sum_weight, h = 1 / line.sxx;
  const std::size_t first[3] = {0, 0, 1}, second[3] = {0, 1, 1};
  for (std::size_t k = 0; k < 3; ++k) {
    const double* b = w2[first[k]];
    const double* c = w2[second[k]];
    s.pp[k] += own_pp[k] + g * g * b[0] * c[0] + 2 * g * h * b[1] * c[1] + h * h * b[2] * c[2];
    const double* e = aw[first[k]];
    const double* f = aw[second[k]];
    s.apa[k] += own_apa[k] - g * e[0] * f[0] - h * e[1] * f[1];
  }
}

SpotSums spot_sums(const StripData& strip, const LineFit& line) {
  constexpr std::size_t kFew = 40;  // so many a person measures; from here on P is far from nothing
  SpotSums s;
  const std::size_t n = strip.position.size();
  for (std::size_t i = 0; i < n; ++i) {
    const double share[2] = {strip.reading_share[i], 1.0};
    for (std::size_t k = 0; k < 2; ++k) {
      s.trace[k] += share[k] * line.leverage_p[i];
      s.residual[k] += share[k] * line.py[i] * line.py[i];
      s.cross[k] += share[k] * line.a[i] * line.py[i];
      s.slope[k] += share[k] * line.a[i] * line.a[i];
    }
  }
  n <= kFew ? add_pairs(strip, line, s) : add_moments(strip, line, s);
  return s;
}

}  // namespace

std::vector<double> seating_matrix(const Corners& corners, std::span<const double> span_mm) {
  const auto n = static_cast<std::size_t>(corners.strips);
  std::vector<double> k(n * n, 0.0);
  for (int i = 0; i < corners.strips; ++i) {
    for (int j = 0; j < corners.strips; ++j) {
      double sum = 0;
      for (int c = 0; c < corners.columns(); ++c) {
        const double span = span_mm[static_cast<std::size_t>(c)];
        sum += corners.at(i, c) * corners.at(j, c) * 2.0 / (span * span);
      }
      k[static_cast<std::size_t>(i) * n + static_cast<std::size_t>(j)] = sum;
    }
  }
  return k;
}

StripLikelihood::StripLikelihood(std::vector<GroupData> groups, std::vector<Evidence> evidence,
                                 std::shared_ptr<const LogTerms> log, double log_discount)
    : groups_(std::move(groups)),
      evidence_(std::move(evidence)),
      log_(std::move(log)),
      log_discount_(log_discount) {
  for (const Evidence& e : evidence_) {
    reading_known_ = reading_known_ || (e.component == Component::reading && e.nu > 0 && e.s2 > 0);
  }
  for (const GroupData& group : groups_) reading_known_ = reading_known_ || group.ss_pure > 0;
  reading_known_ = reading_known_ || (log_ && log_->ss_pure > 0);
}

// (M20)–(M22). With P = blockdiag(P_j) + A P3 A' the terms of the full model split by strip and taper stage;
// the taper depends on theta where readings a spot differ, hence the cross terms.
void StripLikelihood::add_group(const GroupData& group, double discount, std::span<const double> theta,
                                stats::RemlPoint& out) const {
  if (reading_known_) add_pure_error(group.ss_pure, group.nu_pure, theta, out);
  if (group.strips.empty()) return;
  std::vector<LineFit> lines;
  lines.reserve(group.strips.size());
  for (const StripData& strip : group.strips) lines.push_back(line_fit(strip, theta));
  const TaperStage stage = taper_stage(group, lines, theta[kSeating]);
  if (!stage.ok) {
    out.minus_log = std::numeric_limits<double>::infinity();
    return;
  }
  const double lambda = discount, m = group.checks;
  out.minus_log += 0.5 * lambda * (m * stage.log_det + stage.quadratic);
  const auto n = static_cast<Index>(lines.size());
  const Map<const MatrixXd> k(group.seating.data(), n, n);
  const MatrixXd p3k = stage.p3 * k, p3kp3 = p3k * stage.p3;
  out.gradient[kSeating] += 0.5 * lambda * (m * p3k.trace() - stage.u.dot(k * stage.u));
  out.information[kSeating * kThetas + kSeating] +=
      0.5 * lambda * m * (p3k.array() * p3k.transpose().array()).sum();
  std::vector<SpotSums> sums;
  sums.reserve(lines.size());
  for (std::size_t j = 0; j < lines.size(); ++j) {
    const auto jj = static_cast<Index>(j);
    sums.push_back(spot_sums(group.strips[j], lines[j]));
    const SpotSums& s = sums.back();
    out.minus_log += 0.5 * (m * lines[j].log_det + lines[j].residual_ss);
    const double u = stage.u(jj), p = stage.p3(jj, jj);
    for (std::size_t a = 0; a < 2; ++a) {
      out.gradient[a] += 0.5 * (m * s.trace[a] - s.residual[a]) +
                         0.5 * lambda * (m * p * s.slope[a] - 2 * u * s.cross[a] - u * u * s.slope[a]);
      const double seating_term = 0.5 * lambda * m * p3kp3(jj, jj) * s.slope[a];
      out.information[a * kThetas + kSeating] += seating_term;
      out.information[kSeating * kThetas + a] += seating_term;
    }
    const double mm = m * (0.5 * s.pp[0] + lambda * p * s.apa[0]),
                 mf = m * (0.5 * s.pp[1] + lambda * p * s.apa[1]);
    out.information[0] += mm;
    out.information[1] += mf;
    out.information[kThetas] += mf;
    out.information[kThetas + 1] += m * (0.5 * s.pp[2] + lambda * p * s.apa[2]);
  }
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t j = 0; j < lines.size(); ++j) {
      const double p = stage.p3(static_cast<Index>(i), static_cast<Index>(j)), w = 0.5 * lambda * m * p * p;
      for (std::size_t a = 0; a < 2; ++a) {
        for (std::size_t b = 0; b < 2; ++b) {
          out.information[a * kThetas + b] += w * sums[i].slope[a] * sums[j].slope[b];
        }
      }
    }
  }
}

// (M17): 1/2 nu (ln sigma^2 + s^2 / sigma^2).
void StripLikelihood::add_evidence(std::span<const double> theta, stats::RemlPoint& out) const {
  for (const Evidence& e : evidence_) {
    if (e.nu <= 0 || e.s2 <= 0) continue;
    const auto k = static_cast<std::size_t>(e.component);
    const double value = theta[k];
    out.minus_log += 0.5 * e.nu * (std::log(value) + e.s2 / value);
    out.gradient[k] += 0.5 * e.nu * (1.0 / value - e.s2 / (value * value));
    out.information[k * kThetas + k] += 0.5 * e.nu / (value * value);
  }
}

void StripLikelihood::evaluate(std::span<const double> theta, stats::RemlPoint& out) const {
  out.minus_log = 0;
  out.gradient.assign(kThetas, 0.0);
  out.information.assign(kThetas * kThetas, 0.0);
  for (const GroupData& group : groups_) add_group(group, group.discount, theta, out);
  if (log_) {
    if (reading_known_) add_pure_error(log_->ss_pure, log_->nu_pure, theta, out);
    add_pooled(*log_, log_discount_, theta, out);
    for (const GroupData& group : log_->unequal) add_group(group, log_discount_ * group.discount, theta, out);
  }
  add_evidence(theta, out);
  if (std::isnan(out.minus_log)) out.minus_log = std::numeric_limits<double>::infinity();
}

TaperFit StripLikelihood::tapers(std::span<const double> theta, int row) const {
  const GroupData& group = groups_.front();
  std::vector<LineFit> lines;
  TaperFit fit;
  for (const StripData& strip : group.strips) {
    lines.push_back(line_fit(strip, theta));
    fit.taper.push_back(lines.back().taper);
    fit.variance.push_back(lines.back().variance);
    fit.reading_part.push_back(lines.back().reading_part);
    fit.saw_part.push_back(lines.back().saw_part);
    fit.residual_ss += lines.back().residual_ss;
  }
  const TaperStage stage = taper_stage(group, lines, theta[kSeating]);
  if (!stage.ok) return fit;
  fit.beta.assign(stage.beta.data(), stage.beta.data() + stage.beta.size());
  fit.covariance.assign(stage.covariance.data(), stage.covariance.data() + stage.covariance.size());
  // Row of (X'V^-1 X)^-1 X'V^-1.
  const Map<const RowMatrix> x(group.x.data(), static_cast<Index>(lines.size()), group.regressors);
  const VectorXd a = stage.v_inverse * x * stage.covariance.col(row);
  fit.weights.assign(a.data(), a.data() + a.size());
  return fit;
}

// (M18): theta-hat' P theta-hat is z' (L'VL)^-1 z for any contrasts z = L' theta-hat orthogonal to t.
std::optional<TaperScatter> StripLikelihood::taper_scatter(std::span<const double> theta) const {
  const GroupData& group = groups_.front();
  const auto n = static_cast<Index>(group.strips.size());
  if (n <= group.regressors) return std::nullopt;
  std::vector<LineFit> lines;
  for (const StripData& strip : group.strips) lines.push_back(line_fit(strip, theta));
  const TaperStage stage = taper_stage(group, lines, theta[kSeating]);
  if (!stage.ok) return std::nullopt;
  TaperScatter out;
  out.contrasts = static_cast<int>(n) - group.regressors;
  out.f = stage.quadratic / out.contrasts;
  out.gradient.assign(kThetas, 0.0);
  for (Index j = 0; j < n; ++j) {
    const LineFit& line = lines[static_cast<std::size_t>(j)];
    out.gradient[kReading] += stage.p3(j, j) * line.reading_part / out.contrasts;
    out.gradient[kSaw] += stage.p3(j, j) * line.saw_part / out.contrasts;
  }
  const Map<const MatrixXd> k(group.seating.data(), n, n);
  out.gradient[kSeating] = (stage.p3 * k).trace() / out.contrasts;
  return out;
}

std::vector<double> StripLikelihood::variance_gradient(const TaperFit& fit) const {
  const auto n = static_cast<Index>(fit.weights.size());
  const Map<const VectorXd> a(fit.weights.data(), n);
  std::vector<double> gradient(kThetas, 0.0);
  for (Index j = 0; j < n; ++j) {
    gradient[kReading] += a(j) * a(j) * fit.reading_part[static_cast<std::size_t>(j)];
    gradient[kSaw] += a(j) * a(j) * fit.saw_part[static_cast<std::size_t>(j)];
  }
  gradient[kSeating] = a.dot(Map<const MatrixXd>(groups_[0].seating.data(), n, n) * a);
  return gradient;
}

}  // namespace quarterturn::check
