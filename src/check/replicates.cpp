// SPDX-License-Identifier: MIT
#include "check/replicates.hpp"

#include <algorithm>
#include <cmath>

#include "check/lane_design.hpp"
#include "check/reference_lengths.hpp"
#include "check/summary.hpp"
#include "stats/chi2_draw.hpp"

namespace quarterturn::check {
namespace {

constexpr std::uint64_t kRefitStreams = 1ULL << 40;  // far from those of the trials

/// To the nearest step as the caliper shows it; 2^51 steps at most.
double stepped(double mm, double step) {
  return step > 0 ? ((mm / step + stats::kRounder) - stats::kRounder) * step : mm;
}

/// What is drawn anew with each check; of a log its scatters.
std::vector<Evidence> outside_of(std::span<const Evidence> evidence, const Fit& fit) {
  std::vector<Evidence> all(evidence.begin(), evidence.end());
  if (fit.log) {
    const auto& log = *fit.log;
    const double known[3] = {log.nu_pure, log.nu_line, log.used() ? log.nu_counted : 0.0};
    for (std::size_t k = 0; k < 3; ++k)
      all.push_back({static_cast<Component>(k), 0, known[k], Source::log, {}});
  }
  std::erase_if(all, [&](const Evidence& one) {
    return one.nu <= 0 || fit.scatter[static_cast<std::size_t>(one.component)].estimate_mm <= 0;
  });
  return all;
}

/// s^2 nu / sigma^2 is chi-square: variances as further experiments would find them.
void draw_outside(std::vector<Evidence>& evidence, const Fit& fit, stats::Stream& random) {
  for (Evidence& one : evidence) {
    const double sigma = fit.scatter[static_cast<std::size_t>(one.component)].estimate_mm;
    one.s2 = sigma * sigma * stats::chi2(random, one.nu) / one.nu;
  }
}

/// Numbers of a drawn check: uniform ones first, as many as there are strips, made even; then normal ones.
std::size_t uniforms_of(const Check& check) {
  return check.strips.size() + check.strips.size() % 2;
}

}  // namespace

Replicates::Replicates(const Check& check, std::span<const Evidence> evidence, const Fit& fit,
                       const FitOptions& options, std::uint64_t seed)
    : check_(check), evidence_(outside_of(evidence, fit)), fit_(fit), options_(options), seed_(seed) {
  const Corners corners = corners_of(check);
  for (const double span : corner_spans(check, corners, options))
    seating_rad_.push_back(fit.scatter[2].estimate_mm * std::sqrt(2.0) / span);
  corners_ = corners.T;
  turns_ = corners.t;
  design_ = lane_design(check, corners, evidence_, fit, options);
}

stats::Stream Replicates::stream(std::size_t k) const {
  return {seed_, kRefitStreams + k};
}

Check Replicates::drawn(std::size_t k, std::vector<Evidence>& evidence) const {
  stats::Stream random = stream(k);
  const std::size_t corners = seating_rad_.size();
  std::size_t count = corners;
  for (const auto& strip : check_.strips)
    for (const auto& spot : strip.spots) count += 1 + spot.readings.size();
  std::vector<double> uniform(uniforms_of(check_)), normal(count);
  random.uniforms(uniform);
  random.normals(normal);
  const double reading = fit_.scatter[0].estimate_mm, saw = fit_.scatter[1].estimate_mm;
  Check drawn = check_;
  std::size_t at = corners;
  for (std::size_t j = 0; j < drawn.strips.size(); ++j) {
    double taper = turns_[j] * fit_.eta.x;
    for (std::size_t c = 0; c < corners; ++c)
      taper += normal[c] * (corners_[j * corners + c] * seating_rad_[c]);
    auto& strip = drawn.strips[j];
    double wide = uniform[j] + mean_mm(strip.spots.front().readings);
    if (check_.gaps()) {  // how far a joint stands open tells nothing: so far that no drawn gap is below none
      const double middle = (strip.spots.front().position_mm + strip.spots.back().position_mm) / 2;
      wide = uniform[j] + kMostGapMm / 2 + taper * middle;
    }
    for (auto& spot : strip.spots) {
      const double edge = wide - taper * spot.position_mm + normal[at++] * saw;
      for (auto& one : spot.readings) one.mm = stepped(edge + normal[at++] * reading, fit_.resolution_mm);
    }
  }
  evidence = evidence_;
  draw_outside(evidence, fit_, random);
  return drawn;
}

Replicate Replicates::by_itself(std::size_t k) const {
  std::vector<Evidence> evidence;
  const Check check = drawn(k, evidence);
  try {
    const Estimate eta = fit_interval(check, evidence, options_).eta;
    return {eta.x, eta.half_width, true, false};
  } catch (const NoInterval&) {
    return {};
  }
}

void Replicates::fill_lanes(std::size_t first, std::span<Replicate> out) const {
  const auto uniforms = static_cast<std::size_t>(design_->uniforms()),
             normals = static_cast<std::size_t>(design_->normals()), each = uniforms + normals;
  std::vector<double> numbers(each * kMostLanes);
  const stats::Isa isa = stats::isa_in_use();
  const auto lanes = static_cast<std::size_t>(lanes_of(isa));
  std::vector<Evidence> evidence = evidence_;
  LaneDraws draws;
  LaneFits fits;
  for (std::size_t done = 0; done < out.size(); done += lanes) {
    for (std::size_t l = 0; l < lanes; ++l) {  // the last register may hold more than are wanted
      stats::Stream random = stream(first + done + l);
      double* of_lane = numbers.data() + l * each;
      random.uniforms({of_lane, uniforms});
      random.normals({of_lane + uniforms, normals});
      draw_outside(evidence, fit_, random);
      draws.uniforms[l] = of_lane;
      draws.normals[l] = of_lane + uniforms;
      for (auto& component : draws.outside) component[l] = 0;
      for (const Evidence& one : evidence) {
        const auto component = static_cast<std::size_t>(one.component);
        draws.outside[component][l] += one.s2 * (one.nu / design_->nu_outside[component]);
      }
      if (design_->assumed) draws.outside[2][l] = kAssumedSeatingMm * kAssumedSeatingMm;
    }
    fit_lanes(*design_, draws, fits, isa);
    for (std::size_t l = 0; l < lanes && done + l < out.size(); ++l) {
      out[done + l] =
          fits.told[l] ? Replicate{fits.eta[l], fits.half_width[l], true, true} : by_itself(first + done + l);
    }
  }
}

void Replicates::fill(std::size_t first, std::span<Replicate> out) const {
  if (design_) return fill_lanes(first, out);
  for (std::size_t k = 0; k < out.size(); ++k) out[k] = by_itself(first + k);
}

}  // namespace quarterturn::check
