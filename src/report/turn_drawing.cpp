// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "report/amounts.hpp"
#include "report/drawing.hpp"

namespace quarterturn::report {
namespace {

constexpr int kPanelColumns = 7;
constexpr int kCutColumns = kPanelColumns + 4 + 3;  ///< frame, rail, strip; blanks before it
constexpr int kFewest = 3;                          ///< cuts that show a turn and the last strip

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

std::string turn_drawing(int first_cut, int last_cut, bool keep_left, bool before, int width) {
  const int fit = width / kCutColumns, wanted = last_cut - first_cut + 1;
  if (fit < std::min(wanted, kFewest)) return "";
  const bool all = fit >= wanted;
  std::array<std::string, kRows> rows;
  for (int cut = first_cut; cut <= last_cut; ++cut) {
    if (!all && cut > first_cut + 1 && cut < last_cut) continue;
    const auto drawn = one_cut(cut, cut == last_cut, keep_left, before);
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i] += "   " + drawn[i];
  }
  std::string text;
  for (auto& row : rows) text += row.substr(0, row.find_last_not_of(' ') + 1) + "\n";
  std::string key = "   ═ fence, ║ rail; you stand below; numbers: the edge that cut made";
  if (!all) {
    const int from = first_cut + 2, to = last_cut - 1;
    key +=
        fmt::format("; {} like cut {}",
                    from == to ? fmt::format("cut {} goes", from) : fmt::format("cuts {} to {} go", from, to),
                    first_cut + 1);
  }
  return text + wrapped(key, width) + "\n";
}

}  // namespace quarterturn::report
