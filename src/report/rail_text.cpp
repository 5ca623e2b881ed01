// SPDX-License-Identifier: MIT
/// \file rail_text.cpp
/// The bow of the rail in words: of a rail test, and beside a check; and two kinds of tests held against each
/// other.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"
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

std::string amount(const correct::Outcome& outcome, double rad, double half_rad, bool sure,
                   const TextOptions& options) {
  const double mm = over_panel(outcome, std::fabs(rad));
  return sure ? plus_minus_text(mm, over_panel(outcome, half_rad), options.unit)
              : length_text(mm, options.unit);
}

/// Why it is not known what a bow does.
std::string no_effect_text(const correct::Outcome& outcome, const TextOptions& options) {
  constexpr double kSquare = 1e-4;  // of a degree
  const std::string lead = "What a bow does cannot be told";
  if (!outcome.station) return lead + " without the station: it goes by where rail and fence are.\n";
  if (std::fabs(outcome.geometry->nominal_rad - std::numbers::pi / 2) > kSquare)
    return lead + " of a setup that cuts mitres.\n";
  const auto& size = outcome.check.panel_size;
  return lead + fmt::format(": a panel of {} does not reach both fence contacts up to its last cut{}.\n",
                            size ? size_text(size->width_mm, options.unit) + " x " +
                                       size_text(size->depth_mm, options.unit)
                                 : size_text(outcome.panel_mm, options.unit),
                            size ? "" : ". Name the panel's size (panel-size)");
}

/// What the bow does in the setup: strips against the corner next to a straight edge.
std::string effect_text(const correct::Outcome& outcome, const TextOptions& options) {
  const auto& bow = *outcome.bow;
  if (!bow.effects) return no_effect_text(outcome, options);
  if (!bow.effects->b) {
    return fmt::format(
        "On the fence bar a crowned edge rocks by up to {} {} either way; that reads as seating.\n",
        length_text(over_panel(outcome, *bow.effects->rocks_up_to_rad), options.unit),
        over_words(outcome, options));
  }
  const auto& b = *bow.effects->b;
  const bool sure = !bow.rail.unknown;
  const double half = sure ? check::half_width_of(b, bow.rail) : 0;
  const std::string by = amount(outcome, b.rad, half, sure, options);
  const std::string cut = size_text(bow.place->length_mm, options.unit);
  // What may be none, or rounds to nothing, has no side.
  if (is_straight(bow.rail) || by.substr(0, by.find(' ')).find_first_of("123456789") == std::string::npos) {
    return fmt::format(
        "Over a cut of {} that parts strips from the corner of a panel with a straight edge at the fence by "
        "{} ({}).\n",
        cut, by, over_words(outcome, options));
  }
  return fmt::format(
      "Over a cut of {} the kept edge comes out {} by {}: by that alone strips read {} ({}) further {} {} "
      "than the "
      "corner of a panel with a straight edge at the fence.\n",
      cut, shape_word(bow.effects->over_cut.h_mm),
      length_text(std::fabs(bow.effects->over_cut.h_mm), options.unit, kBowDecimals), by,
      over_words(outcome, options), side_word(b.rad), nominal_words(outcome));
}

/// `The rail's edge is crowned by 0.10 ± 0.06 mm over 1200 mm (rail test dock/4, 2026-03-14).`
std::string shape_text(const correct::RailBow& found, units::Unit unit) {
  const auto& rail = found.rail;
  const std::string from =
      found.name.empty() ? "" : fmt::format(" (rail test {}, {})", units::inert(found.name), found.date);
  if (rail.kinked) {
    return fmt::format(
        "The rail's edge is no even curve{}: look for a kink or a joint in it. Taken for one its bow is {}.",
        from, size_of(rail, unit));
  }
  if (!is_straight(rail))
    return fmt::format("The rail's edge is {} by {}{}.", shape_word(rail.h_mm), size_of(rail, unit), from);
  return rail.unknown ? fmt::format("The rail's edge shows no bow{}.", from)
                      : fmt::format("The rail's edge is straight as far as the test sees{}: bow {}.", from,
                                    size_of(rail, unit));
}

/// Whether the rail comes before the dogs.
std::string matters_text(const correct::Outcome& outcome) {
  const auto& bow = *outcome.bow;
  if (bow.rail.kinked) return "See to that, then test the rail again before any dog is moved.\n";
  if (!bow.effects || !bow.effects->b || !outcome.tolerance) return "";
  switch (check::bow_matters(*bow.effects->b, bow.rail, check::kBowMayDo * outcome.tolerance->angle.rad())) {
    case check::Matters::yes:
      return "Straighten the rail or take a straight one before any dog is moved: no dog mends a bow.\n";
    case check::Matters::no:
      return "That is no matter here: dogs may be moved by what strips read.\n";
    case check::Matters::unclear:
      break;
  }
  return "Whether that matters is not clear: read the gap again, three times at each place.\n";
}

}  // namespace

std::string rail_test_text(const correct::Outcome& outcome, const TextOptions& options) {
  std::string text = shape_text(*outcome.bow, options.unit) + "\n";
  if (outcome.bow->rail.unknown)
    text += "No ± can be given: no reading is repeated and nothing is stated of the feeler.\n";
  text += effect_text(outcome, options) + matters_text(outcome) +
          "An S shape cancels and is not seen. Put the rail back the way it was.\n";
  return finished(text, options);
}

bool bow_is_no_matter(const correct::Outcome& outcome) {
  if (!outcome.bow) return false;
  const auto& effects = outcome.bow->effects;
  if (!effects) return is_straight(outcome.bow->rail);
  if (!outcome.tolerance || outcome.bow->rail.unknown || !effects->b) return false;
  return check::bow_matters(*effects->b, outcome.bow->rail,
                            check::kBowMayDo * outcome.tolerance->angle.rad()) == check::Matters::no;
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
  std::string text = shape_text(bow, options.unit) + " " + effect_text(outcome, options);
  if (!bow.effects || !bow.effects->b || outcome.fit.eta.unknown || is_straight(bow.rail)) return text;
  const double eta = outcome.fit.eta.x - bow.effects->b->rad;
  const double half = std::hypot(outcome.fit.eta.half_width, check::half_width_of(*bow.effects->b, bow.rail));
  return text + fmt::format("  With a straight edge at the fence the corner is {} {} by {} {}.\n",
                            side_word(eta), nominal_words(outcome),
                            amount(outcome, eta, half, !bow.rail.unknown, options),
                            over_words(outcome, options));
}

std::string held_text(const correct::Outcome& outcome, const TextOptions& options) {
  if (!outcome.held) return "";
  const auto& held = *outcome.held;
  const auto& other = held.other;
  // What the two themselves imply is no bow that was seen.
  const bool bow_known = std::ranges::any_of(held.cross.comparisons, [](const check::Comparison& one) {
    return one.which != check::Compared::strips_turn_over;
  });
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
             (bow_known
                  ? ", and a bow of the rail does not explain it: did the panel move in a cut, or a piece "
                    "lie badly?\n"
                  : ": is the rail bowed? Try it end for end (rail test).\n");
    case check::CrossVerdict::cannot_tell:
      break;
  }
  return text + "whether they agree cannot be told, the ± is too wide.\n";
}

}  // namespace quarterturn::report
