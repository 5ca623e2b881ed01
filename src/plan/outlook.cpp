// SPDX-License-Identifier: MIT
#include "plan/outlook.hpp"

#include <algorithm>
#include <cmath>

#include "check/corners.hpp"
#include "check/summary.hpp"
#include "plan/synthetic.hpp"
#include "stats/conditional_normal.hpp"
#include "stats/distributions.hpp"
#include "stats/latin_hypercube.hpp"
#include "stats/root.hpp"

namespace quarterturn::plan {
namespace {

constexpr int kDraws = 512;
// The quadrature of (M28) costs a hundred times as much, and its ± hardly varies.
constexpr int kDrawsFewDf = 48;
constexpr std::uint64_t kSeed = 20260301;

/// Distance of the outer places of the strip of a cut: the edge then cut, less 20 mm at either end. Cuts
/// before have shortened it by a strip and a kerf every second time (M5).
double apart_of(const Bench& bench, int cut) {
  if (bench.apart_mm) return *bench.apart_mm;
  return check::shorter_side_after(bench.panel, cut - 1) - 2 * check::kFromEndMm;
}

/// Where a function meets a level between two ends.
template <typename F>
double meets(F f, double level, double low, double high) {
  const auto above = [&](double x) { return f(x) - level; };
  return stats::root(above, {low, above(low)}, {high, above(high)},
                     {.width = 1e-6, .close = 1e-6, .steps = 40});
}

/// P(|x| <= bound), x ~ N(mean, sd).
double inside(double bound, double mean, double sd) {
  return stats::normal_probability((bound - mean) / sd) - stats::normal_probability((-bound - mean) / sd);
}

}  // namespace

check::Check shape_of(const Bench& bench, const Design& design) {
  check::Check check;
  check.test = design.cuts == 5 ? check::TestKind::five_cut : check::TestKind::progressive;
  check.panel_size = bench.panel;
  check.caliper = bench.caliper;
  for (int panel = 1; panel <= design.panels; ++panel) {
    for (int cut = 5; cut <= design.cuts; ++cut)
      check.strips.push_back(blank_strip(panel, cut, bench.spots, bench.readings, apart_of(bench, cut)));
  }
  return check;
}

Outlook::Outlook(const Bench& bench, const Design& design) {
  try {
    draw(bench, design);
  } catch (const check::NoInterval&) {
    unknown_ = "no-scatter";
  }
}

void Outlook::draw(const Bench& bench, const Design& design) {
  check::Check check = shape_of(bench, design);
  const check::Corners corners = check::corners_of(check);
  const check::Summary summary = check::summarise(check);
  const auto spans = check::corner_spans(check, corners, bench.options);
  const double m2 = bench.sizes.reading_mm * bench.sizes.reading_mm,
               f2 = bench.sizes.saw_marks_mm * bench.sizes.saw_marks_mm, s = bench.sizes.seating_mm;
  const check::GroupData group = check::group_of(check, corners, summary, spans, m2);
  const auto& first = group.strips.front();
  const double spot_variance = f2 + first.reading_share[0] * m2 + first.fixed[0];
  const check::StripLikelihood truth({group}, {});
  const check::TaperFit best = truth.tapers(std::vector<double>{m2, f2, s * s});
  sd_ = std::sqrt(best.covariance[0]);

  const std::size_t strips = check.strips.size();
  const double nu_e = pure_dof(check.strips.front()) * static_cast<double>(strips),
               nu_l = line_dof(check.strips.front()) * static_cast<double>(strips);
  std::vector<double> covariance = group.seating;  // (M14)
  for (double& value : covariance) value *= s * s;
  for (std::size_t j = 0; j < strips; ++j) covariance[j * strips + j] += best.variance[j];
  const auto root = stats::lower_root(covariance, static_cast<int>(strips));

  // (M88): tapers about the best estimate of their own, so far apart that their weighted squares are chi2_t;
  // sums of squares shared out among the strips.
  std::vector<double> taper(strips);
  const auto fill = [&](const std::vector<double>& z, double chi2_t, double chi2_e, double chi2_l) {
    double estimate = 0, squares = 0;
    for (std::size_t j = 0; j < strips; ++j) {
      taper[j] = 0;
      for (std::size_t k = 0; k <= j; ++k) taper[j] += root[j * strips + k] * z[k];
      estimate += best.weights[j] * taper[j];
      squares += z[j] * z[j];
    }
    squares -= estimate * estimate / best.covariance[0];
    const double stretch = strips > 1 && squares > 0 ? std::sqrt(chi2_t / squares) : 0.0;
    for (std::size_t j = 0; j < strips; ++j) {
      write_strip(check.strips[j], stretch * (taper[j] - corners.t[j] * estimate),
                  m2 * chi2_e / static_cast<double>(strips),
                  spot_variance * chi2_l / static_cast<double>(strips));
    }
  };
  const check::Refit refit(check, bench.evidence, bench.earlier, bench.options);
  // What is usual says which rule will make the interval, and what it will rest on.
  const double nu_t = static_cast<double>(strips) - 1;
  std::vector<double> z(strips);
  for (std::size_t j = 0; j < strips; ++j) z[j] = j % 2 == 0 ? 1 : -1;
  fill(z, nu_t, nu_e, nu_l);
  const check::Fit expected = refit(check);
  provisional_ = expected.provisional;
  rule_ = expected.rule;
  unknown_ = expected.eta.unknown;

  const int n = rule_ == check::Rule::few_df ? kDrawsFewDf : kDraws;
  const std::size_t dimensions = strips + 3;
  const auto u = stats::latin_hypercube(n, static_cast<int>(dimensions), kSeed);
  const auto chi2 = [](double p, double nu) { return nu > 0 ? stats::chi2_quantile(p, nu) : 0.0; };
  for (std::size_t i = 0; i < static_cast<std::size_t>(n); ++i) {
    const double* at = u.data() + i * dimensions;
    for (std::size_t j = 0; j < strips; ++j) z[j] = stats::normal_quantile(at[j]);
    fill(z, chi2(at[strips], nu_t), chi2(at[strips + 1], nu_e), chi2(at[strips + 2], nu_l));
    check::Fit fit = refit(check);
    draws_.push_back({fit.eta.x, fit.eta.half_width, std::move(fit.probability_within_at)});
    half_widths_.push_back(fit.eta.half_width);
  }
  std::ranges::sort(half_widths_);
}

double Outlook::half_width(double p) const {
  if (half_widths_.empty()) return 0;
  const double at = p * static_cast<double>(half_widths_.size() - 1);
  const auto below = static_cast<std::size_t>(at);
  const std::size_t above = std::min(below + 1, half_widths_.size() - 1);
  return half_widths_[below] +
         (at - static_cast<double>(below)) * (half_widths_[above] - half_widths_[below]);
}

double Outlook::mean_half_width() const {
  double sum = 0;
  for (const double h : half_widths_) sum += h / static_cast<double>(half_widths_.size());
  return sum;
}

// (M89): each draw says 'within' up to some |estimate| and 'outside' from another on; the estimate is normal
// about eta + shift, whatever the draw.
double Outlook::probability(check::Answer answer, double eta_rad, double tolerance_rad, bool strict) const {
  if (unknown_) return answer == check::Answer::cannot_tell ? 1 : 0;
  double within = 0, outside = 0;
  for (const Draw& draw : draws_) {
    const double mean = eta_rad + draw.shift;
    if (strict) {
      if (draw.half_width < tolerance_rad) within += inside(tolerance_rad - draw.half_width, mean, sd_);
      outside += 1 - inside(tolerance_rad + draw.half_width, mean, sd_);
      continue;
    }
    const auto f = [&](double x) { return draw.probability_within(x, tolerance_rad); };
    const double at_zero = f(0);
    if (at_zero > check::kConforms) within += inside(meets(f, check::kConforms, 0, tolerance_rad), mean, sd_);
    if (at_zero <= 1 - check::kConforms) {
      outside += 1;
      continue;
    }
    double far = tolerance_rad + draw.half_width;
    while (f(far) > 1 - check::kConforms) far *= 2;
    outside += 1 - inside(meets(f, 1 - check::kConforms, 0, far), mean, sd_);
  }
  const auto n = static_cast<double>(draws_.size());
  if (answer == check::Answer::within) return within / n;
  if (answer == check::Answer::outside) return outside / n;
  return 1 - (within + outside) / n;
}

}  // namespace quarterturn::plan
