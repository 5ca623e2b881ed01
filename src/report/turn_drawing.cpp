// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <array>

#include "report/drawing.hpp"

namespace quarterturn::report {
namespace {

constexpr int kPanelColumns = 7;

std::string repeated(const char* mark, int times) {
  std::string text;
  for (int i = 0; i < times; ++i) text += mark;
  return text;
}

/// ASCII words set in the middle of a row of marks.
std::string titled(const std::string& words, const char* mark, int columns) {
  const int free = columns - static_cast<int>(words.size());
  return repeated(mark, free / 2) + words + repeated(mark, free - free / 2);
}

/// One row of the panel: kept part, rail, the strip that falls off; mirrored when the right part is kept.
std::string panel_row(const char* left, const std::string& kept, const std::string& strip, const char* right,
                      bool keep_left) {
  return left + (keep_left ? kept + "║" + strip : strip + "║" + kept) + right;
}

constexpr int kRows = 5;

/// Title, fence, panel with the edge at the fence numbered, X in its middle, F on the strip before the last
/// cut.
std::array<std::string, kRows> one_cut(int cut, bool last, bool keep_left, bool before) {
  const int wide = kPanelColumns + 4;
  const std::string plain = panel_row("", repeated("─", kPanelColumns), "─", "", keep_left);
  const std::string numbered =
      panel_row("", titled(cut == 1 ? "" : std::to_string(cut - 1), "─", kPanelColumns), last ? "F" : "─", "",
                keep_left);
  const std::string title = titled(fmt::format("cut {}", cut), " ", wide);
  const std::string fence = repeated("═", wide);
  const std::string middle = panel_row("│", titled("X", " ", kPanelColumns), " ", "│", keep_left);
  const std::string far_edge = "┌" + (before ? numbered : plain) + "┐";
  const std::string near_edge = "└" + (before ? plain : numbered) + "┘";
  if (before) return {title, fence, far_edge, middle, near_edge};
  return {title, far_edge, middle, near_edge, fence};
}

}  // namespace

std::string turn_drawing(int first_cut, int last_cut, bool keep_left, bool before) {
  std::array<std::string, kRows> rows;
  for (int cut = first_cut; cut <= last_cut; ++cut) {
    const auto drawn = one_cut(cut, cut == last_cut, keep_left, before);
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i] += "   " + drawn[i];
  }
  std::string text;
  for (auto& row : rows) text += row.substr(0, row.find_last_not_of(' ') + 1) + "\n";
  return text + "   ═ fence, ║ rail; you stand below; numbers: the edge that cut made\n";
}

}  // namespace quarterturn::report
