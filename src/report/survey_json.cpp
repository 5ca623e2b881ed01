// SPDX-License-Identifier: MIT
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/json_numbers.hpp"
#include "report/survey_report.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::report {
namespace {

using check::Estimate;
using survey::Answer;
using survey::Kind;

/// \param unit  of the keys: `_rad`, `_mm`, or none for a plain ratio
Json answer_json(const Answer& answer, const std::string& unit) {
  if (const auto* why = std::get_if<survey::Undetermined>(&answer)) return {{"undetermined", why->because}};
  const auto& e = std::get<Estimate>(answer);
  return {{"estimate" + unit, e.x},
          {"standard_uncertainty" + unit, e.u},
          {"dof", bounded(e.dof)},
          {"confidence", e.confidence},
          {"interval" + unit, {e.low(), e.high()}}};
}

Json xy(station::Vec v) {
  return {{"x", v.x}, {"y", v.y}};
}

Json names(const std::vector<station::Hole>& holes) {
  Json json = Json::array();
  for (const auto& hole : holes) json.push_back(hole.name());
  return json;
}

Json observation_json(const survey::Observation& o) {
  static const char* const kinds[] = {"distance", "compare", "offset", "corner"};
  static const char* const taken[] = {"outside", "inside", "centre"};
  Json json{{"kind", kinds[static_cast<int>(o.kind)]}, {"holes", names(o.holes())}};
  if (!o.dogs().empty()) json["dogs"] = o.dogs();
  if (o.kind == Kind::distance || o.kind == Kind::compare) json["taken"] = taken[static_cast<int>(o.taken)];
  return json;
}

Json holes_json(const survey::Result& r) {
  Json json = Json::array();
  for (const auto& hole : r.holes) {
    json.push_back({{"hole", hole.hole.name()},
                    {"deviation_mm", xy(hole.deviation)},
                    {"covariance_mm2",
                     {{"xx", hole.covariance.xx}, {"xy", hole.covariance.xy}, {"yy", hole.covariance.yy}}},
                    {"ellipse",
                     {{"major_mm", hole.covariance.major_mm()},
                      {"minor_mm", hole.covariance.minor_mm()},
                      {"direction_rad", hole.covariance.direction_rad()}}},
                    {"informed", hole.informed},
                    {"displaced", is_displaced(r, hole)}});
  }
  return json;
}

Json observations_json(const survey::Result& r) {
  Json json = Json::array();
  for (const auto& test : r.snooping.observations) {
    const auto& o = r.adjustment->observations()[test.observation];
    const auto& origin = r.origins[test.observation];
    const std::string unit = o.kind == Kind::corner ? "_rad" : "_mm";
    Json one = observation_json(o);
    one["line"] = origin.line;
    if (!origin.check.empty()) one["check"] = origin.check;
    one["value" + unit] = o.value;
    one["standard_uncertainty" + unit] = o.u;
    one["residual" + unit] = test.residual;
    one["redundancy"] = test.redundancy;
    if (test.w) one["w"] = *test.w;
    one["p"] = test.p;
    json.push_back(std::move(one));
  }
  return json;
}

Json scatter_json(const survey::Result& r) {
  static const char* const sources[] = {"fitted", "given", "stated", "assumed"};
  static const char* const terms[] = {"holes", "row-shift", "row-tilt", "column-shift", "column-tilt"};
  const auto& c = r.adjustment->components();
  Json json{{"holes_mm", c.hole_sd_mm()},
            {"dof", bounded(c.hole_dof())},
            {"source", sources[static_cast<int>(c.source)]},
            {"set_aside", names(r.adjustment->options().set_aside)},
            {"terms", Json::array()}};
  const auto& taken = r.adjustment->model().terms();
  for (std::size_t i = 1; i < taken.size(); ++i)
    json["terms"].push_back(
        {{"term", terms[static_cast<int>(taken[i])]}, {"size_mm", std::sqrt(c.theta[i])}});
  return json;
}

Json setups_json(const survey::Result& r) {
  Json json = Json::array();
  for (const auto& setup : r.setups) {
    json.push_back({{"setup", setup.name},
                    {"squareness_error", answer_json(setup.eps, "_rad")},
                    {"by_holes", answer_json(setup.by_holes, "_rad")}});
  }
  return json;
}

Json pairs_json(const survey::Result& r) {
  Json json{{"within_rad", r.tolerance_rad},
            {"considered", r.pairs.considered},
            {"undetermined", r.pairs.undetermined},
            {"because", r.pairs.because},
            {"dogs", r.pairs_with_dogs ? "setup" : "alike"},
            {"best", Json::array()}};
  for (const auto& pair : r.pairs.best) {
    json["best"].push_back({{"rail", names({pair.near, pair.far})},
                            {"fence", names({pair.left, pair.right})},
                            {"estimate_rad", pair.eps},
                            {"standard_uncertainty_rad", pair.u},
                            {"dof", bounded(pair.dof)},
                            {"within_probability", pair.probability},
                            {"not_measured", names(pair.unseen)}});
  }
  return json;
}

Json next_json(const survey::Result& r) {
  Json json{{"for", r.next_for_setup ? Json(r.setup) : Json("shear")}, {"list", Json::array()}};
  if (r.next_before) json["standard_uncertainty_rad"] = *r.next_before;
  for (const auto& one : r.next) {
    Json item = observation_json(one.candidate.observation);
    item["minutes"] = one.candidate.minutes;
    if (one.u_after) item["standard_uncertainty_after_rad"] = *one.u_after;
    json["list"].push_back(std::move(item));
  }
  return json;
}

Json against_json(const survey::Compared& compared) {
  const auto& c = compared.comparison;
  Json json{{"source", compared.source},
            {"statistic", c.statistic},
            {"dof", c.dof},
            {"p", c.p},
            {"moved", c.moved}};
  if (!compared.date.empty()) json["date"] = compared.date;
  json["holes"] = Json::array();
  for (const auto& hole : c.holes)
    json["holes"].push_back({{"hole", hole.hole.name()}, {"by_mm", xy(hole.by)}, {"p", hole.p}});
  json["unseen"] = names(c.unseen);
  return json;
}

}  // namespace

