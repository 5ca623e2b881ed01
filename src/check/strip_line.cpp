// SPDX-License-Identifier: MIT
#include "check/strip_line.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace quarterturn::check {

namespace {

constexpr std::size_t kReading = 0, kSaw = 1;
constexpr std::size_t kFew = 16;  // so many spots a strip need no memory of their own

bool all_alike(const std::vector<double>& x) {
  return std::all_of(x.begin(), x.end(), [&](double value) { return value == x.front(); });
}

LineAt even_line(const LineMoments& m, double v, LastLog& logs) {
  const double dof = m.spots - 2, inverse = 1 / v, share[2] = {m.share, 1.0};
  LineAt line;
  line.taper = m.taper;
  line.variance = v / m.sxx;
  line.residual_ss = m.residual_ss * inverse;
  line.log_det = dof * logs.of(v) + m.log_xx;
  for (std::size_t k = 0; k < 2; ++k) {
    line.slope[k] = share[k] / m.sxx;
    line.trace[k] = share[k] * dof * inverse;
    line.residual[k] = share[k] * line.residual_ss * inverse;
  }
  line.pp[0] = line.trace[0] * line.trace[0] / std::max(dof, 1.0);
  line.pp[1] = line.trace[0] * inverse;
  line.pp[2] = line.trace[1] * inverse;
  return line;
}

/// Sums over spots of share w^2 d^r and share a w d^r; [1] with a share of 1.
struct Moments {
  double w2[2][3] = {}, aw[2][2] = {};

  void add(double share, double w, double a, double d) {
    const double one[2] = {share, 1};
    for (std::size_t k = 0; k < 2; ++k) {
      const double square = one[k] * w * w, product = one[k] * a * w;
      w2[k][0] += square;
      w2[k][1] += square * d;
      w2[k][2] += square * d * d;
      aw[k][0] += product;
      aw[k][1] += product * d;
    }
  }

  /// The sums over pairs of spots, but for each spot with itself through W alone.
  void into(LineAt& line, double g, double h) const {
    const std::size_t first[3] = {0, 0, 1}, second[3] = {0, 1, 1};
    for (std::size_t k = 0; k < 3; ++k) {
      const double *b = w2[first[k]], *c = w2[second[k]], *e = aw[first[k]], *f = aw[second[k]];
      line.pp[k] += g * g * b[0] * c[0] + 2 * g * h * b[1] * c[1] + h * h * b[2] * c[2];
      line.apa[k] -= g * e[0] * f[0] + h * e[1] * f[1];
    }
  }
};

LineAt uneven_line(const StripData& strip, std::span<const double> theta, LastLog& logs) {
  const std::size_t n = strip.position.size();
  std::array<double, kFew> few{};
  std::vector<double> many(n > kFew ? n : 0);
  double* const weight = n > kFew ? many.data() : few.data();
  LineAt line;
  double sum_w = 0, sum_wp = 0, sum_wy = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double v = theta[kSaw] + strip.reading_share[i] * theta[kReading] + strip.fixed[i];
    line.log_det += logs.of(v);  // spots read equally often follow one another
    weight[i] = 1.0 / v;
    sum_w += weight[i];
    sum_wp += weight[i] * strip.position[i];
    sum_wy += weight[i] * strip.width[i];
  }
  const double mean_position = sum_wp / sum_w, mean_width = sum_wy / sum_w;
  double sxx = 0, sxy = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double d = strip.position[i] - mean_position;
    sxx += weight[i] * d * d;
    sxy += weight[i] * d * (strip.width[i] - mean_width);
  }
  const double slope = sxy / sxx, g = 1.0 / sum_w, h = 1.0 / sxx;
  line.taper = -slope;
  line.variance = h;
  line.log_det += std::log(sum_w * sxx);
  Moments sums;
  for (std::size_t i = 0; i < n; ++i) {
    const double w = weight[i], d = strip.position[i] - mean_position,
                 share[2] = {strip.reading_share[i], 1.0};
    const double a = -w * d * h, py = w * (strip.width[i] - mean_width - slope * d), through = g + d * d * h;
    const double leverage = w - w * w * through, pp = w * w - 2 * w * w * w * through, apa = a * a * w;
    const double both[3] = {share[0] * share[0], share[0], 1};
    for (std::size_t k = 0; k < 2; ++k) {
      line.slope[k] += share[k] * a * a;
      line.trace[k] += share[k] * leverage;
      line.residual[k] += share[k] * py * py;
      line.cross[k] += share[k] * a * py;
    }
    for (std::size_t k = 0; k < 3; ++k) {
      line.pp[k] += both[k] * pp;
      line.apa[k] += both[k] * apa;
    }
    line.residual_ss += py * py / w;
    sums.add(share[0], w, a, d);
  }
  sums.into(line, g, h);
  return line;
}

