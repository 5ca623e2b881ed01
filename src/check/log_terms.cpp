// SPDX-License-Identifier: MIT
#include "check/log_terms.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace quarterturn::check {

namespace {

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2, kThetas = 3;

}  // namespace

bool LogTerms::shares_reading() const {
  return !unequal.empty() ||
         std::any_of(classes.begin(), classes.end(), [](const LineClass& c) { return c.share > 0; });
}

double LogTerms::seating_by_moments(double spot) const {
  double squares = 0, checks = 0, ratio = 0;
  for (const TaperTerm& term : tapers) {
    squares += term.squares;
    checks += term.checks;
    ratio += term.checks * term.ratio;
  }
  for (const SkewTerm& term : skew) {  // in the same unit, of the variance of a spot mean
    squares += term.bb / term.taper_saw;
    checks += term.checks;
    ratio += term.checks * term.ratio / term.taper_saw;
  }
  return ratio > 0 ? std::max(squares - checks * spot, 0.05 * squares) / ratio : 0.0;
}

void add_pure_error(double ss, double nu, std::span<const double> theta, stats::RemlPoint& out) {
  if (!(nu > 0)) return;
  const double m = theta[kReading];
  out.minus_log += 0.5 * (nu * std::log(m) + ss / m);
  out.gradient[kReading] += 0.5 * (nu / m - ss / (m * m));
  out.information[0] += 0.5 * nu / (m * m);
}

namespace {

/// Sum of n ln q; the many terms that stand for one check each share a logarithm.
class LogSum {
 public:
  void add(double n, double q) {
    if (n == 1) {
      product_ *= q;
      if (product_ < 1e-150 || product_ > 1e150) take();
    } else {
      sum_ += n * std::log(q);
    }
  }
  double value() {
    take();
    return sum_;
  }

 private:
  void take() {
    sum_ += std::log(product_);
    product_ = 1;
  }
  double sum_ = 0, product_ = 1;
};

/// Derivatives of 1/2 weight [n ln q + squares / q] with dq/dtheta = part. \return  1/2 weight squares / q
double add_term(double weight, double n, double squares, double q, const double (&part)[kThetas],
                stats::RemlPoint& out) {
  const double inverse = 1 / q, fit = 0.5 * weight * squares * inverse;
  const double slope = (0.5 * weight * n - fit) * inverse, curve = 0.5 * weight * n * inverse * inverse;
  double* information = out.information.data();
  for (std::size_t a = 0; a < kThetas; ++a) {
    out.gradient[a] += slope * part[a];
    for (std::size_t b = 0; b < kThetas; ++b) *information++ += curve * part[a] * part[b];
  }
  return fit;
}

/// The taper bracket of (M20) given the residuals: W = var(b | r), b - kappa r of mean zero; kappa and W move
/// with theta. \return  1/2 weight squares / W
double add_skew_term(double weight, const SkewTerm& term, double v_r, double reading_r,
                     std::span<const double> theta, LogSum& logs, stats::RemlPoint& out) {
  const double inverse_r = 1 / v_r;
  const double kappa = (term.cross_reading * theta[kReading] + term.cross_fixed) * inverse_r;
  const double w = term.taper_reading * theta[kReading] + term.taper_saw * theta[kSaw] + term.taper_fixed +
                   term.ratio * theta[kSeating] - kappa * kappa * v_r;
  const double inverse = 1 / w, n = term.checks;
  const double er = term.br - kappa * term.rr, ee = term.bb - kappa * (term.br + er);
  const double d_kappa[kThetas] = {(term.cross_reading - kappa * reading_r) * inverse_r, -kappa * inverse_r,
                                   0};
  const double d_w[kThetas] = {
      term.taper_reading - 2 * kappa * term.cross_reading + kappa * kappa * reading_r,
      term.taper_saw + kappa * kappa, term.ratio};
  logs.add(n, w);
  const double fit = 0.5 * weight * ee * inverse, slope = (0.5 * weight * n - fit) * inverse;
  const double slope_kappa = weight * er * inverse;
  const double curve = 0.5 * weight * n * inverse * inverse, curve_kappa = weight * n * v_r * inverse;
  double* information = out.information.data();
  for (std::size_t a = 0; a < kThetas; ++a) {
    out.gradient[a] += slope * d_w[a] - slope_kappa * d_kappa[a];
    for (std::size_t b = 0; b < kThetas; ++b)
      *information++ += curve * d_w[a] * d_w[b] + curve_kappa * d_kappa[a] * d_kappa[b];
  }
  return fit;
}

}  // namespace

void add_pooled(const LogTerms& log, double discount, std::span<const double> theta, stats::RemlPoint& out) {
  std::vector<double> spot;
  spot.reserve(log.classes.size());
  LogSum lines, tapers;
  double fit = 0;
  for (const LineClass& c : log.classes) {
    const double v = theta[kSaw] + c.share * theta[kReading] + c.fixed;
    if (!(v > 0)) {
      out.minus_log = std::numeric_limits<double>::infinity();
      return;
    }
    spot.push_back(v);
    if (!(c.nu_line > 0)) continue;
    fit += add_term(1, c.nu_line, c.ss_line, v, {c.share, 1, 0}, out);
    lines.add(c.nu_line, v);
  }
  if (discount > 0) {
    for (const TaperTerm& term : log.tapers) {
      const double q = term.ratio * theta[kSeating] + spot[term.line_class];
      const double share = log.classes[term.line_class].share;
      fit += add_term(discount, term.checks, term.squares, q, {share, 1, term.ratio}, out);
      tapers.add(term.checks, q);
    }
    for (const SkewTerm& term : log.skew) {
      fit += add_skew_term(discount, term, spot[term.line_class], log.classes[term.line_class].share, theta,
                           tapers, out);
    }
  }
  out.minus_log += 0.5 * (lines.value() + discount * tapers.value()) + fit;
}

}  // namespace quarterturn::check