std::string survey_json(const survey::Result& r) {
  Json json;
  json["schema"] = "quarterturn/survey/1";
  json["station"] = r.station;
  if (!r.setup.empty()) json["setup"] = r.setup;
  if (!r.date.empty()) json["date"] = r.date;
  json["pitch_x"] = answer_json(r.whole[0], "");
  json["pitch_y"] = answer_json(r.whole[1], "");
  json["shear"] = answer_json(r.whole[2], "_rad");
  json["scatter"] = scatter_json(r);
  json["setups"] = setups_json(r);
  json["dogs"] = Json::array();
  for (const auto& dog : r.dogs)
    json["dogs"].push_back({{"first", dog.first},
                            {"second", dog.second},
                            {"oversize_difference", answer_json(dog.oversize, "_mm")}});
  json["holes"] = holes_json(r);
  json["observations"] = observations_json(r);
  if (r.unmeasured > 0) json["unmeasured"] = r.unmeasured;
  if (const auto bad = r.snooping.bad_hole())
    json["bad_hole"] = {{"hole", bad->name()},
                        {"displacement_mm", xy(r.snooping.holes.front().displacement)}};
  if (r.tolerance_given) json["tolerance_rad"] = r.tolerance_rad;
  if (r.pairs_asked) json["pairs"] = pairs_json(r);
  json["next"] = next_json(r);
  if (r.against) json["against"] = against_json(*r.against);
  json["with_a_bar"] = r.barred;
  json["setups_passed_over"] = r.passed_over;
  return json.dump(2) + "\n";
}

}  // namespace quarterturn::report
