// SPDX-License-Identifier: MIT
#include "report/plan_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"

namespace quarterturn::report {
namespace {

constexpr const char* kGap = "   ";

std::string padded(const std::string& text, std::size_t width, bool left) {
  const std::string blanks(width - std::min(width, columns_of(text)), ' ');
  return left ? text + blanks : blanks + text;
}

}  // namespace

std::string out_of_words(double chance) {
  for (const int of : {2, 4, 5, 10, 20, 100}) {
    const double count = chance * of;
    if (std::fabs(count - std::round(count)) < 1e-9) return fmt::format("{:.0f} of {} tests", count, of);
  }
  return fmt::format("{:.0f} of 100 tests", std::round(chance * 100));
}

std::string over_length_words(double over_mm, units::Unit unit) {
  return " over " + size_text(over_mm, unit);
}

std::string half_width_amount(double half_width_mm, units::Unit unit) {
  const std::string text = half_width_text(half_width_mm, unit);
  return text.substr(text.find(' ') + 1);
}

std::string table_text(const std::vector<std::string>& head, const std::vector<TableLine>& lines,
                       const TextOptions& options) {
  std::vector<std::size_t> widths;
  std::size_t total = 0;
  for (std::size_t c = 0; c < head.size(); ++c) {
    std::size_t width = columns_of(head[c]);
    for (const TableLine& line : lines) width = std::max(width, columns_of(line.cells[c]));
    widths.push_back(width);
    total += width + (c == 0 ? 0 : std::string(kGap).size());
  }
  std::string text;
  if (options.plain || total > static_cast<std::size_t>(std::max(options.width, 20))) {
    for (const TableLine& line : lines) text += "- " + line.sentence + "\n";
    return text;
  }
  const auto add = [&](const std::vector<std::string>& cells) {
    std::string row;
    for (std::size_t c = 0; c < cells.size(); ++c)
      row += (c == 0 ? "" : kGap) + padded(cells[c], widths[c], c == 0);
    while (row.ends_with(' ')) row.pop_back();
    text += row + "\n";
  };
  add(head);
  for (const TableLine& line : lines) add(line.cells);
  return text;
}

}  // namespace quarterturn::report
