// SPDX-License-Identifier: MIT
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/plan_report.hpp"

namespace quarterturn::report {
namespace {

using Json = nlohmann::ordered_json;

Json row_json(const plan::Row& row) {
  Json json{{"panels", row.design.panels},
            {"cuts_a_panel", row.design.cuts},
            {"minutes", row.minutes},
            {"side_after_mm", row.side_after_mm}};
  if (row.unknown) {
    json["unknown"] = *row.unknown;
  } else {
    json["half_width_rad"] = row.half_width;
    json["mean_half_width_rad"] = row.mean_half_width;
    json["half_width_8_of_10_rad"] = {row.half_width_low, row.half_width_high};
    json["provisional"] = row.provisional;
  }
  if (row.within) {
    json["within_probability"] = *row.within;
    json["outside_probability"] = *row.outside;
    json["settles"] = row.settles;
  }
  json["unseen"] = row.unseen;
  return json;
}

}  // namespace

std::string plan_json(const plan::Result& r) {
  Json json;
  json["schema"] = "quarterturn/plan/1";
  if (!r.station.empty()) {
    json["station"] = r.station;
    json["setup"] = r.setup;
  }
  json["confidence"] = r.bench.options.confidence;
  json["panel_mm"] = {r.bench.panel.width_mm, r.bench.panel.depth_mm};
  json["places_a_strip"] = r.bench.spots;
  json["readings_a_place"] = r.bench.readings;
  if (r.bench.apart_mm) json["apart_mm"] = *r.bench.apart_mm;
  const auto size = [](double mm, plan::From from) {
    return Json{{"size_mm", mm}, {"source", plan::from_word(from)}};
  };
  json["planned"] = {{"reading", size(r.bench.sizes.reading_mm, r.reading)},
                     {"saw_marks", size(r.bench.sizes.saw_marks_mm, r.saw_marks)},
                     {"seating", size(r.bench.sizes.seating_mm, r.seating)}};
  json["fence_span_mm"] = r.span_mm;
  json["earlier_checks"] = r.bench.earlier.size();
  if (r.aim) {
    json["tolerance_rad"] = r.aim->tolerance_rad;
    json["aim"] = {{"within_at_share", r.aim->share_within},
                   {"outside_at_share", r.aim->share_outside},
                   {"chance", r.aim->chance},
                   {"strict", r.aim->strict}};
  }
  json["most_cuts_on_panel"] = r.plan.most_cuts_on_panel;
  json["designs"] = Json::array();
  for (const auto& row : r.plan.rows) json["designs"].push_back(row_json(row));
  if (r.plan.cheapest) json["cheapest"] = *r.plan.cheapest;
  if (r.plan.cheapest_provisional) json["cheapest_provisional"] = *r.plan.cheapest_provisional;
  json["findings"] = Json::array();
  for (const auto& finding : r.findings) json["findings"].push_back({{"code", finding.code}});
  return json.dump(2) + "\n";
}

}  // namespace quarterturn::report
