// SPDX-License-Identifier: MIT
#include "report/rail_json.hpp"

#include <string>

namespace quarterturn::report {
namespace {

/// A value with its ±, or with the reason why there is none.
Json bow_json(const check::Bow& bow) {
  Json json = {{"estimate_mm", bow.h_mm}, {"over_mm", bow.over_mm}};
  if (bow.unknown) {
    json["unknown"] = *bow.unknown;
    return json;
  }
  json["standard_uncertainty_mm"] = bow.u_mm;
  json["dof"] = bounded(bow.dof);
  json["confidence"] = bow.confidence;
  json["interval_mm"] = {bow.h_mm - bow.half_width_mm, bow.h_mm + bow.half_width_mm};
  return json;
}

Json effect_json(const check::BowEffect& effect, const check::Bow& bow) {
  Json json = {{"estimate_rad", effect.rad}};
  if (!bow.unknown) json["standard_uncertainty_rad"] = effect.u_rad;
  return json;
}

const char* cross_word(check::CrossVerdict verdict) {
  switch (verdict) {
    case check::CrossVerdict::agree:
      return "agree";
    case check::CrossVerdict::bow_explains:
      return "bow-explains";
    case check::CrossVerdict::differ_unexplained:
      return "differ";
    case check::CrossVerdict::cannot_tell:
      break;
  }
  return "cannot-tell";
}

const char* compared_word(check::Compared which) {
  switch (which) {
    case check::Compared::strips_turn_over:
      return "strips-turn-over";
    case check::Compared::strips_turn_over_by_rail:
      return "strips-turn-over-by-rail";
    case check::Compared::strips_turn_over_by_pair:
      return "strips-turn-over-by-pair";
    case check::Compared::rail_pair:
      break;
  }
  return "rail-pair";
}

/// eta of strips less what the bow adds to it.
Json straight_edge_json(const correct::Outcome& outcome) {
  const auto& eta = outcome.fit.eta;
  const auto& bow = *outcome.bow;
  const double x = eta.x - bow.effects->b->rad;
  Json json = {{"estimate_rad", x}};
  if (eta.unknown || bow.rail.unknown) return json;
  const double wide = std::hypot(eta.half_width, check::half_width_of(*bow.effects->b, bow.rail));
  json["standard_uncertainty_rad"] = std::hypot(eta.u, bow.effects->b->u_rad);
  json["confidence"] = eta.confidence;
  json["interval_rad"] = {x - wide, x + wide};
  return json;
}

}  // namespace

Json rail_bow_json(const correct::Outcome& outcome) {
  const auto& bow = *outcome.bow;
  Json json = {{"rail_edge", bow_json(bow.rail)}};
  if (!bow.name.empty()) json["check"] = bow.name;
  if (!bow.date.empty()) json["date"] = bow.date;
  json["kinked"] = bow.rail.kinked;
  if (!bow.effects) return json;
  json["kept_edge"] = bow_json(bow.effects->over_cut);
  json["in_corner"] = effect_json(bow.effects->corner, bow.rail);
  if (bow.effects->strips) json["in_strips"] = effect_json(*bow.effects->strips, bow.rail);
  if (bow.effects->b) {
    json["strips_minus_corner"] = effect_json(*bow.effects->b, bow.rail);
    if (!outcome.check.gaps()) json["corner_at_straight_edge"] = straight_edge_json(outcome);
  }
  if (bow.effects->rocks_up_to_rad) json["rocks_up_to_rad"] = *bow.effects->rocks_up_to_rad;
  return json;
}

Json held_json(const correct::HeldAgainst& held) {
  Json list = Json::array();
  for (const auto& one : held.cross.comparisons) {
    const std::string unit = one.which == check::Compared::rail_pair ? "mm" : "rad";
    list.push_back({{"compared", compared_word(one.which)},
                    {"found_" + unit, one.found},
                    {"expected_" + unit, one.expected},
                    {"standard_uncertainty_" + unit, one.u},
                    {"dof", bounded(one.dof)},
                    {"p", one.p},
                    {"agrees", one.agrees}});
  }
  Json json = {{"test", held.other.test},
               {"check", held.other.name},
               {"date", held.other.date},
               {"estimate_rad", held.other.found.rad},
               {"standard_uncertainty_rad", held.other.found.u_rad},
               {"verdict", cross_word(held.cross.verdict)},
               {"comparisons", list}};
  if (held.cross.implied) json["bow_implied"] = bow_json(*held.cross.implied);
  return json;
}

}  // namespace quarterturn::report
