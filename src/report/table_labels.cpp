// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>
#include <cctype>
#include <utility>

#include "report/amounts.hpp"
#include "report/table_picture.hpp"

namespace quarterturn::report {
namespace {

using station::Hole;
using station::Side;

constexpr int kFarthestTag = 16;  ///< text columns from the arrow
constexpr int kMostName = 4;      ///< characters of a hole's name left of the holes shown

}  // namespace

bool TableDrawing::is_free(int column, int line, int columns, bool over_square) const {
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

void TableDrawing::write(int column, int line, const std::string& text, Ink ink) {
  const int size = static_cast<int>(text.size());
  canvas_.put_text(column, line, text, ink);
  for (const int beside : {column - 1, column + size}) {
    if (canvas_.at(beside, line) == marks_.hole) canvas_.put(beside, line, " ");
  }
}

bool TableDrawing::name(Hole hole, int column, int side) {
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

bool TableDrawing::names() {
  const auto rail_dog = [&](const station::Post& post) {
    return name(post.hole, dogs_column(layout_.line_of(post.hole)), -face_);
  };
  const auto fence_dog = [&](const station::Post& post, int side) {
    return name(post.hole, layout_.column_of(post.hole), side);
  };
  return rail_dog(rail().first) && rail_dog(rail().second) && fence_dog(setup_.fence.first, -1) &&
         fence_dog(setup_.fence.second, 1);
}

bool TableDrawing::parts() {
  bool kept = false;
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
      kept = kept || left == keep_left;
      break;
    }
  }
  return kept;
}

int TableDrawing::first_free(int column, int line, int size, int way) const {
  for (const int at : {column, column + way}) {
    if (line <= panel_.high || line >= panel_.low || at <= panel_.left || at + size > panel_.right) continue;
    if (is_free(at, line, size)) return at;
  }
  return -1;
}

void TableDrawing::arrow() {
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

void TableDrawing::shim(int column, int line) {
  if (move_->means != correct::Means::shim) return;
  canvas_.put(column, line, marks_.shim, Ink::mark);
  has_shim_ = true;
}

void TableDrawing::rail_arrow(const station::Post& post, int way) {
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

void TableDrawing::fence_arrow(const station::Post& post, int way) {
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

bool TableDrawing::is_clear(int column, int line) const {
  const auto mark = canvas_.at(column, line);
  return canvas_.holds(column, line) && (mark == " " || mark == marks_.hole);
}

void TableDrawing::from_beside(int column, int line, const char* head) {
  if (!is_clear(column, line)) return;
  canvas_.put(column, line, head, Ink::mark);
  has_arrow_ = true;
}

void TableDrawing::tag(int column, int line) {
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

}  // namespace quarterturn::report
