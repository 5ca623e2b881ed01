// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "report/amounts.hpp"
#include "report/picture_parts.hpp"
#include "report/pictures.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using station::Geometry;
using station::Setup;
using station::Station;
using station::Vec;

constexpr double kMargin = 26;       // user units about the holes, for their letters and numbers
constexpr double kMostBeside = 1.8;  // of the table's size
constexpr double kEdge = 2;          // user units, for the frame's own line
constexpr double kTallest = 430;     // user units
constexpr double kUsualRailMm = 60, kUsualBarMm = 30;  // drawn where no width is stated
constexpr double kArrow = 40;                          // user units
constexpr int kMostNames = 14;                         // of columns or rows that are lettered

Vec turned(Vec a, double rad) {
  return {std::cos(rad) * a.x - std::sin(rad) * a.y, std::sin(rad) * a.x + std::cos(rad) * a.y};
}
Vec direction(double rad) {
  return {std::cos(rad), std::sin(rad)};
}
/// The crossing of the line through a along u with that through b along v.
Vec crossing(Vec a, Vec u, Vec b, Vec v) {
  const double det = u.x * v.y - u.y * v.x;
  const Vec d = b - a;
  return a + ((d.x * v.y - d.y * v.x) / det) * u;
}

class Table {
 public:
  Table(const correct::Outcome& outcome, units::Unit unit)
      : outcome_(outcome),
        unit_(unit),
        station_(*outcome.station),
        setup_(outcome.station->setup(outcome.setup_name)),
        geometry_(*outcome.geometry),
        drawing_(kPictureWidth, "The table from above") {
    const double pitch = station_.grid.pitch.mm();
    table_low_ = low_ = {0.4 * pitch, 0.4 * pitch};
    table_high_ = high_ = {(station_.grid.columns + 0.6) * pitch, (station_.grid.rows + 0.6) * pitch};
    // Of a mitre the corner may lie beside the table.
    const Vec corner = corner_mm();
    low_ = {std::min(low_.x, corner.x - 0.3 * pitch), std::min(low_.y, corner.y - 0.3 * pitch)};
    high_ = {std::max(high_.x, corner.x + 0.3 * pitch), std::max(high_.y, corner.y + 0.3 * pitch)};
    corner_shown_ = fits();
    if (!corner_shown_) low_ = table_low_, high_ = table_high_;
    const double wide = high_.x - low_.x, tall = high_.y - low_.y;
    scale_ = std::min((kPictureWidth - kMargin - kEdge) / wide, kTallest / tall);
    left_ = kMargin + (kPictureWidth - kMargin - kEdge - scale_ * wide) / 2;
    foot_ = 4 + scale_ * tall;
    if (corner_shown_) lies_ = lies();
  }

  Drawing drawn();

 private:
  /// The corner does not lie so far beside the table that nothing else could be seen.
  [[nodiscard]] bool fits() const;
  /// Where the kept part lies [mm], its corner at fence and cut.
  struct Lies {
    Vec corner, along, square, cut;
    double wide, deep;
    ShownCorner shown;
  };
  [[nodiscard]] Lies lies() const;
  [[nodiscard]] Vec corner_mm() const;
  [[nodiscard]] Point at(Vec mm) const {
    return {left_ + scale_ * (mm.x - low_.x), foot_ - scale_ * (mm.y - low_.y)};
  }
  [[nodiscard]] double radius_mm(const station::Post& post) const {
    const auto dog = station_.dogs.find(post.dog);
    return (dog == station_.dogs.end() ? station_.grid.hole_diameter : dog->second.diameter).mm() / 2;
  }
  [[nodiscard]] double rail_width_mm() const {
    const auto rail = station_.rails.find(setup_.rail_name);
    return rail == station_.rails.end() ? 0 : rail->second.width.mm();
  }
  /// How far from `from` the table goes on that way, and no further than `most_mm`.
  [[nodiscard]] double room_mm(Vec from, Vec way, double most_mm) const;
  void bar_along(Literal kind, Vec a, Vec b, Vec across);
  void holes();
  void rail_and_fence();
  void kept_part();
  void corner();
  void dogs();
  void move();
  void names();
  void key();