/// Two spots lie on their line: P is zero, and what rounding would leave of it is no degree of freedom.
void without_residuals(LineAt& line) {
  line.residual_ss = 0;
  for (std::size_t k = 0; k < 2; ++k) line.trace[k] = line.residual[k] = line.cross[k] = 0;
  for (std::size_t k = 0; k < 3; ++k) line.pp[k] = line.apa[k] = 0;
}

/// Three spots have one residual: P = rr' / (r' D r), r orthogonal to level and line, keeps the digits that
/// differences of sums would lose where one spot was read far more often than another.
void with_one_residual(const StripData& strip, std::span<const double> theta, LineAt& line) {
  const std::vector<double>& x = strip.position;
  const double r[3] = {x[1] - x[2], x[2] - x[0], x[0] - x[1]};
  double v[3], sum_w = 0, sum_wx = 0, along = 0, square = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    v[i] = theta[kSaw] + strip.reading_share[i] * theta[kReading] + strip.fixed[i];
    sum_w += 1 / v[i];
    sum_wx += x[i] / v[i];
    along += r[i] * (strip.width[i] - strip.width[0]);
    square += r[i] * r[i] * v[i];
  }
  double own[2] = {0, 0}, mixed[2] = {0, 0};  // r' V_a r and a' V_a r
  for (std::size_t i = 0; i < 3; ++i) {
    const double share[2] = {strip.reading_share[i], 1.0},
                 a = -(x[i] - sum_wx / sum_w) / v[i] * line.variance;
    for (std::size_t k = 0; k < 2; ++k) {
      own[k] += share[k] * r[i] * r[i];
      mixed[k] += share[k] * a * r[i];
    }
  }
  const double e = along / square;
  line.residual_ss = along * e;
  for (std::size_t k = 0; k < 2; ++k) {
    line.trace[k] = own[k] / square;
    line.residual[k] = own[k] * e * e;
    line.cross[k] = mixed[k] * e;
  }
  const std::size_t first[3] = {0, 0, 1}, second[3] = {0, 1, 1};
  for (std::size_t k = 0; k < 3; ++k) {
    line.pp[k] = line.trace[first[k]] * line.trace[second[k]];
    line.apa[k] = mixed[first[k]] * mixed[second[k]] / square;
  }
}

}  // namespace

LineMoments line_moments(const StripData& strip) {
  LineMoments m;
  m.even = !strip.position.empty() && all_alike(strip.reading_share) && all_alike(strip.fixed);
  if (!m.even) return m;
  const std::size_t n = strip.position.size();
  m.spots = static_cast<double>(n);
  m.share = strip.reading_share.front();
  m.fixed = strip.fixed.front();
  double mean_position = 0, mean_width = 0;
  for (std::size_t i = 0; i < n; ++i) {
    mean_position += strip.position[i] / m.spots;
    mean_width += strip.width[i] / m.spots;
  }
  double sxy = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double d = strip.position[i] - mean_position;
    m.sxx += d * d;
    sxy += d * (strip.width[i] - mean_width);
  }
  m.taper = -sxy / m.sxx;
  m.log_xx = std::log(m.spots * m.sxx);
  for (std::size_t i = 0; n > 2 && i < n; ++i) {
    const double e = strip.width[i] - mean_width + m.taper * (strip.position[i] - mean_position);
    m.residual_ss += e * e;
  }
  return m;
}

LineAt line_at(const StripData& strip, const LineMoments& moments, std::span<const double> theta,
               LastLog& logs) {
  if (moments.even)
    return even_line(moments, theta[kSaw] + moments.share * theta[kReading] + moments.fixed, logs);
  LineAt line = uneven_line(strip, theta, logs);
  if (strip.position.size() == 2) without_residuals(line);
  if (strip.position.size() == 3) with_one_residual(strip, theta, line);
  return line;
}

}  // namespace quarterturn::check
