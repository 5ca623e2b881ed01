// SPDX-License-Identifier: MIT
#include "report/table_picture.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace quarterturn::report {
namespace {

using station::Hole;
using station::Side;

constexpr double kUsualPanelMm = 600;  ///< drawn where the panel's size is not stated
constexpr int kFenceOverhang = 2;      ///< text columns of the fence's line beyond its dogs
constexpr int kOffcutColumns = 5;      ///< from the rail to the far edge of the strip
constexpr int kFewestPanelLines = 3;
constexpr int kLeftReach = 4;  ///< of the panel, left of the holes shown

}  // namespace

TableDrawing::TableDrawing(const correct::Outcome& outcome, const correct::Move* move,
                           const TextOptions& options, const TableLayout& layout)
    : outcome_(outcome),
      setup_(outcome.station->setup(outcome.setup_name)),
      move_(move),
      options_(options),
      marks_(options.unicode ? kTableUnicode : kTableAscii),
      layout_(layout),
      canvas_(layout.width, layout.height) {
  fence_line_ = layout_.line_of(setup_.fence.first.hole) + toward_panel();
  face_ = setup_.rail_on_face == Side::right ? 1 : -1;
}

bool TableDrawing::draw() {
  holes();
  if (!panel()) return false;
  lines();
  dogs();
  if (!names()) return false;
  arrow();
  return parts();
}

void TableDrawing::holes() {
  const auto& grid = outcome_.station->grid;
  for (int row = layout_.low.row; row <= layout_.high.row; ++row) {
    for (int column = layout_.low.column; column <= layout_.high.column; ++column) {
      const Hole hole{column, row};
      if (grid.has(hole)) canvas_.put(layout_.column_of(hole), layout_.line_of(hole), marks_.hole);
    }
  }
}

/// The line of the panel's edge away from the fence: at most as far as the panel reaches, clear of rail
/// dogs.
int TableDrawing::far_edge() const {
  const double pitch = outcome_.station->grid.pitch.mm();
  const auto& size = outcome_.check.panel_size;
  const double reach_mm = size ? std::min(size->width_mm, size->depth_mm) : kUsualPanelMm;
  int lines =
      std::max(kFewestPanelLines, static_cast<int>(std::lround(reach_mm / pitch * layout_.hole_lines)));
  lines = std::min(lines, toward_panel() > 0 ? layout_.height - 1 - fence_line_ : fence_line_);
  for (const auto& post : {rail().first, rail().second}) {
    const int away = (layout_.line_of(post.hole) - fence_line_) * toward_panel();
    if (away >= 0) lines = std::min(lines, away - 1);
  }
  return fence_line_ + lines * toward_panel();
}

bool TableDrawing::panel() {
  const int edge = far_edge(), high = std::min(edge, fence_line_), low = std::max(edge, fence_line_);
  if (low - high < kFewestPanelLines) return false;
  const bool keep_left = setup_.keep == Side::left;
  const int left_dog = layout_.column_of(setup_.fence.first.hole);
  const int right_dog = layout_.column_of(setup_.fence.second.hole);
  const auto columns = std::minmax({rail_column(high), rail_column(low)});
  const int left =
      keep_left ? std::max(layout_.first_column - kLeftReach, std::min(left_dog - 3, columns.first - 8))
                : std::max(layout_.first_column - kLeftReach, columns.first - kOffcutColumns);
  const int right = keep_left ? columns.second + kOffcutColumns : std::max(right_dog + 3, columns.second + 8);
  // Where no fence dog stands on the kept side the setup is not one of a panel that is drawn here.
  if (keep_left ? left_dog >= columns.first : right_dog <= columns.second) return false;
  if (right >= layout_.width || columns.first - left < 2) return false;
  for (int line = high; line <= low; ++line) {
    for (int column = left; column <= right; ++column) canvas_.put(column, line, " ");
    canvas_.put(left, line, marks_.side);
    canvas_.put(right, line, marks_.side);
  }
  for (const int line : {high, low}) {
    for (int column = left; column <= right; ++column) canvas_.put(column, line, marks_.edge);
  }
  canvas_.put(left, low, marks_.corner_low_left);
  canvas_.put(right, low, marks_.corner_low_right);
  canvas_.put(left, high, marks_.corner_high_left);
  canvas_.put(right, high, marks_.corner_high_right);
  panel_ = {left, right, high, low};
  return true;
}

void TableDrawing::lines() {
  const int from = layout_.column_of(setup_.fence.first.hole) - kFenceOverhang;
  const int to = layout_.column_of(setup_.fence.second.hole) + kFenceOverhang;
  for (int column = from; column <= to; ++column) canvas_.put(column, fence_line_, marks_.fence);
  for (int line = 0; line < layout_.height; ++line) {
    if (canvas_.at(square_column(), line) != marks_.fence) canvas_.put(square_column(), line, marks_.square);
  }
  for (int line = 0; line < layout_.height; ++line) canvas_.put(rail_column(line), line, marks_.rail);
}

void TableDrawing::dogs() {
  for (const auto& post : {rail().first, rail().second}) {
    const int line = layout_.line_of(post.hole);
    canvas_.put(dogs_column(line), line, marks_.dog);
  }
  for (const auto& post : {setup_.fence.first, setup_.fence.second})
    canvas_.put(layout_.column_of(post.hole), layout_.line_of(post.hole), marks_.dog);
}

std::string TableDrawing::rows() const {
  const std::size_t digits = std::to_string(layout_.high.row).size();
  std::string text;
  for (int line = 0; line < layout_.height; ++line) {
    std::string row = canvas_.row(line, options_.color);
    if (line % layout_.hole_lines == 0) {
      const std::string number = std::to_string(layout_.high.row - line / layout_.hole_lines);
      // Names of dogs begin right of the numbers, so these are blanks.
      row = fmt::format("{:>{}}", number, digits) + (row.size() > digits ? row.substr(digits) : "");
    }
    text += row + "\n";
  }
  Canvas letters(layout_.width, 1);
  for (int column = layout_.low.column; column <= layout_.high.column; ++column) {
    const std::string name = Hole{column, 1}.name();
    letters.put_text(layout_.column_of({column, 1}), 0, name.substr(0, name.size() - 1));
  }
  return text + letters.row(0) + "\n";
}

}  // namespace quarterturn::report
