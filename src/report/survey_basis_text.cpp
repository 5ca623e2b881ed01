// SPDX-License-Identifier: MIT
/// \file survey_basis_text.cpp
/// The second half of the text of a survey: pitch, the map, what it rests on.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "report/amounts.hpp"
#include "report/survey_teller.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {

using check::Estimate;
using survey::ScatterSource;
using survey::Term;
using survey::Undetermined;

namespace {

constexpr std::size_t kMostHoles = 6;

std::string counted(int count, const char* one, const char* several) {
  return fmt::format("{} {}", count, count == 1 ? one : several);
}

const char* term_words(Term term) {
  switch (term) {
    case Term::row_shift:
      return "rows lie off as wholes";
    case Term::row_tilt:
      return "rows are turned as wholes, at their ends";
    case Term::column_shift:
      return "columns lie off as wholes";
    case Term::column_tilt:
      return "columns are turned as wholes, at their ends";
    case Term::holes:
      break;
  }
  return "holes scatter";
}

}  // namespace

std::string SurveyTeller::pitch(std::size_t effect) const {
  const auto& grid = r_.adjustment->station().grid;
  const bool along_row = effect == 0;
  const double length_mm = grid.pitch.mm() * ((along_row ? grid.columns : grid.rows) - 1);
  const station::Hole last = along_row ? station::Hole{grid.columns, 1} : station::Hole{1, grid.rows};
  const std::string where = fmt::format("{} from A1 to {}, {}", along_row ? "Along a row" : "Along a column",
                                        last.name(), size_text(length_mm, options_.unit));
  const survey::Answer& answer = r_.whole[effect];
  if (const auto* why = std::get_if<Undetermined>(&answer))
    return "- " + where + ": the pitch cannot be told; " + undetermined_words(*why) + ".\n";
  const auto& e = std::get<Estimate>(answer);
  const std::string amount =
      plus_minus_text(std::fabs(e.x) * length_mm, e.half_width * length_mm, options_.unit);
  if (std::fabs(e.x) <= e.half_width) return fmt::format("- {}: no error shows, {}.\n", where, amount);
  return fmt::format("- {}: {} too {}.\n", where, amount, e.x > 0 ? "long" : "short");
}

std::string SurveyTeller::whole() const {
  const auto* along = std::get_if<Undetermined>(&r_.whole[0]);
  const auto* across = std::get_if<Undetermined>(&r_.whole[1]);
  if (along != nullptr && across != nullptr && along->because == across->because)
    return "The pitch cannot be told: " + undetermined_words(*along) + ".\n";
  return "Pitch, as far as the caliper's own scale is right\n" + pitch(0) + pitch(1);
}

std::string SurveyTeller::map() const {
  auto displaced = displaced_holes(r_);
  const auto named = named_holes(r_);  // told above, with how far they are off
  std::erase_if(displaced, [&](const auto& hole) {
    return std::any_of(named.begin(), named.end(), [&](const auto& one) { return one.hole == hole.hole; });
  });
  const double wide = std::sqrt(stats::chi2_quantile(confidence(), 2));
  const std::string apart =
      r_.adjustment->model().terms().size() > 1 ? "pitch, rows and columns" : "pitch and shear";
  std::string text =
      std::string(named.empty() ? "Single holes" : "Other holes") + ", apart from " + apart + "\n";
  if (displaced.empty()) text += "- None is off by more than its ±.\n";
  for (std::size_t i = 0; i < displaced.size() && i < kMostHoles; ++i) {
    const auto& hole = displaced[i];
    text += fmt::format("- {}: {}, {}\n", hole.hole.name(), offset_words(hole.deviation, options_.unit),
                        half_width_text(wide * hole.covariance.major_mm(), options_.unit));
  }
  if (displaced.size() > kMostHoles)
    text += fmt::format("- {} more by less.\n", displaced.size() - kMostHoles);
  if (options_.plain) return text + survey_map_words(r_);
  return text + "\n" + survey_map(r_, options_) +
         (options_.unicode ? "From above, you stand at the bottom. An arrow: off that way by more than its "
                             "±; o within it; . not "
                             "measured; ! does not fit.\n"
                           : "From above, you stand at the bottom. ^ v < >: off that way by more than its "
                             "+-; o within it; . not "
                             "measured; ! does not fit.\n");
}

