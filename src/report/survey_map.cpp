// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <set>
#include <string>

#include "report/amounts.hpp"
#include "report/survey_report.hpp"

namespace quarterturn::report {
namespace {

using station::Hole;

/// Counter-clockwise from the right, an eighth of a turn each.
constexpr std::array<const char*, 8> kArrows{"→", "↗", "↑", "↖", "←", "↙", "↓", "↘"};
constexpr std::array<const char*, 8> kSpelled{">", "^>", "^", "<^", "<", "<v", "v", "v>"};

std::size_t eighth(station::Vec way) {
  const double turns = std::atan2(way.y, way.x) / (2 * std::numbers::pi);
  return static_cast<std::size_t>(std::lround(turns * 8) + 8) % 8;
}

class Map {
 public:
  Map(const survey::Result& result, const TextOptions& options) : result_(result), options_(options) {
    for (const auto& hole : result.holes) holes_[hole.hole] = &hole;
    for (const auto& bad : named_holes(result)) bad_.insert(bad.hole);
  }

  /// The columns from `first`, as many as there is room for.
  [[nodiscard]] std::string block(int first, int last) const {
    const auto& grid = result_.adjustment->station().grid;
    std::string text;
    for (int row = grid.rows; row >= 1; --row) {
      std::string line = fmt::format("{:>{}} ", row, label());
      for (int column = first; column <= last; ++column) line += padded(mark({column, row}));
      text += trimmed(line) + "\n";
    }
    std::string names(label() + 1, ' ');
    for (int column = first; column <= last; ++column) {
      const std::string name = Hole{column, 1}.name();
      names += padded(name.substr(0, name.size() - 1));
    }
    return text + trimmed(names) + "\n";
  }
  [[nodiscard]] int columns_a_block() const {
    return std::max(1, (options_.width - static_cast<int>(label()) - 1) / static_cast<int>(cell()));
  }

 private:
  /// With a space to the next, and room for the mark of a bad hole.
  [[nodiscard]] std::size_t cell() const { return options_.unicode ? 3 : 4; }
  [[nodiscard]] std::size_t label() const {
    return std::to_string(result_.adjustment->station().grid.rows).size();
  }
  [[nodiscard]] std::string mark(Hole hole) const {
    if (!result_.adjustment->station().grid.has(hole)) return "";
    const auto found = holes_.find(hole);
    if (found == holes_.end()) return ".";
    const std::string bad = bad_.contains(hole) ? "!" : "";
    if (!is_displaced(result_, *found->second)) return "o" + bad;
    const std::size_t way = eighth(found->second->deviation);
    return (options_.unicode ? kArrows[way] : kSpelled[way]) + bad;
  }
  [[nodiscard]] std::string padded(const std::string& text) const {
    const std::size_t columns = columns_of(text);
    return text + std::string(columns < cell() ? cell() - columns : 0, ' ');
  }
  static std::string trimmed(std::string line) {
    line.erase(line.find_last_not_of(' ') + 1);
    return line;
  }

  const survey::Result& result_;
  const TextOptions& options_;
  std::map<Hole, const survey::HoleResult*> holes_;
  std::set<Hole> bad_;
};

}  // namespace

std::string survey_map(const survey::Result& result, const TextOptions& options) {
  const Map map(result, options);
  const int columns = result.adjustment->station().grid.columns, step = map.columns_a_block();
  std::string text;
  for (int first = 1; first <= columns; first += step) {
    if (first > 1) text += "\n";
    text += map.block(first, std::min(columns, first + step - 1));
  }
  return text;
}

std::string survey_map_words(const survey::Result& result) {
  constexpr int kMostNamed = 30;
  const auto& grid = result.adjustment->station().grid;
  std::set<Hole> measured;
  std::size_t within = 0;
  const auto bad = result.snooping.bad_hole();
  for (const auto& hole : result.holes) {
    measured.insert(hole.hole);
    if (!is_displaced(result, hole) && bad != hole.hole) ++within;
  }
  std::string names;
  int open = 0;
  for (int row = 1; row <= grid.rows; ++row) {
    for (int column = 1; column <= grid.columns; ++column) {
      const Hole hole{column, row};
      if (!grid.has(hole) || measured.contains(hole)) continue;
      if (++open <= kMostNamed) names += " " + hole.name();
    }
  }
  if (open > kMostNamed) names += fmt::format(" and {} more", open - kMostNamed);
  return fmt::format("- Within their ±: {} of {} measured holes.\n", within, result.holes.size()) +
         (open == 0 ? "- Every hole was measured.\n" : "- Not measured:" + names + ".\n");
}

}  // namespace quarterturn::report
