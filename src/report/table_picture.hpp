// SPDX-License-Identifier: MIT
/// \file table_picture.hpp
/// The cells of the table from above: what table_picture.cpp draws of it, and the names, words and arrow that
/// table_labels.cpp finds room for between.
#pragma once

#include <cmath>
#include <string>

#include "correct/outcome.hpp"
#include "report/canvas.hpp"
#include "report/check_report.hpp"
#include "report/table_layout.hpp"

namespace quarterturn::report {

/// One column each, so that a drawing without Unicode stands as the other does.
struct TableMarks {
  const char *hole, *dog, *rail, *fence, *square, *shim;
  const char *left, *right, *up, *down, *shaft;
  const char *side, *edge, *corner_low_left, *corner_low_right, *corner_high_left, *corner_high_right;
};
inline constexpr TableMarks kTableUnicode{"·", "●", "║", "═", "┊", "▒", "←", "→", "↑",
                                          "↓", "─", "│", "─", "└", "┘", "┌", "┐"};
inline constexpr TableMarks kTableAscii{".", "@", "#", "=", ":", "%", "<", ">", "^",
                                        "v", "-", "|", "-", "+", "+", "+", "+"};

class TableDrawing {
 public:
  /// What it is given must outlive it. \param move  the one that is shown; may be null
  TableDrawing(const correct::Outcome& outcome, const correct::Move* move, const TextOptions& options,
               const TableLayout& layout);
  /// False where panel or names find no room.
  bool draw();
  [[nodiscard]] std::string rows() const;
  [[nodiscard]] bool has_arrow() const { return has_arrow_; }
  [[nodiscard]] bool has_shim() const { return has_shim_; }
  [[nodiscard]] const TableMarks& marks() const { return marks_; }

 private:
  /// Down the screen is towards the person.
  [[nodiscard]] int toward_panel() const { return setup_.panel_side == station::PanelSide::before ? 1 : -1; }
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

  // table_picture.cpp
  void holes();
  /// The line of the panel's edge away from the fence: at most as far as the panel reaches, clear of rail
  /// dogs.
  [[nodiscard]] int far_edge() const;
  bool panel();
  void lines();
  void dogs();

  // table_labels.cpp
  /// Nothing stands there but holes, nor a word right beside it.
  /// \param over_square  or the line where the rail would be square, which may be broken once
  [[nodiscard]] bool is_free(int column, int line, int columns, bool over_square = false) const;
  /// A hole right beside a word would pass as what the word names.
  void write(int column, int line, const std::string& text, Ink ink = Ink::none);
  /// Beside the dog, on the side asked for where that is free; else on the line above or below.
  bool name(station::Hole hole, int column, int side);
  bool names();
  /// What is kept and what falls off, in the middle of each where the lines leave room. False: not even what
  /// is kept.
  bool parts();
  /// Of a word that has to stand inside the panel; -1 where it cannot.
  [[nodiscard]] int first_free(int column, int line, int size, int way) const;
  void arrow();
  void shim(int column, int line);
  /// From dog and rail to where the rail would be square; where that is too near, from behind.
  void rail_arrow(const station::Post& post, int way);
  void fence_arrow(const station::Post& post, int way);
  [[nodiscard]] bool is_clear(int column, int line) const;
  void from_beside(int column, int line, const char* head);
  /// The amount at the nearest place on the arrow's line that is free; the key tells it, too.
  void tag(int column, int line);

  const correct::Outcome& outcome_;
  const station::Setup& setup_;
  const correct::Move* move_;
  const TextOptions& options_;
  const TableMarks& marks_;
  const TableLayout& layout_;
  Canvas canvas_;
  int fence_line_ = 0, face_ = 1;
  struct {
    int left = 0, right = 0, high = 0, low = 0;
  } panel_;
  bool has_arrow_ = false, has_shim_ = false;
};

}  // namespace quarterturn::report
