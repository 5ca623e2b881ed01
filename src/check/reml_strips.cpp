// SPDX-License-Identifier: MIT
#include "check/reml_strips.hpp"

#include <cmath>
#include <limits>

#include "check/log_terms.hpp"
#include "check/taper_stage.hpp"

namespace quarterturn::check {

namespace {

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2, kThetas = 3;

std::vector<LineMoments> moments_of(const GroupData& group) {
  std::vector<LineMoments> moments;
  moments.reserve(group.strips.size());
  for (const StripData& strip : group.strips) moments.push_back(line_moments(strip));
  return moments;
}

/// The lines of a group and their tapers' stage at one theta.
struct GroupAt {
  std::vector<LineAt> lines;
  TaperStage stage;

  GroupAt(const GroupData& group, const std::vector<LineMoments>& moments, std::span<const double> theta)
      : lines(lines_at(group, moments, theta)), stage(stage_of(group, lines, theta[kSeating])) {}

 private:
  static std::vector<LineAt> lines_at(const GroupData& group, const std::vector<LineMoments>& moments,
                                      std::span<const double> theta) {
    std::vector<LineAt> lines;
    lines.reserve(group.strips.size());
    LastLog logs;
    for (std::size_t j = 0; j < group.strips.size(); ++j)
      lines.push_back(line_at(group.strips[j], moments[j], theta, logs));
    return lines;
  }
  static TaperStage stage_of(const GroupData& group, const std::vector<LineAt>& lines, double seating) {
    std::vector<double> values;
    values.reserve(2 * lines.size());
    for (const LineAt& line : lines) values.push_back(line.taper);
    for (const LineAt& line : lines) values.push_back(line.variance);
    const std::span<const double> all = values;
    return {all.first(lines.size()),
            all.last(lines.size()),
            group.seating,
            seating,
            group.x,
            static_cast<std::size_t>(group.regressors)};
  }
};

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
  for (const GroupData& group : groups_) lines_.push_back(moments_of(group));
  if (!log_) return;
  for (const GroupData& group : log_->unequal) log_lines_.push_back(moments_of(group));
}

// (M20)–(M22). With P = blockdiag(P_j) + A P3 A' the terms of the full model split by strip and taper stage;
// the taper depends on theta where readings a spot differ, hence the cross terms.
void StripLikelihood::add_group(const GroupData& group, const Lines& moments, double discount,
                                std::span<const double> theta, stats::RemlPoint& out) const {
  if (reading_known_) add_pure_error(group.ss_pure, group.nu_pure, theta, out);
  if (group.strips.empty()) return;
  GroupAt at(group, moments, theta);
  if (!at.stage.ok()) {
    out.minus_log = std::numeric_limits<double>::infinity();
    return;
  }
  const double lambda = discount, m = group.checks;
  const TaperStage::Seating seating = at.stage.seating();
  out.minus_log += 0.5 * lambda * (m * at.stage.log_det() + at.stage.quadratic());
  out.gradient[kSeating] += 0.5 * lambda * (m * seating.trace - seating.quadratic);
  out.information[kSeating * kThetas + kSeating] += 0.5 * lambda * m * seating.square;
  for (std::size_t j = 0; j < at.lines.size(); ++j) {
    const LineAt& line = at.lines[j];
    out.minus_log += 0.5 * (m * line.log_det + line.residual_ss);
    const double u = at.stage.u(j), p = at.stage.p3(j, j);
    for (std::size_t a = 0; a < 2; ++a) {
      out.gradient[a] +=
          0.5 * (m * line.trace[a] - line.residual[a]) +
          0.5 * lambda * (m * p * line.slope[a] - 2 * u * line.cross[a] - u * u * line.slope[a]);
      const double seating_term = 0.5 * lambda * m * seating.pkp[j] * line.slope[a];
      out.information[a * kThetas + kSeating] += seating_term;
      out.information[kSeating * kThetas + a] += seating_term;
    }
    const double mf = m * (0.5 * line.pp[1] + lambda * p * line.apa[1]);
    out.information[0] += m * (0.5 * line.pp[0] + lambda * p * line.apa[0]);
    out.information[1] += mf;
    out.information[kThetas] += mf;
    out.information[kThetas + 1] += m * (0.5 * line.pp[2] + lambda * p * line.apa[2]);
  }
  for (std::size_t i = 0; i < at.lines.size(); ++i) {
    double through[2] = {0, 0};  // sum over j of p_ij^2 a' V_b a of strip j
    for (std::size_t j = 0; j < at.lines.size(); ++j) {
      const double p = at.stage.p3(i, j);
      for (std::size_t b = 0; b < 2; ++b) through[b] += p * p * at.lines[j].slope[b];
    }
    for (std::size_t a = 0; a < 2; ++a) {
      for (std::size_t b = 0; b < 2; ++b)
        out.information[a * kThetas + b] += 0.5 * lambda * m * at.lines[i].slope[a] * through[b];
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
  for (std::size_t i = 0; i < groups_.size(); ++i)
    add_group(groups_[i], lines_[i], groups_[i].discount, theta, out);
  if (log_) {
    if (reading_known_) add_pure_error(log_->ss_pure, log_->nu_pure, theta, out);
    add_pooled(*log_, log_discount_, theta, out);
    for (std::size_t i = 0; i < log_lines_.size(); ++i) {
      const GroupData& group = log_->unequal[i];
      add_group(group, log_lines_[i], log_discount_ * group.discount, theta, out);
    }
  }
  add_evidence(theta, out);
  if (std::isnan(out.minus_log)) out.minus_log = std::numeric_limits<double>::infinity();
}

TaperFit StripLikelihood::tapers(std::span<const double> theta, int row) const {
  const GroupAt at(groups_.front(), lines_.front(), theta);
  TaperFit fit;
  for (const LineAt& line : at.lines) {
    fit.taper.push_back(line.taper);
    fit.variance.push_back(line.variance);
    fit.reading_part.push_back(line.slope[kReading]);
    fit.saw_part.push_back(line.slope[kSaw]);
    fit.residual_ss += line.residual_ss;
  }
  if (!at.stage.ok()) return fit;
  fit.beta.assign(at.stage.beta().begin(), at.stage.beta().end());
  fit.covariance.assign(at.stage.covariance().begin(), at.stage.covariance().end());
  fit.weights = at.stage.weights(static_cast<std::size_t>(row));
  return fit;
}

// (M18): theta-hat' P theta-hat is z' (L'VL)^-1 z for any contrasts z = L' theta-hat orthogonal to t.
std::optional<TaperScatter> StripLikelihood::taper_scatter(std::span<const double> theta) const {
  const GroupData& group = groups_.front();
  const int contrasts = static_cast<int>(group.strips.size()) - group.regressors;
  if (contrasts < 1) return std::nullopt;
  GroupAt at(group, lines_.front(), theta);
  if (!at.stage.ok()) return std::nullopt;
  TaperScatter out;
  out.contrasts = contrasts;
  out.f = at.stage.quadratic() / contrasts;
  out.gradient.assign(kThetas, 0.0);
  for (std::size_t j = 0; j < at.lines.size(); ++j) {
    for (const std::size_t k : {kReading, kSaw})
      out.gradient[k] += at.stage.p3(j, j) * at.lines[j].slope[k] / contrasts;
  }
  out.gradient[kSeating] = at.stage.seating().trace / contrasts;
  return out;
}

// c'u / sqrt(c' P3 c): the estimate of (M13) with c beside X, whose own part P3 has left out.
std::vector<double> StripLikelihood::further_ratios(std::span<const double> theta,
                                                    std::span<const std::vector<double>> columns) const {
  const GroupAt at(groups_.front(), lines_.front(), theta);
  std::vector<double> ratios;
  if (!at.stage.ok()) return ratios;
  for (const std::vector<double>& column : columns) {
    double along = 0, square = 0;
    for (std::size_t i = 0; i < column.size(); ++i) {
      along += column[i] * at.stage.u(i);
      for (std::size_t j = 0; j < column.size(); ++j) square += column[i] * at.stage.p3(i, j) * column[j];
    }
    ratios.push_back(along / std::sqrt(square));
  }
  return ratios;
}

std::vector<double> StripLikelihood::variance_gradient(const TaperFit& fit) const {
  const std::size_t n = fit.weights.size();
  const std::vector<double>& k = groups_.front().seating;
  std::vector<double> gradient(kThetas, 0.0);
  for (std::size_t i = 0; i < n; ++i) {
    const double a = fit.weights[i];
    gradient[kReading] += a * a * fit.reading_part[i];
    gradient[kSaw] += a * a * fit.saw_part[i];
    for (std::size_t j = 0; j < n; ++j) gradient[kSeating] += a * k[i * n + j] * fit.weights[j];
  }
  return gradient;
}

}  // namespace quarterturn::check