  const correct::Outcome& outcome_;
  units::Unit unit_;
  const Station& station_;
  const Setup& setup_;
  const Geometry& geometry_;
  Drawing drawing_;
  Vec low_, high_, table_low_, table_high_;
  double scale_ = 1, left_ = 0, foot_ = 0;
  Lies lies_{};
  bool corner_shown_ = true;
  std::string told_;
};

double Table::room_mm(Vec from, Vec way, double most_mm) const {
  double room = most_mm;
  const auto limit = [&room](double place, double step, double low, double high) {
    if (step > 1e-9) room = std::min(room, (high - place) / step);
    if (step < -1e-9) room = std::min(room, (low - place) / step);
  };
  limit(from.x, way.x, low_.x, high_.x);
  limit(from.y, way.y, low_.y, high_.y);
  return std::max(room, 0.0);
}

void Table::bar_along(Literal kind, Vec a, Vec b, Vec across) {
  drawing_.path(kind, {at(a), at(b), at(b + across), at(a + across)}, true);
}

void Table::holes() {
  const Point corner = at(table_low_), across = at(table_high_);
  drawing_.rect("q-axis", {corner.x, across.y, across.x, corner.y}, 3);
  const auto& grid = station_.grid;
  const int step = 1 + std::max(grid.columns, grid.rows) / 40;
  const double radius = std::clamp(scale_ * grid.hole_diameter.mm() / 2, 0.8, 5.0);
  for (int column = 1; column <= grid.columns; column += step) {
    for (int row = 1; row <= grid.rows; row += step) {
      const station::Hole hole{column, row};
      if (grid.has(hole)) drawing_.circle("q-hole", at(station::hole_centre(grid, hole)), radius);
    }
  }
  const auto letters = [&](int count) { return 1 + (count - 1) / kMostNames; };
  for (int column = 1; column <= grid.columns; column += letters(grid.columns)) {
    std::string name = station::Hole{column, 1}.name();
    name.pop_back();
    drawing_.text("q-quiet", {{at({grid.pitch.mm() * column, 0}).x, corner.y + 14}, Anchor::middle}, name,
                  kSmallSize);
  }
  for (int row = 1; row <= grid.rows; row += letters(grid.rows)) {
    drawing_.text("q-quiet", {{corner.x - 5, at({0, grid.pitch.mm() * row}).y + 4}, Anchor::end},
                  std::to_string(row), kSmallSize);
  }
}

void Table::rail_and_fence() {
  const double pitch = station_.grid.pitch.mm();
  const auto line = [&](const station::ContactLine& contact, const station::Post& first, double width_mm,
                        bool to_the_edge) {
    const Vec a = *contact.first + radius_mm(first) * contact.n;
    const double back = room_mm(a, -1.0 * contact.u, to_the_edge ? 1e9 : 0.6 * pitch);
    const double on = room_mm(a, contact.u, to_the_edge ? 1e9 : contact.baseline_mm + 0.6 * pitch);
    bar_along("q-steel", a - back * contact.u, a + on * contact.u, width_mm * contact.n);
  };
  const double rail = rail_width_mm();
  line(*geometry_.rail, setup_.rail.first, rail > 0 ? rail : kUsualRailMm, true);
  if (setup_.bar) {
    line(*geometry_.fence, setup_.fence.first, kUsualBarMm, false);
  } else {
    const auto& fence = *geometry_.fence;
    const Vec a = *fence.first + radius_mm(setup_.fence.first) * fence.n;
    drawing_.line("q-axis", at(a - room_mm(a, -1.0 * fence.u, 1e9) * fence.u),
                  at(a + room_mm(a, fence.u, 1e9) * fence.u));
  }
}

