// SPDX-License-Identifier: MIT
#include "report/table_layout.hpp"

#include <algorithm>
#include <cmath>
#include <string>

namespace quarterturn::report {
namespace {

constexpr int kWidestStep = 6, kNarrowestStep = 4;  ///< text columns from hole to hole
constexpr int kTallLines = 13;                      ///< two lines a row of holes up to here, beyond it one
constexpr int kMostLines = 26;
constexpr int kLeftRoom = 6;   ///< for the name of a dog in the leftmost column shown
constexpr int kRightRoom = 5;  ///< for the strip that falls off
constexpr int kSpare = 12;     ///< more, where the screen has it, for an amount
constexpr int kLargest = 1000;

/// Of 1, 2, 3, 5, 10, 20 … the largest that keeps the lean within `most` columns; 0 when even 1 does not.
int times_for(double lean_of_one, double most) {
  int best = 0;
  for (int power = 1; power <= kLargest; power *= 10) {
    for (const int step : {1, 2, 3, 5}) {
      const int times = step * power;
      if (times <= kLargest && times * lean_of_one <= most) best = std::max(best, times);
    }
  }
  return best;
}

/// \param reach  how many times as far as the dog out of place lies the end of what is drawn
void lean_by(TableLayout& layout, double lean_of_one, double reach, bool to_left) {
  const int limit = layout.hole_columns / 2;
  layout.times = times_for(lean_of_one * reach, limit + 0.49);
  layout.to_scale = layout.times > 0;
  double lean = layout.to_scale ? layout.times * lean_of_one : limit / reach;
  if (lean * reach < 0.5) {
    lean = 0;
    layout.times = 0;
  }
  layout.lean = to_left ? -lean : lean;
}

}  // namespace

std::optional<TableLayout> table_layout(const station::Station& station, const station::Setup& setup,
                                        double eps_rad, bool turns_about_far, int width) {
  const auto &near = setup.rail.first.hole, &far = setup.rail.second.hole;
  const auto &left = setup.fence.first.hole, &right = setup.fence.second.hole;
  if (near.column != far.column || left.row != right.row) return std::nullopt;
  const auto [first_column, last_column] = std::minmax({near.column, left.column, right.column});
  const auto [first_row, last_row] = std::minmax({near.row, far.row, left.row});
  TableLayout layout;
  layout.low = {std::max(1, first_column - 1), std::max(1, first_row - 1)};
  layout.high = {std::min(station.grid.columns, last_column + 1), std::min(station.grid.rows, last_row + 1)};

  const int rows = layout.high.row - layout.low.row;
  layout.hole_lines = 2 * rows + 1 <= kTallLines ? 2 : 1;
  layout.height = layout.hole_lines * rows + 1;
  const int numbers = static_cast<int>(std::to_string(layout.high.row).size());
  layout.first_column = numbers + kLeftRoom;
  const int columns = layout.high.column - layout.low.column;
  const int room = width - layout.first_column - kRightRoom;
  layout.hole_columns = columns > 0 ? std::min(kWidestStep, room / columns) : kWidestStep;
  if (layout.hole_columns < kNarrowestStep || layout.height > kMostLines) return std::nullopt;
  layout.width = std::min(width, layout.first_column + layout.hole_columns * columns + kRightRoom + kSpare);

  // M2: eps > 0 leans the far end to the left; about the far dog the near end lies off to the right.
  layout.turns_about_far = turns_about_far;
  const double lean_of_one = std::fabs(eps_rad) * (far.row - near.row) * layout.hole_columns;
  const int still = turns_about_far ? far.row : near.row;
  const int rows_drawn = std::max(layout.high.row - still, still - layout.low.row);
  lean_by(layout, lean_of_one, static_cast<double>(rows_drawn) / (far.row - near.row),
          (eps_rad > 0) != turns_about_far);
  return layout;
}

}  // namespace quarterturn::report
