// SPDX-License-Identifier: MIT
#include "report/table_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <utility>

#include "report/amounts.hpp"
#include "report/canvas.hpp"
#include "report/table_layout.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

using station::Hole;
using station::PanelSide;
using station::Side;

/// One column each, so that a drawing without Unicode stands as the other does.
struct Marks {
  const char *hole, *dog, *rail, *fence, *square, *shim;
  const char *left, *right, *up, *down, *shaft;
  const char *side, *edge, *corner_low_left, *corner_low_right, *corner_high_left, *corner_high_right;
};
constexpr Marks kUnicode{"·", "●", "║", "═", "┊", "▒", "←", "→", "↑", "↓", "─", "│", "─", "└", "┘", "┌", "┐"};
constexpr Marks kAscii{".", "@", "#", "=", ":", "%", "<", ">", "^", "v", "-", "|", "-", "+", "+", "+", "+"};

constexpr double kUsualPanelMm = 600;  ///< drawn where the panel's size is not stated
constexpr int kFenceOverhang = 2;      ///< text columns of the fence's line beyond its dogs
constexpr int kOffcutColumns = 5;      ///< from the rail to the far edge of the strip
constexpr int kFewestPanelLines = 3;
constexpr int kFarthestTag = 16;
constexpr int kLeftReach = 4;  ///< of the panel, left of the holes shown

class TableDrawing {
 public:
  TableDrawing(const correct::Outcome& outcome, const correct::Move* move, const TextOptions& options,
               const TableLayout& layout)
      : outcome_(outcome),
        setup_(outcome.station->setup(outcome.setup_name)),
        move_(move),
        options_(options),
        marks_(options.unicode ? kUnicode : kAscii),
        layout_(layout),
        canvas_(layout.width, layout.height) {
    const int line = layout_.line_of(setup_.fence.first.hole);
    fence_line_ = line + toward_panel();
    face_ = setup_.rail_on_face == Side::right ? 1 : -1;
  }

  /// False where panel or names find no room.
  bool draw() {
    holes();
    if (!panel()) return false;
    lines();
    dogs();
    if (!names()) return false;
    arrow();
    parts();
    return true;
  }

