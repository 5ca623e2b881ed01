// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <cmath>

#include "report/amounts.hpp"
#include "report/survey_report.hpp"
#include "report/table_drawing.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr double kShownMm = 0.005;  ///< less rounds to 0.00

const char* side_of(station::Side side) {
  return side == station::Side::left ? "left" : "right";
}

std::string lie_of_setup(const station::Setup& setup) {
  const bool before = setup.panel_side == station::PanelSide::before;
  return fmt::format(
      "The table from above, in words: you stand in front. The rail lies against the {} faces of its dogs, "
      "{} near you and {} far from you. The fence dogs are {} on the left and {} on the right; the panel "
      "lies {} "
      "and the part {} of the rail is kept.\n",
      side_of(setup.rail_on_face), setup.rail.first.hole.name(), setup.rail.second.hole.name(),
      setup.fence.first.hole.name(), setup.fence.second.hole.name(),
      before ? "on your side of them," : "beyond them,", side_of(setup.keep));
}

std::string error_words(const correct::Outcome& outcome, const TextOptions& options) {
  const auto& rail = outcome.geometry->rail;
  if (!rail) return "";
  const double lean_mm = outcome.eps->x * rail->baseline_mm;
  if (std::fabs(lean_mm) < kShownMm) return "The rail stands square to the fence, as far as was measured.\n";
  return fmt::format(
      "The corner is {} {}: seen from the fence the far end of the rail leans to the {}, by {} over the {} "
      "between its dogs.\n",
      side_word(outcome.fit.eta.x), nominal_words(outcome), lean_mm > 0 ? "left" : "right",
      length_text(std::fabs(lean_mm), options.unit), size_text(rail->baseline_mm, options.unit));
}

bool of_rail(correct::WhichDog dog) {
  return dog == correct::WhichDog::rail_far || dog == correct::WhichDog::rail_near;
}

}  // namespace

std::string place_of_move(const correct::Outcome& outcome, std::size_t at, const TextOptions& options) {
  if (!outcome.advice || at >= outcome.advice->moves.size()) return "";
  const auto& move = outcome.advice->moves[at];
  const double x = move.shift_x_mm, y = move.shift_y_mm;
  if (move.dog == correct::WhichDog::none || !move.hole || std::hypot(x, y) == 0) return "";
  const std::string amount =
      move.bound_only ? "how far is not known beforehand:" : offset_words({x, y}, options.unit) + ",";
  const std::string hole = move.hole->name();
  const char* line = of_rail(move.dog) ? "rail" : "fence";
  if (move.means == correct::Means::shim) {
    const char* against = of_rail(move.dog) ? "rail" : outcome.geometry->bar_length_mm ? "bar" : "panel";
    return fmt::format("{} a shim between the dog in {} and the {}", amount, hole, against);
  }
  return fmt::format("{} at {}, the {} {} dog", amount, hole,
                     move.dog == correct::WhichDog::rail_far      ? "far"
                     : move.dog == correct::WhichDog::rail_near   ? "near"
                     : move.dog == correct::WhichDog::fence_right ? "right"
                                                                  : "left",
                     line);
}

std::string table_words(const correct::Outcome& outcome, std::size_t move, const TextOptions& options) {
  if (!outcome.station || !outcome.eps || !outcome.check.second_setup.empty()) return "";
  if (outcome.check.test == check::TestKind::rail) return "";
  std::string text = lie_of_setup(outcome.station->setup(outcome.setup_name)) + error_words(outcome, options);
  const std::string where = place_of_move(outcome, move, options);
  if (!where.empty()) text += "The move: " + where + ".\n";
  return finished(text, options);
}

}  // namespace quarterturn::report
