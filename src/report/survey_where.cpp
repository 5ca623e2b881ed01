// SPDX-License-Identifier: MIT
#include "report/survey_where.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>

#include "report/amounts.hpp"
#include "report/canvas.hpp"
#include "report/plan_words.hpp"
#include "report/survey_report.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using station::Hole;
using survey::Kind;
using survey::Observation;

constexpr int kCell = 4;            ///< columns from hole to hole
constexpr int kRows = 4;            ///< rows of holes that are drawn around a distance
constexpr int kMostWholeRows = 16;  ///< of a table that is drawn whole
constexpr double kToldOverMm = 600, kHalfOver = 0.975;

std::string column_name(int column) {
  const std::string name = Hole{column, 1}.name();
  return name.substr(0, name.size() - 1);
}

std::string counted_holes(int count) {
  return count == 1 ? "1 hole" : fmt::format("{} holes", count);
}

/// The way from one hole to another as the person stands.
std::string way_words(Hole from, Hole to) {
  const int across = to.column - from.column, along = to.row - from.row;
  const std::string side = across > 0 ? "to your right" : "to your left";
  const std::string depth = along > 0 ? "away from you" : "towards you";
  if (along == 0)
    return std::abs(across) == 1 ? "the next hole " + side : counted_holes(std::abs(across)) + " " + side;
  if (across == 0)
    return std::abs(along) == 1 ? "the next hole " + depth : counted_holes(std::abs(along)) + " " + depth;
  return fmt::format("{} {} and {} {}", counted_holes(std::abs(across)), side, std::abs(along), depth);
}

std::string dogs_words(const WhereShown& shown) {
  const Observation& o = shown.next;
  const std::string first = units::inert(o.dog_from), second = units::inert(o.dog_to);
  const std::string to_first = o.from.name(), to_second = o.to.name();
  if (!shown.standing || (shown.standing->first != o.from && shown.standing->second != o.to))
    return fmt::format("Put {} in {} and {} in {}.", first, to_first, second, to_second);
  if (shown.standing->first == o.from && shown.standing->second == o.to) return "Both dogs stay.";
  if (shown.standing->first == o.from)
    return fmt::format("Leave {} in {}; {} goes to {}.", first, to_first, second, to_second);
  return fmt::format("Leave {} in {}; {} goes to {}.", second, to_second, first, to_first);
}

bool is_next(const Observation& o) {
  return std::abs(o.to.column - o.from.column) <= 1 && std::abs(o.to.row - o.from.row) <= 1;
}

/// Columns and rows that are drawn.
struct Window {
  int first_column = 1, last_column = 1, first_row = 1, last_row = 1;
  [[nodiscard]] bool holds(Hole hole) const {
    return hole.column >= first_column && hole.column <= last_column && hole.row >= first_row &&
           hole.row <= last_row;
  }
};

/// So many from a line of holes that both ends lie in it, and the middle of them near its middle.
std::pair<int, int> part(int low, int high, int wanted, int all) {
  const int size = std::min(all, wanted);
  const int first = std::clamp((low + high - size + 1) / 2, 1, all - size + 1);
  return {first, first + size - 1};
}

class Picture {
 public:
  Picture(const WhereShown& shown, const Window& window)
      : shown_(shown),
        window_(window),
        label_(static_cast<int>(std::to_string(shown.station.grid.rows).size()) + 1),
        canvas_(label_ + kCell * (window.last_column - window.first_column) + 3,
                2 * (window.last_row - window.first_row) + 2) {}

  std::string text() {
    names();
    for (const Observation& o : shown_.measured) {
      if (o.kind != Kind::distance) continue;
      touch(o.from);
      touch(o.to);
      if (is_next(o)) link(o, "─", "│");
    }
    link(shown_.next, "═", "║");
    put(shown_.next.from, "1");
    put(shown_.next.to, "2");
    std::string out;
    for (int row = 0; row <= 2 * (window_.last_row - window_.first_row) + 1; ++row)
      out += canvas_.row(row) + "\n";
    return out;
  }

