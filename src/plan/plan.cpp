// SPDX-License-Identifier: MIT
#include "plan/plan.hpp"

#include <algorithm>
#include <array>
#include <tuple>

namespace quarterturn::plan {
namespace {

/// What the program itself will say it cannot see, of a test of that design; by the same code.
std::vector<std::string> unseen_by(const Bench& bench, const Design& design) {
  static constexpr std::array<const char*, 3> kUnseen{"seating-unseen", "saw-marks-unseen", "slips-not-seen"};
  std::vector<std::string> codes;
  try {
    const check::Fit fit = check::fit(shape_of(bench, design), bench.evidence, bench.earlier, bench.options);
    for (const auto& finding : fit.findings) {
      if (std::ranges::find(kUnseen, finding.code) != kUnseen.end()) codes.push_back(finding.code);
    }
  } catch (const check::NoInterval&) {
    codes.emplace_back("seating-unseen");
  }
  if (design.strips() == 1) codes.emplace_back(kEndsUnseen);
  return codes;
}

// (M90)
Row row_of(const Bench& bench, const Design& design, const std::optional<Aim>& aim) {
  const Outlook outlook(bench, design);
  Row row;
  row.design = design;
  row.minutes = design.minutes();
  row.side_after_mm = check::shorter_side_after(bench.panel, design.cuts);
  row.half_width = outlook.half_width();
  row.mean_half_width = outlook.mean_half_width();
  row.half_width_low = outlook.half_width(0.1);
  row.half_width_high = outlook.half_width(0.9);
  row.provisional = outlook.provisional();
  row.unknown = outlook.unknown();
  row.unseen = unseen_by(bench, design);
  if (!aim) return row;
  const double t = aim->tolerance_rad;
  row.within = outlook.probability(check::Answer::within, aim->share_within * t, t, aim->strict);
  row.outside = outlook.probability(check::Answer::outside, aim->share_outside * t, t, aim->strict);
  row.settles = *row.within >= aim->chance && *row.outside >= aim->chance;
  return row;
}

}  // namespace

int most_cuts_on(const check::PanelSize& panel, double least_mm) {
  int cuts = 0;
  while (cuts < 200 && check::shorter_side_after(panel, cuts + 1) >= least_mm) ++cuts;
  return cuts;
}

std::vector<Design> designs(int most_cuts, int most_on_panel) {
  // Further cuts on a panel come in twos; eight are the first that need no assumption of seating (M19).
  static constexpr std::array<Design, 15> kAll{{{1, 5},
                                                {1, 7},
                                                {1, 8},
                                                {1, 10},
                                                {1, 12},
                                                {1, 14},
                                                {1, 16},
                                                {2, 5},
                                                {2, 7},
                                                {2, 8},
                                                {3, 5},
                                                {3, 7},
                                                {4, 5},
                                                {5, 5},
                                                {6, 5}}};
  std::vector<Design> out;
  for (const Design& design : kAll) {
    if (design.all_cuts() <= most_cuts && design.cuts <= most_on_panel) out.push_back(design);
  }
  std::ranges::stable_sort(out, {}, [](const Design& d) { return std::tuple(d.minutes(), d.all_cuts()); });
  return out;
}

Plan plan_of(const Bench& bench, const std::optional<Aim>& aim, int most_cuts, double least_mm,
             bool to_cheapest) {
  Plan plan;
  plan.most_cuts_on_panel = most_cuts_on(bench.panel, least_mm);
  for (const Design& design : designs(most_cuts, plan.most_cuts_on_panel)) {
    plan.rows.push_back(row_of(bench, design, aim));
    const Row& row = plan.rows.back();
    if (!row.settles || plan.cheapest) continue;
    if (!row.provisional) {
      plan.cheapest = plan.rows.size() - 1;
      if (to_cheapest) break;
    } else if (!plan.cheapest_provisional) {
      plan.cheapest_provisional = plan.rows.size() - 1;
    }
  }
  return plan;
}

}  // namespace quarterturn::plan
