// SPDX-License-Identifier: MIT
#include "check/stopping.hpp"

#include <cmath>
#include <stdexcept>
#include <string>

#include "check/corners.hpp"
#include "check/reml_strips.hpp"
#include "stats/distributions.hpp"
#include "stats/group_sequential.hpp"

namespace quarterturn::check {

namespace {

constexpr int kMostStrips = 100;        // of one check
constexpr double kLeastLevel = 1e-100;  // below it a quantile of t leaves the range of doubles

void hold(const char* what, double value, bool good, const char* must_be) {
  if (good) return;
  throw std::domain_error(std::string("plan of looks: ") + what + " is " + std::to_string(value) +
                          ", but must be " + must_be);
}

void check_plan(const StoppingPlan& plan) {
  hold("strips", plan.strips, plan.strips >= 1 && plan.strips <= kMostStrips, "from 1 to 100");
  hold("readings", plan.readings, plan.readings >= 1, "1 or more");
  hold("span", plan.span_mm, plan.span_mm > 0 && std::isfinite(plan.span_mm), "above 0 mm");
  for (const double sigma : {plan.sigma_m_mm, plan.sigma_f_mm, plan.sigma_r_rad}) {
    hold("a standard deviation", sigma, sigma >= 0 && std::isfinite(sigma), "0 or more");
  }
  const double width = plan.sigma_m_mm + plan.sigma_f_mm;
  hold("scatter of readings and saw marks together", width, width > 0, "above 0 mm");
  bool apart = false;
  for (const double p : plan.positions_mm) apart = apart || p != plan.positions_mm.front();
  hold("number of positions apart", static_cast<double>(plan.positions_mm.size()), apart, "2 or more");
}

/// The first strips, without widths.
GroupData strips_so_far(const StoppingPlan& plan, int strips) {
  Check shape;
  shape.test = TestKind::progressive;
  GroupData group;
  for (int j = 1; j <= strips; ++j) {
    Strip strip;
    strip.panel = plan.own_panels ? j : 1;
    strip.from_cut = plan.own_panels ? 1 : j;
    strip.to_cut = strip.from_cut + test_row(TestKind::progressive).turns;
    shape.strips.push_back(strip);
    StripData data;
    const std::size_t spots = plan.positions_mm.size();
    data.position = plan.positions_mm;
    data.width.assign(spots, 0.0);
    data.reading_share.assign(spots, 1.0 / plan.readings);
    data.fixed.assign(spots, 0.0);
    group.strips.push_back(std::move(data));
  }
  const Corners corners = corners_of(shape);
  group.x = corners.t;
  group.seating = seating_matrix(corners, std::vector<double>(corners.names.size(), plan.span_mm));
  return group;
}

}  // namespace

// (M93): I_j = t' V_j^-1 t, V_j by (M14).
std::vector<double> planned_information(const StoppingPlan& plan) {
  check_plan(plan);
  const double s2 = plan.sigma_r_rad * plan.sigma_r_rad * plan.span_mm * plan.span_mm / 2;
  const std::vector<double> theta{plan.sigma_m_mm * plan.sigma_m_mm, plan.sigma_f_mm * plan.sigma_f_mm, s2};
  std::vector<double> out;
  for (int j = 1; j <= plan.strips; ++j) {
    out.push_back(1 / StripLikelihood({strips_so_far(plan, j)}, {}).tapers(theta).covariance[0]);
  }
  return out;
}

// (M92), (M93)
std::vector<Look> planned_looks(const StoppingPlan& plan, double confidence) {
  const std::vector<double> information = planned_information(plan);
  const int first = plan.log ? kFirstLookWithLog : kFirstLookAlone;
  hold("strips", plan.strips, plan.strips >= first, "as many as the first look needs: 3, with a log 1");
  std::vector<Look> looks;
  std::vector<double> shares;
  for (int j = first; j <= plan.strips; ++j) {
    const double share = information[static_cast<std::size_t>(j) - 1] / information.back();
    looks.push_back({j, share, 0, confidence});
    shares.push_back(share);
  }
  const stats::GroupSequential levels = stats::group_sequential(shares, confidence);
  for (std::size_t i = 0; i < looks.size(); ++i) looks[i].level = levels.level[i];
  return looks;
}

// (M93)
Estimate repeated_interval(const Fit& fit, const Look& look) {
  Estimate out = fit.eta;
  out.confidence = look.confidence;
  out.half_width =
      look.level < kLeastLevel ? kUnbounded : -stats::t_quantile(look.level / 2, out.dof) * out.u;
  return out;
}

Answer answer_at_look(const Estimate& interval, double tolerance_rad) {
  if (interval.unknown) return Answer::cannot_tell;
  if (interval.low() >= -tolerance_rad && interval.high() <= tolerance_rad) return Answer::within;
  return interval.low() > tolerance_rad || interval.high() < -tolerance_rad ? Answer::outside
                                                                            : Answer::cannot_tell;
}

}  // namespace quarterturn::check
