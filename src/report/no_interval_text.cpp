// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <cmath>

#include "report/amounts.hpp"
#include "report/check_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

std::string typed(const check::Spot& spot) {
  std::string text;
  for (const auto& reading : spot.readings)
    text += (text.empty() ? "" : " ") + units::inert(reading.as_typed);
  return text;
}

/// The panel edge the arithmetic is carried to.
double panel_of(const check::Check& check) {
  if (check.tolerance && check.tolerance->over) return check.tolerance->over->mm();
  return check.unit == units::Unit::inch ? 24 * units::kMmPerInch : 600;
}

std::string retype_line(const check::Check& check, units::Unit unit, const std::string& typed_line) {
  if (!check.source.empty())
    return fmt::format("add the line   # caliper: digital   above the readings of {}",
                       units::inert(check.source));
  if (!typed_line.empty()) return units::inert(typed_line, typed_line.size()) + " --caliper digital";
  const auto& strip = check.strips.front();
  const double apart = strip.spots.back().position_mm - strip.spots.front().position_mm;
  return fmt::format("quarterturn check --fence-end \"{}\" --free-end \"{}\" --apart {} --caliper digital",
                     typed(strip.spots.front()), typed(strip.spots.back()),
                     fixed(unit == units::Unit::inch ? apart / units::kMmPerInch : apart,
                           unit == units::Unit::inch ? 2 : 0));
}

}  // namespace

std::string no_interval_text(const check::NoInterval& arithmetic, const check::Check& check,
                             const TextOptions& options, const std::string& typed_line) {
  std::string text =
      "error: no ± can be given: no reading is repeated, no third place was measured and nothing is stated "
      "of the caliper.\nThe arithmetic alone:\n";
  for (const auto& strip : check.strips) {
    const auto& first = strip.spots.front();
    const auto& last = strip.spots.back();
    text += fmt::format(
        "  {}: {} - {} = {} on {}\n", check::strip_name(check, strip),
        length_text(check::mean_mm(first.readings), options.unit, 3),
        length_text(check::mean_mm(last.readings), options.unit, 3),
        length_text(check::mean_mm(first.readings) - check::mean_mm(last.readings), options.unit, 3),
        size_text(last.position_mm - first.position_mm, options.unit));
  }
  const double panel = panel_of(check);
  text += fmt::format("  divided by {} turns, over {}: {} {} the angle, and nobody can say how sure.\n",
                      fixed(std::fabs(arithmetic.tapers.front().turns), 0), size_text(panel, options.unit),
                      length_text(std::fabs(arithmetic.eta_rad) * panel, options.unit),
                      side_word(arithmetic.eta_rad));
  text += "Measure each end three times, or state the caliper:\n  " +
          retype_line(check, options.unit, typed_line) + "\n";
  return options.unicode ? text : ascii(text);
}

}  // namespace quarterturn::report
