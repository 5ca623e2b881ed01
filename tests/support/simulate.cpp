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

double Design::ideal_half_width() const {
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
  return 1.959963984540054 * std::sqrt(likelihood.tapers(theta).covariance[0]);
}

namespace {

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

Coverage coverage(const Design& design, const Knowledge& knowledge, int trials, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  Coverage out;
  out.trials = trials;
  std::vector<double> ratios;
  const double ideal = design.ideal_half_width(), s = design.sigma_r * design.span / std::sqrt(2.0);
  check::FitOptions options;
  options.span_mm = design.span;
  options.use_assumed = knowledge.use_assumed;
  for (int i = 0; i < trials; ++i) {
    check::Check check = design.check(random);
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
    const check::Fit fit = check::fit(check, evidence, {}, options);
    if (std::fabs(fit.eta.x - design.eta) <= fit.eta.half_width) ++out.covered;
    ratios.push_back(fit.eta.half_width / ideal);
  }
  out.half_width_ratio = median(std::move(ratios));
  return out;
}

LogCoverage log_coverage(const Design& today, const LogDesign& log, int trials, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  LogCoverage out;
  out.coverage.trials = trials;
  std::vector<double> ratios;
  const double ideal = today.ideal_half_width(), spread = 0.5 * std::sqrt(log.between);
  check::FitOptions options;
  options.span_mm = today.span;
  options.omega2 = log.omega2;
  options.use_assumed = false;
  const auto draw = [&](Design design) {
    if (log.between > 0) design.sigma_r *= std::exp(spread * normal(random));
    return design.check(random);
  };
  for (int i = 0; i < trials; ++i) {
    std::vector<check::ScatterEvidence> earlier;
    for (int c = 0; c < log.checks; ++c) earlier.push_back({draw(log.check), log.check.span, "", ""});
    const check::Fit fit = check::fit(draw(today), {}, earlier, options);
    if (std::fabs(fit.eta.x - today.eta) <= fit.eta.half_width) ++out.coverage.covered;
    if (fit.log->seating == check::LogSeating::differs) ++out.refused;
    ratios.push_back(fit.eta.half_width / ideal);
  }
  out.coverage.half_width_ratio = median(std::move(ratios));
  return out;
}

}  // namespace quarterturn::test
