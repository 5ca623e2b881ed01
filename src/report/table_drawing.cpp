// SPDX-License-Identifier: MIT
#include "report/table_drawing.hpp"

#include <fmt/format.h>

#include "report/table_layout.hpp"
#include "report/table_picture.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

std::string title(const TableLayout& layout) {
  if (!layout.to_scale) return "The table from above. The rail leans too far to be drawn to scale.\n";
  if (layout.times == 0) return "The table from above. The error is too small to be drawn.\n";
  if (layout.times == 1) return "The table from above, the error drawn as large as it is.\n";
  return fmt::format("The table from above, the error drawn {} times larger.\n", layout.times);
}

std::string key(const TableLayout& layout, const TableDrawing& drawing, const std::string& move) {
  const TableMarks& marks = drawing.marks();
  std::string text = fmt::format("You stand at the bottom. {} dog, {} hole, {} rail, {} fence", marks.dog,
                                 marks.hole, marks.rail, marks.fence);
  if (layout.lean != 0) text += fmt::format(", {} where the rail would be square", marks.square);
  if (drawing.has_shim()) text += fmt::format(", {} shim", marks.shim);
  text += ".\n";
  if (!move.empty()) text += (drawing.has_arrow() ? "The arrow: " : "The move: ") + move + ".\n";
  return text;
}

}  // namespace

std::string table_drawing(const correct::Outcome& outcome, std::size_t at, const TextOptions& options) {
  if (!outcome.station || !outcome.eps || !outcome.check.second_setup.empty()) return "";
  if (outcome.check.test == check::TestKind::rail) return "";
  const auto& setup = outcome.station->setup(outcome.setup_name);
  const correct::Move* move =
      outcome.advice && at < outcome.advice->moves.size() ? &outcome.advice->moves[at] : nullptr;
  const bool about_far = move != nullptr && move->dog == correct::WhichDog::rail_near;
  const auto layout = table_layout(*outcome.station, setup, outcome.eps->x, about_far, options.width);
  if (!layout) return "";
  TableDrawing drawing(outcome, move, options, *layout);
  if (!drawing.draw()) return "";
  TextOptions wrapping = options;
  wrapping.plain = false;
  return finished(title(*layout), wrapping) + drawing.rows() +
         finished(key(*layout, drawing, place_of_move(outcome, at, options)), wrapping);
}

std::string table_text(const correct::Outcome& outcome, std::size_t move, const TextOptions& options) {
  const std::string drawn = options.plain ? "" : table_drawing(outcome, move, options);
  return drawn.empty() ? table_words(outcome, move, options) : drawn;
}

}  // namespace quarterturn::report