 private:
  [[nodiscard]] int x(int column) const { return label_ + kCell * (column - window_.first_column); }
  [[nodiscard]] int y(int row) const { return 2 * (window_.last_row - row); }
  void put(Hole hole, const char* mark) {
    if (window_.holds(hole)) canvas_.put(x(hole.column), y(hole.row), mark);
  }
  void touch(Hole hole) { put(hole, "o"); }
  void names() {
    for (int row = window_.first_row; row <= window_.last_row; ++row) {
      canvas_.put_text(0, y(row), fmt::format("{:>{}}", row, label_ - 1));
      for (int column = window_.first_column; column <= window_.last_column; ++column)
        put({column, row}, shown_.station.grid.has({column, row}) ? "." : " ");
    }
    for (int column = window_.first_column; column <= window_.last_column; ++column)
      canvas_.put_text(x(column), y(window_.first_row) + 1, column_name(column));
  }
  /// The line between two holes, as far as it lies along a row, a column or a diagonal of the next holes.
  void link(const Observation& o, const char* along, const char* across) {
    if (!window_.holds(o.from) || !window_.holds(o.to)) return;
    const Hole left = o.from.column <= o.to.column ? o.from : o.to;
    const Hole right = left == o.from ? o.to : o.from;
    if (left.row == right.row) {
      for (int at = x(left.column) + 1; at < x(right.column); ++at) canvas_.put(at, y(left.row), along);
    } else if (left.column == right.column) {
      for (int at = std::min(y(left.row), y(right.row)) + 1; at < std::max(y(left.row), y(right.row)); ++at)
        canvas_.put(x(left.column), at, across);
    } else if (is_next(o)) {
      canvas_.put(x(left.column) + kCell / 2, (y(left.row) + y(right.row)) / 2,
                  right.row > left.row ? "/" : "\\");
    }
  }

  const WhereShown& shown_;
  Window window_;
  int label_;
  Canvas canvas_;
};

/// The whole table with the ends of both lengths: 1 of the first, 2 of the second.
std::string compare_drawing(const WhereShown& shown, int width) {
  const auto& grid = shown.station.grid;
  const int label = static_cast<int>(std::to_string(grid.rows).size()) + 1;
  const int cell = label + 3 * grid.columns <= width ? 3 : 2;
  if (grid.rows > kMostWholeRows || label + cell * grid.columns > width || grid.columns > 26) return {};
  Canvas canvas(label + cell * grid.columns, grid.rows + 1);
  const auto holes = shown.next.holes();
  for (int row = 1; row <= grid.rows; ++row) {
    canvas.put_text(0, grid.rows - row, fmt::format("{:>{}}", row, label - 1));
    for (int column = 1; column <= grid.columns; ++column) {
      const Hole hole{column, row};
      const auto at = std::find(holes.begin(), holes.end(), hole) - holes.begin();
      const char* mark = at < 2 ? "1" : at < 4 ? "2" : grid.has(hole) ? "." : " ";
      canvas.put(label + cell * (column - 1), grid.rows - row, mark);
    }
  }
  for (int column = 1; column <= grid.columns; ++column)
    canvas.put_text(label + cell * (column - 1), grid.rows, column_name(column));
  std::string out;
  for (int row = 0; row <= grid.rows; ++row) out += canvas.row(row) + "\n";
  return out + "1: the ends of the first length; 2: of the second.\n";
}

}  // namespace

std::string short_words(const station::Station& station, const Observation& observation) {
  if (observation.kind == Kind::distance) return observation.from.name() + " " + observation.to.name();
  if (observation.kind == Kind::compare)
    return fmt::format("{} {} against {} {}", observation.from.name(), observation.to.name(),
                       observation.via[0].name(), observation.via[1].name());
  survey::Result named;  // setups by their names
  for (const auto& [name, setup] : station.setups) {
    survey::SetupAnswer answer;
    answer.name = name;
    answer.lines = survey::lines_of(setup);
    named.setups.push_back(std::move(answer));
  }
  return observation_words(observation, named);
}

