// SPDX-License-Identifier: MIT
/// \file rail_text.cpp
/// The bow of the rail in words: of a rail test, and beside a check; and two kinds of tests held against each
/// other.
#include <fmt/format.h>

#include <cmath>

#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr int kBowDecimals = 3;  // of mm: a feeler reads twice the bow

const char* shape_word(double h_mm) {
  return h_mm < 0 ? "hollow" : "crowned";
}

bool is_straight(const check::Bow& bow) {
  return bow.unknown ? bow.h_mm == 0 : std::fabs(bow.h_mm) <= bow.half_width_mm;
}

/// `0.10 ± 0.06 mm over 1200 mm`
std::string size_of(const check::Bow& bow, units::Unit unit) {
  const double h_mm = std::fabs(bow.h_mm);
  return (bow.unknown ? length_text(h_mm, unit, kBowDecimals)
                      : plus_minus_text(h_mm, bow.half_width_mm, unit)) +
         " over " + size_text(bow.over_mm, unit);
}

double wide(const check::BowEffect& effect, const check::Bow& bow) {
  return stats::t_quantile(0.5 * (1 + bow.confidence), bow.dof) * effect.u_rad;
}

std::string amount(const correct::Outcome& outcome, double rad, double half_rad, bool sure,
                   const TextOptions& options) {
  const double mm = over_panel(outcome, std::fabs(rad));
  return sure ? plus_minus_text(mm, over_panel(outcome, half_rad), options.unit)
              : length_text(mm, options.unit);
}

/// What the bow does in the setup: strips against the corner next to a straight edge.
std::string effect_text(const correct::Outcome& outcome, const TextOptions& options) {
  const auto& bow = *outcome.bow;
  if (!bow.effects)
    return "What a bow does in this setup cannot be told: it needs the station, a setup of 90° and a panel "
           "that "
           "reaches both fence contacts.\n";
  if (!bow.effects->b) {
    return fmt::format(
        "On the fence bar a crowned edge rocks by up to {} {} either way; that reads as seating.\n",
        length_text(over_panel(outcome, *bow.effects->rocks_up_to_rad), options.unit),
        over_words(outcome, options));
  }
  const auto& b = *bow.effects->b;
  const bool sure = !bow.rail.unknown;
  const double half = sure ? wide(b, bow.rail) : 0;
  return fmt::format(
      "Over a cut of {} the kept edge comes out {} by {}: by that alone strips read {} ({}) further {} {} "
      "than the "
      "corner of a panel with a straight edge at the fence.\n",
      size_text(bow.place->length_mm, options.unit), shape_word(bow.effects->over_cut.h_mm),
      length_text(std::fabs(bow.effects->over_cut.h_mm), options.unit, kBowDecimals),
      amount(outcome, b.rad, half, sure, options), over_words(outcome, options), side_word(b.rad),
      nominal_words(outcome));
}

std::string from_words(const correct::RailBow& bow) {
  return bow.name.empty() ? "" : fmt::format(" (rail test {}, {})", units::inert(bow.name), bow.date);
}

}  // namespace

std::string rail_test_text(const correct::Outcome& outcome, const TextOptions& options) {
  const auto& bow = *outcome.bow;
  const auto& rail = bow.rail;
  std::string text;
  if (is_straight(rail)) {
    text = rail.unknown ? "The rail's edge shows no gap: straight as far as this test sees.\n"
                        : fmt::format("The rail's edge is straight as far as this test sees: bow {}.\n",
                                      size_of(rail, options.unit));
  } else {
    text = fmt::format("The rail's edge is {} by {}.\n", shape_word(rail.h_mm), size_of(rail, options.unit));
  }
  if (rail.unknown)
    text += "No ± can be given: no reading is repeated and nothing is stated of the feeler.\n";
  if (rail.kinked) text += "The gaps follow no even curve: look for a kink or a joint in the rail.\n";
  text += effect_text(outcome, options);
  if (bow.effects && bow.effects->b && outcome.tolerance) {
    const double allowed = outcome.tolerance->angle.rad(), b = std::fabs(bow.effects->b->rad);
    if (b > allowed / 2) {
      text += "Straighten the rail or take a straight one before any dog is moved: no dog mends a bow.\n";
    } else if (bow_is_no_matter(outcome)) {
      text += "That is no matter here: dogs may be moved by what strips read.\n";
    } else {
      text += "Whether that matters is not clear: read the gap again, three times at each place.\n";
    }
  }
  text += "An S shape cancels and is not seen. Put the rail back the way it was.\n";
  return finished(text, options);
}

