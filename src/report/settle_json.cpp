// SPDX-License-Identifier: MIT
#include "report/settle_json.hpp"

#include <algorithm>

#include "report/plan_report.hpp"

namespace quarterturn::report {
namespace {

using Json = nlohmann::ordered_json;

Json step_json(const plan::FurtherStep& step) {
  Json json{{"cuts", step.cuts},
            {"fresh_panels", step.fresh_panels},
            {"minutes", step.minutes},
            {"settled_probability", step.chance},
            {"half_width_rad", step.half_width},
            {"provisional", step.provisional}};
  if (step.side_after_mm) json["side_after_mm"] = *step.side_after_mm;
  return json;
}

}  // namespace

Json settling_json(const plan::Settling& s) {
  const auto& f = s.further;
  Json json{{"chance", f.wanted}, {"panel_used_up", f.used_up}};
  if (const auto reason = plan::no_way(f)) {
    json["none"] = plan::no_way_word(*reason);
    if (*reason == plan::NoWay::not_likely) json["nearest"] = step_json(f.steps[plan::nearest(f)]);
  } else {
    json.update(step_json(f.steps[*f.cheapest]));
  }
  if (f.cheapest_provisional) json["for_a_provisional_verdict"] = step_json(f.steps[*f.cheapest_provisional]);
  return json;
}

std::string settle_json(const plan::Settling& s) {
  const auto& f = s.further;
  Json json;
  json["schema"] = "quarterturn/plan/1";
  if (!s.station.empty()) {
    json["station"] = s.station;
    json["setup"] = s.setup;
  }
  if (!s.check.empty()) json["check"] = s.check;
  json["settle"] = {{"verdict_now", check::answer_word(f.now)},
                    {"provisional_now", f.provisional_now},
                    {"settled", f.settled},
                    {"at_tolerance", f.at_tolerance},
                    {"panel_used_up", f.used_up},
                    {"estimate_rad", f.eta_rad},
                    {"tolerance_rad", f.tolerance_rad},
                    {"chance", f.wanted},
                    {"strict", f.strict}};
  json["steps"] = Json::array();
  for (const auto& step : f.steps) json["steps"].push_back(step_json(step));
  if (f.cheapest) json["cheapest"] = *f.cheapest;
  if (f.cheapest_provisional) json["cheapest_provisional"] = *f.cheapest_provisional;
  return json.dump(2) + "\n";
}

}  // namespace quarterturn::report