std::string where_words(const WhereShown& shown) {
  const Observation& o = shown.next;
  switch (o.kind) {
    case Kind::distance: {
      const std::string way =
          fmt::format("From {} to {}, {}.", o.from.name(), o.to.name(), way_words(o.from, o.to));
      if (o.taken == survey::Taken::centre) return way + " Centre to centre.\n";
      return way + " " + dogs_words(shown) +
             (o.taken == survey::Taken::outside ? " Read over them.\n" : " Read BETWEEN them.\n");
    }
    case Kind::compare:
      return fmt::format(
          "Two lengths by one stick: from {} to {}, then from {} to {}, over the same two dogs. Set the "
          "stick to "
          "the shorter; what feelers fill at the longer is the difference.\n",
          o.from.name(), o.to.name(), o.via[0].name(), o.via[1].name());
    case Kind::offset:
    case Kind::corner:
      break;
  }
  const std::string what = short_words(shown.station, o);
  return std::string(1, static_cast<char>(std::toupper(what.front()))) + what.substr(1) +
         ": made with cuts and kept ('later', then 'check'). What is asked here is its name.\n";
}

std::string where_drawing(const WhereShown& shown, int width) {
  const Observation& o = shown.next;
  if (o.kind == Kind::compare) return compare_drawing(shown, width);
  if (o.kind != Kind::distance) return {};
  const auto& grid = shown.station.grid;
  const int label = static_cast<int>(std::to_string(grid.rows).size()) + 1;
  Window window;
  std::tie(window.first_column, window.last_column) =
      part(std::min(o.from.column, o.to.column), std::max(o.from.column, o.to.column),
           std::max(1, (width - label - 1) / kCell), grid.columns);
  std::tie(window.first_row, window.last_row) =
      part(std::min(o.from.row, o.to.row), std::max(o.from.row, o.to.row), kRows, grid.rows);
  if (!window.holds(o.from) || !window.holds(o.to)) return {};
  return Picture(shown, window).text();
}

namespace {

std::string counted(std::size_t count, const char* one, const char* several) {
  return count == 1 ? std::string("1 ") + one : fmt::format("{} {}", count, several);
}

std::string list_words(const survey::ToMeasure& plan) {
  std::string text = counted(plan.distances.size(), "distance", "distances");
  if (plan.closing.empty()) return text;
  const bool checks = plan.closing.front().kind == Kind::corner;
  return text + " and " +
         (checks ? counted(plan.closing.size(), "check", "checks")
                 : counted(plan.closing.size(), "comparison", "comparisons"));
}

}  // namespace

std::string to_measure_note(const survey::ToMeasure& plan) {
  return fmt::format("{}, about {}; a blank value is not measured yet", list_words(plan),
                     minutes_text(static_cast<int>(std::lround(plan.minutes))));
}

std::string to_measure_text(const survey::ToMeasure& plan, const std::string& setup,
                            const TextOptions& options) {
  const auto told = [&](const std::optional<double>& u) {
    const double half = stats::normal_quantile(kHalfOver) * u.value_or(0) * kToldOverMm;
    return half_width_text(half, options.unit) + over_length_words(kToldOverMm, options.unit);
  };
  const bool checks = !plan.closing.empty() && plan.closing.front().kind == Kind::corner;
  const std::string what = setup.empty() ? std::string("whether the table is square")
                                         : "the corner of " + units::inert(setup) +
                                               (checks ? "" : " with dogs alike in each line");
  std::string text = fmt::format("{}, about {}.\n", list_words(plan),
                                 minutes_text(static_cast<int>(std::lround(plan.minutes))));
  if (!plan.u_distances)
    text += fmt::format("Distances within the caliper's reach alone leave open {}.\n", what);
  if (plan.u_all) {
    text += fmt::format("All of it will tell {} to about {}, if holes scatter as usual.\n", what,
                        told(plan.u_all));
  } else {
    text += fmt::format("It will not tell {}: nothing in it closes that.\n", what);
  }
  return text;
}

}  // namespace quarterturn::report
