// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/survey_report.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {

using survey::Kind;
using survey::Observation;

namespace {

constexpr double kShownMm = 0.005;  // less rounds to 0.00

std::string two(const Observation& o, std::size_t first) {
  const auto holes = o.holes();
  return holes[first].name() + " " + holes[first + 1].name();
}

std::string distance_words(const Observation& o) {
  std::string text = "distance " + two(o, 0);
  if (o.taken == survey::Taken::centre) return text + ", centre to centre";
  text += o.taken == survey::Taken::outside ? " over " : " between ";
  return text + units::inert(o.dog_from) + " and " + units::inert(o.dog_to);
}

bool same_posts(const station::DogPair& pair, const std::string& first, const std::string& second) {
  return pair.first.dog == first && pair.second.dog == second;
}

/// A check by the name of its setup, its dogs as they stand or exchanged; else by its holes.
std::string corner_words(const Observation& o, const survey::Result& result) {
  for (const auto& setup : result.setups) {
    const auto& lines = setup.lines;
    if (!(lines.rail.first.hole == o.from && lines.rail.second.hole == o.to &&
          lines.fence.first.hole == o.via[0] && lines.fence.second.hole == o.via[1] &&
          lines.rail_on_face == o.side && lines.panel_side == o.panel_side))
      continue;
    const bool rail = same_posts(lines.rail, o.dog_to, o.dog_from);
    const bool fence = same_posts(lines.fence, o.dog_via[1], o.dog_via[0]);
    const bool rail_as_is = same_posts(lines.rail, o.dog_from, o.dog_to);
    const bool fence_as_is = same_posts(lines.fence, o.dog_via[0], o.dog_via[1]);
    std::string name = "a check of " + units::inert(setup.name);
    if (rail_as_is && fence_as_is) return name;
    if (rail && fence_as_is) return name + " with the rail's two dogs exchanged";
    if (rail_as_is && fence) return name + " with the fence's two dogs exchanged";
    if (rail && fence) return name + " with the dogs of rail and fence exchanged, each pair";
  }
  return fmt::format("a check on rail {}, fence {}", two(o, 0), two(o, 2));
}

}  // namespace

std::string offset_words(station::Vec mm, units::Unit unit) {
  std::string text;
  if (std::fabs(mm.x) >= kShownMm)
    text = length_text(std::fabs(mm.x), unit) + (mm.x > 0 ? " to the right" : " to the left");
  if (std::fabs(mm.y) >= kShownMm)
    text += (text.empty() ? "" : " and ") + length_text(std::fabs(mm.y), unit) +
            (mm.y > 0 ? " away from you" : " towards you");
  return text.empty() ? "less than " + length_text(2 * kShownMm, unit) : text;
}

std::string observation_words(const Observation& o, const survey::Result& result) {
  switch (o.kind) {
    case Kind::distance:
      return distance_words(o);
    case Kind::compare:
      return fmt::format("{} against {} by one stick", two(o, 0), two(o, 2));
    case Kind::offset:
      return fmt::format("offset of {} from a straightedge at {}", o.from.name(), two(o, 1));
    case Kind::corner:
      break;
  }
  return corner_words(o, result);
}

std::string undetermined_words(const survey::Undetermined& why) {
  std::vector<std::string> parts;
  for (const std::string& name : why.because) {
    if (name == "pitch-x") {
      parts.emplace_back("the pitch along the rows");
    } else if (name == "pitch-y") {
      parts.emplace_back("the pitch along the columns");
    } else if (name == "shear") {
      parts.emplace_back("rows against columns");
    } else if (name == survey::kCaliperScale) {
      parts.emplace_back("the caliper's scale");
    } else {
      parts.push_back("the size of dog " + units::inert(name));
    }
  }
  std::string text = parts.size() == 1 ? "these leave open " : "these do not part ";
  for (std::size_t i = 0; i < parts.size(); ++i)
    text += (i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ") + parts[i];
  return text;
}

std::vector<survey::HoleTest> named_holes(const survey::Result& result) {
  const auto& aside = result.adjustment->options().set_aside;
  const auto first = result.snooping.bad_hole();
  std::vector<survey::HoleTest> out;
  std::copy_if(result.snooping.holes.begin(), result.snooping.holes.end(), std::back_inserter(out),
               [&](const survey::HoleTest& test) {
                 return first == test.hole || std::find(aside.begin(), aside.end(), test.hole) != aside.end();
               });
  return out;
}

bool is_displaced(const survey::Result& result, const survey::HoleResult& hole) {
  const auto& c = hole.covariance;
  const double determinant = c.xx * c.yy - c.xy * c.xy;
  if (!(determinant > 0)) return false;
  const auto d = hole.deviation;
  const double squares = (c.yy * d.x * d.x - 2 * c.xy * d.x * d.y + c.xx * d.y * d.y) / determinant;
  return squares > stats::chi2_quantile(result.adjustment->options().confidence, 2);
}

std::vector<survey::HoleResult> displaced_holes(const survey::Result& result) {
  std::vector<survey::HoleResult> out;
  std::copy_if(result.holes.begin(), result.holes.end(), std::back_inserter(out),
               [&](const auto& hole) { return is_displaced(result, hole); });
  std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) {
    return dot(a.deviation, a.deviation) > dot(b.deviation, b.deviation);
  });
  return out;
}

}  // namespace quarterturn::report