  [[nodiscard]] std::string rows() const {
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

  [[nodiscard]] bool has_arrow() const { return has_arrow_; }
  [[nodiscard]] bool has_shim() const { return has_shim_; }

 private:
  /// Down the screen is towards the person.
  [[nodiscard]] int toward_panel() const { return setup_.panel_side == PanelSide::before ? 1 : -1; }
  [[nodiscard]] const station::DogPair& rail() const { return setup_.rail; }

  /// Where the rail's dogs' column runs on that line, as the error is drawn.
  [[nodiscard]] int dogs_column(int line) const {
    const int near = layout_.line_of(rail().first.hole), far = layout_.line_of(rail().second.hole);
    const int still = layout_.turns_about_far ? far : near, off = layout_.turns_about_far ? near : far;
    const double share = static_cast<double>(line - still) / (off - still);
    return layout_.column_of(rail().first.hole) + static_cast<int>(std::lround(layout_.lean * share));
  }
  [[nodiscard]] int rail_column(int line) const { return dogs_column(line) + face_; }
  [[nodiscard]] int square_column() const { return layout_.column_of(rail().first.hole) + face_; }

  void holes() {
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
  [[nodiscard]] int far_edge() const {
    const double pitch = outcome_.station->grid.pitch.mm();
    const auto& size = outcome_.check.panel_size;
    const double reach_mm = size ? std::min(size->width_mm, size->depth_mm) : kUsualPanelMm;
    int lines =
        std::max(kFewestPanelLines, static_cast<int>(std::lround(reach_mm / pitch * layout_.hole_lines)));
    lines = std::min(lines, toward_panel() > 0 ? layout_.height - 1 - fence_line_ : fence_line_);
    for (const auto& post : {rail().first, rail().second}) {
      const int away = (layout_.line_of(post.hole) - fence_line_) * toward_panel();
      if (away > 0) lines = std::min(lines, away - 1);
    }
    return fence_line_ + lines * toward_panel();
  }

  bool panel() {
    const int edge = far_edge(), high = std::min(edge, fence_line_), low = std::max(edge, fence_line_);
    if (low - high < kFewestPanelLines) return false;
    const bool keep_left = setup_.keep == Side::left;
    const int left_dog = layout_.column_of(setup_.fence.first.hole);
    const int right_dog = layout_.column_of(setup_.fence.second.hole);
    const auto columns = std::minmax({rail_column(high), rail_column(low)});
    const int left =
        keep_left ? std::max(layout_.first_column - kLeftReach, std::min(left_dog - 3, columns.first - 8))
                  : std::max(layout_.first_column - kLeftReach, columns.first - kOffcutColumns);
    const int right =
        keep_left ? columns.second + kOffcutColumns : std::max(right_dog + 3, columns.second + 8);
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

  /// What is kept and what falls off, in the middle of each where the lines leave room.
  void parts() {
    const int middle = (panel_.high + panel_.low) / 2;
    const bool keep_left = setup_.keep == Side::left;
    for (const bool left : {true, false}) {
      const std::string word = left == keep_left ? "kept" : "off";
      const int size = static_cast<int>(word.size());
      const int edge = left ? panel_.left : panel_.right, from_rail = left ? -1 : 1;
      for (int away = 0; away < panel_.low - panel_.high; ++away) {
        const int line = middle + (away % 2 == 0 ? away / 2 : -(away + 1) / 2);
        const int column = (edge + rail_column(line) - size + (left ? 1 : 2)) / 2;
        const int place = first_free(column, line, size, from_rail);
        if (place < 0) continue;
        canvas_.put_text(place, line, word);
        break;
      }
    }
  }
  /// Of a word that has to stand inside the panel; -1 where it cannot.
  [[nodiscard]] int first_free(int column, int line, int size, int way) const {
    for (const int at : {column, column + way}) {
      if (line <= panel_.high || line >= panel_.low || at <= panel_.left || at + size > panel_.right)
        continue;
      if (is_free(at, line, size)) return at;
    }
    return -1;
  }

  void lines() {
    const int from = layout_.column_of(setup_.fence.first.hole) - kFenceOverhang;
    const int to = layout_.column_of(setup_.fence.second.hole) + kFenceOverhang;
    for (int column = from; column <= to; ++column) canvas_.put(column, fence_line_, marks_.fence);
    for (int line = 0; line < layout_.height; ++line) {
      if (canvas_.at(square_column(), line) != marks_.fence)
        canvas_.put(square_column(), line, marks_.square);
    }
    for (int line = 0; line < layout_.height; ++line) canvas_.put(rail_column(line), line, marks_.rail);
  }

  void dogs() {
    for (const auto& post : {rail().first, rail().second}) {
      const int line = layout_.line_of(post.hole);
      canvas_.put(dogs_column(line), line, marks_.dog);
    }
    for (const auto& post : {setup_.fence.first, setup_.fence.second})
      canvas_.put(layout_.column_of(post.hole), layout_.line_of(post.hole), marks_.dog);
  }

  /// Nothing stands there but holes, nor a word right beside it.
  /// \param over_square  or the line where the rail would be square, which may be broken once
  [[nodiscard]] bool is_free(int column, int line, int columns, bool over_square = false) const {
    if (column < layout_.first_column - kMostName || column + columns > layout_.width) return false;
    if (line < 0 || line >= layout_.height) return false;
    for (int at = column; at < column + columns; ++at) {
      const auto mark = canvas_.at(at, line);
      if (mark != " " && mark != marks_.hole && !(over_square && mark == marks_.square)) return false;
    }
    for (const int at : {column - 1, column + columns}) {
      const auto mark = canvas_.at(at, line);
      if (mark.size() == 1 && std::isalnum(static_cast<unsigned char>(mark.front())) != 0) return false;
    }
    return true;
  }

  /// A hole right beside a word would pass as what the word names.
  void write(int column, int line, const std::string& text, Ink ink = Ink::none) {
    const int size = static_cast<int>(text.size());
    canvas_.put_text(column, line, text, ink);
    for (const int beside : {column - 1, column + size}) {
      if (canvas_.at(beside, line) == marks_.hole) canvas_.put(beside, line, " ");
    }
  }

  /// Beside the dog, on the side asked for where that is free; else on the line above or below.
  bool name(Hole hole, int column, int side) {
    const std::string text = hole.name();
    const int size = static_cast<int>(text.size()), line = layout_.line_of(hole);
    const int left = column - size, right = column + 1;
    std::array<std::pair<int, int>, 6> places{{{side < 0 ? left : right, line},
                                               {side < 0 ? right : left, line},
                                               {column - size / 2, line - toward_panel()},
                                               {column - size / 2, line + toward_panel()},
                                               {left, line - toward_panel()},
                                               {right, line - toward_panel()}}};
    for (const bool over_square : {false, true}) {
      for (const auto& place : places) {
        if (!is_free(place.first, place.second, size, over_square)) continue;
        write(place.first, place.second, text);
        return true;
      }
    }
    return false;
  }

  bool names() {
    const auto rail_dog = [&](const station::Post& post) {
      return name(post.hole, dogs_column(layout_.line_of(post.hole)), -face_);
    };
    const auto fence_dog = [&](const station::Post& post, int side) {
      return name(post.hole, layout_.column_of(post.hole), side);
    };
    return rail_dog(rail().first) && rail_dog(rail().second) && fence_dog(setup_.fence.first, -1) &&
           fence_dog(setup_.fence.second, 1);
  }

  void arrow() {
    if (move_ == nullptr || move_->dog == correct::WhichDog::none) return;
    const bool of_rail =
        move_->dog == correct::WhichDog::rail_far || move_->dog == correct::WhichDog::rail_near;
    if (of_rail && std::fabs(move_->shift_x_mm) > 0) {
      rail_arrow(move_->dog == correct::WhichDog::rail_far ? rail().second : rail().first,
                 move_->shift_x_mm > 0 ? 1 : -1);
    } else if (!of_rail && std::fabs(move_->shift_y_mm) > 0) {
      fence_arrow(move_->dog == correct::WhichDog::fence_right ? setup_.fence.second : setup_.fence.first,
                  move_->shift_y_mm > 0 ? -1 : 1);
    }
  }

  void shim(int column, int line) {
    if (move_->means != correct::Means::shim) return;
    canvas_.put(column, line, marks_.shim, Ink::mark);
    has_shim_ = true;
  }

  /// From dog and rail to where the rail would be square; where that is too near, from behind.
  void rail_arrow(const station::Post& post, int way) {
    const int line = layout_.line_of(post.hole), dog = dogs_column(line), rail = rail_column(line);
    const char* const head = way > 0 ? marks_.right : marks_.left;
    shim(rail, line);
    const int from = (way > 0 ? std::max(dog, rail) : std::min(dog, rail)) + way;
    int to = from - way;  // the last cell that is free
    while ((square_column() - to - way) * way > 0 && is_clear(to + way, line)) to += way;
    if (to == from - way && is_clear(from, line)) to = from;
    if ((to - from) * way >= 0) {
      for (int column = from; column != to; column += way) canvas_.put(column, line, marks_.shaft, Ink::mark);
      canvas_.put(to, line, head, Ink::mark);
      has_arrow_ = true;
    } else {
      from_beside((way > 0 ? std::min(dog, rail) : std::max(dog, rail)) - way, line, head);
    }
    tag(to, line);
  }

  void fence_arrow(const station::Post& post, int way) {
    const int column = layout_.column_of(post.hole), line = layout_.line_of(post.hole);
    const char* const head = way < 0 ? marks_.up : marks_.down;
    if (way == toward_panel()) shim(column, fence_line_);
    const int at = line + (way == toward_panel() ? 2 * way : way);
    if (is_clear(column, at)) {
      canvas_.put(column, at, head, Ink::mark);
      has_arrow_ = true;
      tag(column, at);
      return;
    }
    from_beside(column - 1, line, head);
    if (!has_arrow_) from_beside(column + 1, line, head);
    tag(column, line);
  }

  [[nodiscard]] bool is_clear(int column, int line) const {
    const auto mark = canvas_.at(column, line);
    return canvas_.holds(column, line) && (mark == " " || mark == marks_.hole);
  }
  void from_beside(int column, int line, const char* head) {
    if (!is_clear(column, line)) return;
    canvas_.put(column, line, head, Ink::mark);
    has_arrow_ = true;
  }

  /// The amount at the nearest place on the arrow's line that is free; the key tells it, too.
  void tag(int column, int line) {
    if (!has_arrow_ || move_->bound_only) return;
    const std::string text = length_text(std::hypot(move_->shift_x_mm, move_->shift_y_mm), options_.unit);
    const int size = static_cast<int>(text.size());
    for (int away = 2; away < kFarthestTag; ++away) {
      for (const int at : {column + away, column - away - size + 1}) {
        if (!is_free(at - 1, line, size + 2)) continue;
        write(at, line, text, Ink::mark);
        return;
      }
    }
  }

  static constexpr int kMostName = 4;

  const correct::Outcome& outcome_;
  const station::Setup& setup_;
  const correct::Move* move_;
  const TextOptions& options_;
  const Marks& marks_;
  const TableLayout& layout_;
  Canvas canvas_;
  int fence_line_ = 0, face_ = 1;
  struct {
    int left = 0, right = 0, high = 0, low = 0;
  } panel_;
  bool has_arrow_ = false, has_shim_ = false;
};

std::string title(const TableLayout& layout) {
  if (!layout.to_scale) return "The table from above. The rail leans too far to be drawn to scale.\n";
  if (layout.times == 0) return "The table from above. The error is too small to be drawn.\n";
  if (layout.times == 1) return "The table from above, the error drawn as large as it is.\n";
  return fmt::format("The table from above, the error drawn {} times larger.\n", layout.times);
}

std::string key(const Marks& marks, const TableLayout& layout, const TableDrawing& drawing,
                const std::string& move) {
  std::string text = fmt::format("You stand at the bottom. {} dog, {} hole, {} rail, {} fence", marks.dog,
                                 marks.hole, marks.rail, marks.fence);
  if (layout.lean != 0) text += fmt::format(", {} where the rail would be square", marks.square);
  if (drawing.has_shim()) text += fmt::format(", {} shim", marks.shim);
  text += ".\n";
  if (drawing.has_arrow() && !move.empty()) text += "The arrow: " + move + ".\n";
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
         finished(
             key(options.unicode ? kUnicode : kAscii, *layout, drawing, place_of_move(outcome, at, options)),
             wrapping);
}

std::string table_text(const correct::Outcome& outcome, std::size_t move, const TextOptions& options) {
  const std::string drawn = options.plain ? "" : table_drawing(outcome, move, options);
  return drawn.empty() ? table_words(outcome, move, options) : drawn;
}

}  // namespace quarterturn::report
