// SPDX-License-Identifier: MIT
#include "support/simulate.hpp"

#include <algorithm>
#include <cmath>

#include "check/corners.hpp"
#include "check/reml_strips.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::test {

double normal(std::mt19937_64& random) {
  const auto uniform = [&] { return static_cast<double>(random() >> 11) * 0x1.0p-52 - 1.0; };
  for (;;) {
    const double u = uniform(), v = uniform(), s = u * u + v * v;
    if (s > 0 && s < 1) return u * std::sqrt(-2 * std::log(s) / s);
  }
}

double mean_square(std::mt19937_64& random, int nu) {
  double sum = 0;
  for (int i = 0; i < nu; ++i) {
    const double z = normal(random);
    sum += z * z;
  }
  return sum / nu;
}

check::Check Design::check(std::mt19937_64& random) const {
  check::Check out;
  out.test = cuts == 5 ? check::TestKind::five_cut : check::TestKind::progressive;
  for (int panel = 1; panel <= panels; ++panel) {
    // Direction of each edge against where a perfect table would put it; corner i = direction i - direction
    // i-1.
    std::vector<double> direction(static_cast<std::size_t>(cuts) + 1, 0.0);
    for (std::size_t i = 2; i < direction.size(); ++i)
      direction[i] = direction[i - 1] + eta + sigma_r * normal(random);
    for (int last = 5; last <= cuts; ++last) {
      check::Strip strip;
      strip.panel = panel;
      strip.from_cut = last - 4;
      strip.to_cut = last;
      const double theta =
          direction[static_cast<std::size_t>(last)] - direction[static_cast<std::size_t>(last) - 4];
      for (const double p : positions) {
        check::Spot spot;
        spot.position_mm = p;
        const double there = 25.0 - p * std::tan(theta) + sigma_f * normal(random);
        for (int k = 0; k < repeats; ++k) {
          double width = there + sigma_m * normal(random);
          if (step > 0) width = std::round(width / step) * step;
          check::Reading reading;
          reading.mm = width;
          reading.step_mm = step > 0 ? step : 1e-6;
          spot.readings.push_back(reading);
        }
        strip.spots.push_back(spot);
      }
      out.strips.push_back(strip);
    }
  }
  return out;
}

double Design::ideal_half_width(double confidence) const {
  std::mt19937_64 none(1);
  Design quiet = *this;
  quiet.sigma_m = quiet.sigma_f = quiet.sigma_r = 0;
  const check::Check shape = quiet.check(none);
  const check::Corners corners = check::corners_of(shape);
  check::GroupData group;
  for (const check::Strip& strip : shape.strips) {
    check::StripData data;
    for (const check::Spot& spot : strip.spots) {
      data.position.push_back(spot.position_mm);
      data.width.push_back(0);
      data.reading_share.push_back(1.0 / repeats);
      data.fixed.push_back(0);
    }
    group.strips.push_back(data);
  }
  group.x = corners.t;
  const std::vector<double> spans(corners.names.size(), span);
  group.seating = check::seating_matrix(corners, spans);
  const check::StripLikelihood likelihood({group}, {});
  const double s = sigma_r * span / std::sqrt(2.0);
  const std::vector<double> theta{sigma_m * sigma_m + step * step / 12, sigma_f * sigma_f, s * s};
  return stats::normal_quantile(0.5 * (1 + confidence)) * std::sqrt(likelihood.tapers(theta).covariance[0]);
}

Coverage coverage_of(const std::vector<Trial>& trials, double ideal_half_width) {
  Coverage out;
  std::vector<double> ratios;
  ratios.reserve(trials.size());
  for (const Trial& trial : trials) {
    ++out.trials;
    if (trial.side == 0) ++out.covered;
    if (trial.side < 0) ++out.below;
    if (trial.side > 0) ++out.above;
    ratios.push_back(trial.half_width / ideal_half_width);
  }
  const auto n = static_cast<double>(ratios.size());
  std::sort(ratios.begin(), ratios.end());
  const auto rank = [&](double r) { return ratios[static_cast<std::size_t>(std::clamp(r, 0.0, n - 1))]; };
  out.half_width_ratio = rank(std::floor(n / 2));
  // The rank of the true median is binomial, with the standard deviation sqrt(n) / 2.
  out.half_width_ratio_error = 0.5 * (rank(n / 2 + std::sqrt(n) / 2) - rank(n / 2 - std::sqrt(n) / 2));
  return out;
}

namespace {

Trial trial_of(const check::Fit& fit, double truth) {
  Trial out;
  out.half_width = fit.eta.half_width;
  if (!(std::fabs(fit.eta.x - truth) <= out.half_width)) out.side = fit.eta.x > truth ? 1 : -1;
  out.refused = fit.log && fit.log->seating == check::LogSeating::differs;
  return out;
}

}  // namespace

Trial trial(const Design& design, const Knowledge& knowledge, std::mt19937_64& random) {
  check::FitOptions options;
  options.span_mm = design.span;
  options.use_assumed = knowledge.use_assumed;
  options.confidence = knowledge.confidence;
  const check::Check check = design.check(random);
  const double s = design.sigma_r * design.span / std::sqrt(2.0);
  std::vector<check::Evidence> evidence;
  if (knowledge.seating_nu > 0) {
    evidence.push_back({check::Component::seating, s * s * mean_square(random, knowledge.seating_nu),
                        static_cast<double>(knowledge.seating_nu), check::Source::log, ""});
  }
  if (knowledge.caliper_s > 0) {
    const double r = knowledge.caliper_reliability;
    evidence.push_back({check::Component::reading, knowledge.caliper_s * knowledge.caliper_s, 0.5 / (r * r),
                        check::Source::caliper, ""});
  }
  return trial_of(check::fit(check, evidence, {}, options), design.eta);
}

Coverage coverage(const Design& design, const Knowledge& knowledge, int trials, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<Trial> all;
  all.reserve(static_cast<std::size_t>(trials));
  for (int i = 0; i < trials; ++i) all.push_back(trial(design, knowledge, random));
  return coverage_of(all, design.ideal_half_width(knowledge.confidence));
}

Trial log_trial(const Design& today, const LogDesign& log, std::mt19937_64& random) {
  const double spread = 0.5 * std::sqrt(log.between);
  check::FitOptions options;
  options.span_mm = today.span;
  options.omega2 = log.omega2;
  options.use_assumed = false;
  options.confidence = log.confidence;
  const auto draw = [&](Design design) {
    if (log.between > 0) design.sigma_r *= std::exp(spread * normal(random));
    return design.check(random);
  };
  std::vector<check::ScatterEvidence> earlier;
  earlier.reserve(static_cast<std::size_t>(log.checks));
  for (int c = 0; c < log.checks; ++c) earlier.push_back({draw(log.check), log.check.span, "", ""});
  return trial_of(check::fit(draw(today), {}, earlier, options), today.eta);
}

LogCoverage log_coverage(const Design& today, const LogDesign& log, int trials, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::vector<Trial> all;
  all.reserve(static_cast<std::size_t>(trials));
  for (int i = 0; i < trials; ++i) all.push_back(log_trial(today, log, random));
  LogCoverage out;
  out.coverage = coverage_of(all, today.ideal_half_width(log.confidence));
  for (const Trial& one : all) out.refused += one.refused ? 1 : 0;
  return out;
}

}  // namespace quarterturn::test
