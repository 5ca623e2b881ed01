// SPDX-License-Identifier: MIT
/// \file strip_line.hpp
/// One strip's weighted line in the split likelihood.
///
/// In       spot means [mm] with the variance theta_f + share theta_m + fixed each; theta [mm^2]
/// Out      the taper with its variance; the sums over spots that likelihood, gradient and information need
/// Maths    METHOD.md (M9)–(M11), (M20)–(M22): P = W - W (11'/sum w + dd'/sxx) W, W = diag(1 / variance)
/// Gain     in time as the spots and not as their pairs; of a strip whose means have one variance in no time:
///          theta only scales its sums
#pragma once

#include <cmath>
#include <span>
#include <vector>

namespace quarterturn::check {

/// One strip as spot means. The variance of mean i is theta_f + reading_share[i] theta_m + fixed[i].
struct StripData {
  std::vector<double> position, width, reading_share, fixed;
};

/// The logarithm of one value after the other: of the same one again it is known.
class LastLog {
 public:
  double of(double x) {
    if (x != x_) log_ = std::log(x_ = x);
    return log_;
  }

 private:
  double x_ = 1, log_ = 0;
};

/// What theta does not change of a strip.
struct LineMoments {
  bool even = false;  ///< the spot means have one variance; else the rest is not set
  double spots = 0, share = 0, fixed = 0;
  double sxx = 0, residual_ss = 0, taper = 0;  ///< unweighted
  double log_xx = 0;                           ///< ln|X'X|
};
LineMoments line_moments(const StripData& strip);

/// A strip at one theta. Of two places a is m (a reading), f (saw marks); of three (m,m), (m,f), (f,f).
struct LineAt {
  double taper = 0, variance = 0;  ///< (M11)
  double slope[2] = {0, 0};        ///< a' V_a a = d variance / d theta_a, with taper = a' widths
  double log_det = 0;              ///< ln|D| + ln|X'D^-1 X|
  double residual_ss = 0;          ///< weighted
  double trace[2] = {0, 0};        ///< tr(P V_a)
  double residual[2] = {0, 0};     ///< (Py)' V_a (Py)
  double cross[2] = {0, 0};        ///< a' V_a (Py)
  double pp[3] = {0, 0, 0};        ///< tr(P V_a P V_b)
  double apa[3] = {0, 0, 0};       ///< a' V_a P V_b a
};
/// \param logs  shared by the strips of a group
LineAt line_at(const StripData& strip, const LineMoments& moments, std::span<const double> theta,
               LastLog& logs);

}  // namespace quarterturn::check