void Table::kept_part() {
  const auto& lies = lies_;
  drawing_.path("q-wood",
                {at(lies.corner), at(lies.corner + lies.wide * lies.along),
                 at(lies.corner + lies.wide * lies.along + lies.deep * lies.square),
                 at(lies.corner + lies.deep * lies.cut)},
                true);
  const Point p = at(lies.corner + 0.5 * lies.wide * lies.along + 0.45 * lies.deep * lies.square);
  drawing_.label("q-ink", {{p, Anchor::middle}, {{p.x, p.y + 18}, Anchor::middle}}, "kept part");
}

/// Where fence and cut cross: the corner of the kept part.
Vec Table::corner_mm() const {
  const auto &rail = *geometry_.rail, &fence = *geometry_.fence;
  const double rail_width = rail_width_mm() > 0 ? rail_width_mm() : kUsualRailMm;
  const Vec on_cut = *rail.first + (radius_mm(setup_.rail.first) + rail_width) * rail.n;
  const Vec on_fence =
      *fence.first + (radius_mm(setup_.fence.first) + (setup_.bar ? kUsualBarMm : 0)) * fence.n;
  return crossing(on_fence, fence.u, on_cut, rail.u);
}

bool Table::fits() const {
  const Vec size = table_high_ - table_low_, shown = high_ - low_;
  return shown.x < kMostBeside * size.x && shown.y < kMostBeside * size.y;
}

Table::Lies Table::lies() const {
  const Vec corner = corner_mm();
  const ShownCorner shown = shown_corner(outcome_, geometry_);
  const Vec along = direction(shown.along_fence_rad), cut = direction(shown.cut_rad),
            square = direction(shown.square_rad);
  const auto& size = outcome_.check.panel_size;
  const double wide = room_mm(corner, along, size ? size->width_mm : outcome_.panel_mm);
  const double reach = size ? size->depth_mm : outcome_.panel_mm;
  const double deep = std::min({room_mm(corner, cut, reach), room_mm(corner, square, reach),
                                room_mm(corner + wide * along, square, reach)});
  return {corner, along, square, cut, wide, deep, shown};
}

void Table::corner() {
  const auto& lies = lies_;
  const bool sure = !outcome_.fit.eta.unknown;
  if (sure) {
    drawing_.path("q-band q-over",
                  {at(lies.corner), at(lies.corner + lies.deep * direction(lies.shown.cut_low_rad)),
                   at(lies.corner + lies.deep * direction(lies.shown.cut_high_rad))},
                  true);
  }
  drawing_.line("q-square", at(lies.corner), at(lies.corner + lies.deep * lies.square));
  drawing_.line("q-cut", at(lies.corner), at(lies.corner + lies.deep * lies.cut));
  told_ = fmt::format(
      "The corner's error is drawn {:.0f} times too large: solid as it cuts, dashed without error{}.",
      lies.shown.times, sure ? ", pale the ±" : "");
}

void Table::dogs() {
  const auto post = [&](const station::Post& one, const char* what) {
    const Point centre = at(station::hole_centre(station_.grid, one.hole));
    const double radius = std::max(4.0, scale_ * radius_mm(one));
    drawing_.circle("q-dog", centre, radius);
    drawing_.keep_free({centre.x - radius, centre.y - radius, centre.x + radius, centre.y + radius});
    told_ += fmt::format(" {} {}.", what, one.hole.name());
  };
  post(setup_.rail.first, "Near rail dog");
  post(setup_.rail.second, "Far rail dog");
  post(setup_.fence.first, "Left fence dog");
  post(setup_.fence.second, "Right fence dog");
}