bool bow_is_no_matter(const correct::Outcome& outcome) {
  if (!outcome.bow) return false;
  const auto& effects = outcome.bow->effects;
  if (!effects) return is_straight(outcome.bow->rail);
  if (!outcome.tolerance || outcome.bow->rail.unknown) return false;
  return effects->b && std::fabs(effects->b->rad) + wide(*effects->b, outcome.bow->rail) <=
                           outcome.tolerance->angle.rad() / 2;
}

std::string rail_why_text(const correct::Outcome& outcome, const TextOptions& options) {
  constexpr int kGapDecimals = 3;
  const auto& rail = outcome.bow->rail;
  const auto& spots = outcome.check.strips.front().spots;
  std::string text = "Gaps, from the near end:";
  for (const auto& spot : spots)
    text += fmt::format("{} {} at {}", &spot == &spots.front() ? "" : ",",
                        length_text(check::mean_mm(spot.readings), options.unit, kGapDecimals),
                        size_text(spot.position_mm, options.unit));
  text += fmt::format(
      ".\nThe edge turned end for end faces its own mirror image: the gap is twice the bow. The curve "
      "through "
      "them makes {} over {}, {}.\n",
      length_text(std::fabs(rail.h_mm), options.unit, kBowDecimals), size_text(rail.over_mm, options.unit),
      rail.h_mm < 0 ? "wider in the middle, hollow" : "wider at the ends, crowned");
  return finished(text + effect_text(outcome, options), options);
}

std::string rail_tried_text(const correct::Outcome& outcome, const TextOptions& options, bool effect) {
  if (!outcome.bow) return "";
  const auto& bow = *outcome.bow;
  std::string text = "The rail was tried end for end";
  if (!bow.date.empty()) text += " on " + bow.date;
  if (!bow.name.empty()) text += " (rail test " + units::inert(bow.name) + ")";
  text += is_straight(bow.rail) ? std::string(": straight as far as that saw.\n")
                                : fmt::format(": its edge is {} by {}.\n", shape_word(bow.rail.h_mm),
                                              size_of(bow.rail, options.unit));
  if (effect && !outcome.check.gaps() && !is_straight(bow.rail)) text += effect_text(outcome, options);
  if (outcome.rail_bowed) {
    text += kBowedRailNext;
  } else if (!is_straight(bow.rail) && !bow_is_no_matter(outcome)) {
    text += "Whether that matters is not clear: 'check rail' reads the gaps again.\n";
  }
  return finished(text, options);
}

std::string bow_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.bow || outcome.check.gaps()) return "";
  const auto& bow = *outcome.bow;
  if (is_straight(bow.rail) && bow.effects && bow.effects->b && outcome.tolerance && !bow.rail.unknown &&
      wide(*bow.effects->b, bow.rail) <= outcome.tolerance->angle.rad() / 2)
    return fmt::format("The rail is straight{}: strips and the corner of a straight edge agree.\n",
                       from_words(bow));
  std::string text = fmt::format("The rail's edge is {} by {}{}. ", shape_word(bow.rail.h_mm),
                                 size_of(bow.rail, options.unit), from_words(bow)) +
                     effect_text(outcome, options);
  if (!bow.effects || !bow.effects->b || outcome.fit.eta.unknown) return text;
  const double eta = outcome.fit.eta.x - bow.effects->b->rad;
  const double half = std::hypot(outcome.fit.eta.half_width, wide(*bow.effects->b, bow.rail));
  return text + fmt::format("  With a straight edge at the fence the corner is {} {} by {} {}.\n",
                            side_word(eta), nominal_words(outcome),
                            amount(outcome, eta, half, !bow.rail.unknown, options),
                            over_words(outcome, options));
}

std::string held_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.held) return "";
  const auto& held = *outcome.held;
  const auto& other = held.other;
  std::string text =
      fmt::format("Held against the {} test {} ({}), which told {} {} by {}: ", other.test,
                  units::inert(other.name), other.date, side_word(other.found.rad), nominal_words(outcome),
                  length_text(over_panel(outcome, std::fabs(other.found.rad)), options.unit));
  switch (held.cross.verdict) {
    case check::CrossVerdict::agree:
      return text + "they agree.\n";
    case check::CrossVerdict::bow_explains:
      return text + "they differ, and the rail's bow explains it.\n";
    case check::CrossVerdict::differ_unexplained:
      text += "they differ by more than their ±";
      return text +
             (outcome.bow || held.cross.bow
                  ? ", and a bow of the rail does not explain it: did the panel move in a cut, or a piece "
                    "lie badly?\n"
                  : ": is the rail bowed? Try it end for end (rail test).\n");
    case check::CrossVerdict::cannot_tell:
      break;
  }
  return text + "whether they agree cannot be told, the ± is too wide.\n";
}

}  // namespace quarterturn::report