std::string SurveyTeller::scatter() const {
  const auto& c = r_.adjustment->components();
  std::string text = "- Holes scatter by " + length_text(c.hole_sd_mm(), options_.unit) + " each way, ";
  switch (c.source) {
    case ScatterSource::fitted:
      text += "fitted from these";
      break;
    case ScatterSource::given:
      text += "as given";
      break;
    case ScatterSource::stated:
      text += "as the station states: too few observations to fit it";
      break;
    case ScatterSource::assumed:
      text += "ASSUMED: too few observations to fit it. --hole-scatter says what yours do";
      break;
  }
  text += " (one standard deviation).";
  const auto& aside = r_.adjustment->options().set_aside;
  for (std::size_t i = 0; i < aside.size(); ++i)
    text += (i == 0 ? " " : i + 1 == aside.size() ? " and " : ", ") + aside[i].name();
  if (!aside.empty())
    text += std::string(aside.size() == 1 ? " was" : " were") +
            " set aside when the scatter of holes was fitted.";
  text += "\n";
  const auto& terms = r_.adjustment->model().terms();
  for (std::size_t i = 1; i < terms.size(); ++i)
    text += fmt::format("- Besides, {}: {} (one standard deviation).\n", term_words(terms[i]),
                        length_text(std::sqrt(c.theta[i]), options_.unit));
  return text;
}

std::string SurveyTeller::dogs() const {
  std::string text;
  for (const auto& dog : r_.dogs) {
    const auto* e = std::get_if<Estimate>(&dog.oversize);
    if (e == nullptr) continue;
    const auto& known = r_.adjustment->station().dogs;
    const double stated = (known.at(dog.second).diameter - known.at(dog.first).diameter).mm();
    const double by = stated + 2 * e->x;
    const std::string amount = plus_minus_text(std::fabs(by), 2 * e->half_width, options_.unit);
    const std::string first = units::inert(dog.first), second = units::inert(dog.second);
    text += std::fabs(by) > 2 * e->half_width
                ? fmt::format("- {} is thicker than {} by {}.\n", by > 0 ? second : first,
                              by > 0 ? first : second, amount)
                : fmt::format("- {} and {} show no difference in size: {}.\n", first, second, amount);
  }
  return text;
}

std::string SurveyTeller::basis() const {
  std::map<survey::Kind, int> kinds;
  int from_log = 0;
  for (const auto& o : r_.adjustment->observations()) ++kinds[o.kind];
  for (const auto& origin : r_.origins) from_log += origin.check.empty() ? 0 : 1;
  std::string list;
  const auto add = [&](survey::Kind kind, const char* one, const char* several) {
    if (kinds[kind] > 0) list += (list.empty() ? "" : ", ") + counted(kinds[kind], one, several);
  };
  add(survey::Kind::distance, "distance", "distances");
  add(survey::Kind::compare, "comparison", "comparisons");
  add(survey::Kind::offset, "offset", "offsets");
  add(survey::Kind::corner, "check", "checks");
  if (from_log > 0) list += fmt::format(" ({} from the log)", from_log);
  std::string text =
      "What it rests on\n- " + list + (r_.date.empty() ? "" : ", " + units::inert(r_.date)) + ".\n";
  if (r_.unmeasured > 0)
    text += fmt::format("- {} not measured: {} value is blank.\n",
                        r_.unmeasured == 1 ? "1 row is" : fmt::format("{} rows are", r_.unmeasured),
                        r_.unmeasured == 1 ? "its" : "their");
  text += scatter() + dogs();
  if (!r_.snooping.exchanges.empty()) text += "- Checks with dogs exchanged part the dogs from the holes.\n";
  for (const auto& name : r_.barred)
    text += "- " + units::inert(name) + " has a bar at the fence: what the bar does counts as holes.\n";
  return text;
}

}  // namespace quarterturn::report