void Table::move() {
  const std::size_t advised = advised_move(outcome_);
  if (!outcome_.advice || advised >= outcome_.advice->moves.size()) return;
  const auto& move = outcome_.advice->moves[advised];
  const double size_mm = std::hypot(move.shift_x_mm, move.shift_y_mm);
  if (!move.hole || !(size_mm > 0)) return;
  const Vec way = (1 / size_mm) * Vec{move.shift_x_mm, move.shift_y_mm};
  const Point from = at(station::hole_centre(station_.grid, *move.hole));
  const Point tip{from.x + kArrow * way.x, from.y - kArrow * way.y};
  drawing_.line("q-move", from, tip);
  for (const double side : {2.6, -2.6}) {
    const Vec barb = turned(way, side);
    drawing_.line("q-move", tip, {tip.x + 10 * barb.x, tip.y - 10 * barb.y});
  }
  drawing_.label("q-act", around(tip, 8), length_text(size_mm, unit_));
}

void Table::names() {
  const auto name = [&](const station::Post& one, const char* what) {
    drawing_.label("q-ink", around(at(station::hole_centre(station_.grid, one.hole)), 12),
                   one.hole.name() + " " + what, kSmallSize);
  };
  name(setup_.rail.first, "near");
  name(setup_.rail.second, "far");
  name(setup_.fence.first, "left");
  name(setup_.fence.second, "right");
  const auto& rail = *geometry_.rail;
  const double width = rail_width_mm() > 0 ? rail_width_mm() : kUsualRailMm;
  const Vec on_rail = *rail.first + (radius_mm(setup_.rail.first) + width / 2) * rail.n;
  std::vector<Spotted> places;
  for (const double share : {0.3, 0.7, 0.2, 0.5})
    places.push_back({at(on_rail + share * rail.baseline_mm * rail.u), Anchor::middle});
  drawing_.label("q-ink", places, "rail", kSmallSize);
  const auto& fence = *geometry_.fence;
  const Vec on_fence = *fence.first + radius_mm(setup_.fence.first) * fence.n;
  places.clear();
  for (const double share : {0.5, 0.25, 0.75, 1.4, -0.4, 1.8}) {
    const Point p = at(on_fence + share * fence.baseline_mm * fence.u);
    places.push_back({{p.x, p.y - 5}, Anchor::middle});
    places.push_back({{p.x, p.y + 13}, Anchor::middle});
  }
  drawing_.label("q-ink", places, setup_.bar ? "fence bar" : "fence", kSmallSize);
}

void Table::key() {
  std::string text = told_;
  const std::size_t advised = advised_move(outcome_);
  if (outcome_.advice && advised < outcome_.advice->moves.size())
    text += " " + move_text(outcome_.advice->moves[advised], unit_);
  if (rail_width_mm() <= 0) text += " The rail's width is not stated: a usual one is drawn.";
  drawing_.describe("You stand at the bottom. " + text);
  double y = foot_ + 22;
  drawing_.text("q-quiet", {{kPictureWidth / 2, y + 10}, Anchor::middle}, "you stand here", kSmallSize);
  y += 18;
  const std::string below = told_.substr(0, told_.find(" Near rail dog"));
  for (const auto& line : broken(below, drawing_.width(), kSmallSize)) {
    drawing_.text("q-quiet", {{0, y + 11}}, line, kSmallSize);
    y += 15;
  }
  drawing_.set_height(y + 6);
}

Drawing Table::drawn() {
  holes();
  if (corner_shown_) kept_part();
  rail_and_fence();
  if (corner_shown_)
    corner();
  else
    told_ = "Fence and cut meet far beside the table: their corner is not drawn.";
  dogs();
  move();
  names();
  key();
  return drawing_;
}

}  // namespace

std::optional<Drawing> table_picture(const correct::Outcome& outcome, units::Unit unit) {
  const bool shows = outcome.station && outcome.geometry && outcome.geometry->q != 0 &&
                     outcome.geometry->rail && outcome.geometry->fence && outcome.geometry->rail->first &&
                     outcome.geometry->fence->first && outcome.check.test != check::TestKind::rail &&
                     outcome.check.second_setup.empty();
  if (!shows) return std::nullopt;
  return Table(outcome, unit).drawn();
}

}  // namespace quarterturn::report
