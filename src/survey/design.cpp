// SPDX-License-Identifier: MIT
#include "survey/design.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "station/play.hpp"

namespace quarterturn::survey {
namespace {

Vec left_of(Vec a) {
  return {-a.y, a.x};
}
double length(Vec a) {
  return std::hypot(a.x, a.y);
}
double sign_of(Taken taken) {
  return taken == Taken::centre ? 0.0 : taken == Taken::outside ? 1.0 : -1.0;
}
/// n·m of (M3).
double rail_side(station::Side face) {
  return face == station::Side::left ? 1.0 : -1.0;
}
double fence_side(station::PanelSide side) {
  return side == station::PanelSide::beyond ? 1.0 : -1.0;
}

struct Circle {
  Vec centre;
  double radius = 0;
};

Circle circle(const station::Station& station, Hole hole, const std::string& dog, const Displaced& at) {
  Circle out{hole_centre(station.grid, hole), 0};
  if (const auto moved = at.holes.find(hole); moved != at.holes.end())
    out.centre = out.centre + moved->second;
  if (const auto found = station.dogs.find(dog); found != station.dogs.end()) {
    out.radius = found->second.diameter.mm() / 2;
  }
  if (const auto over = at.dogs.find(dog); !dog.empty() && over != at.dogs.end()) out.radius += over->second;
  return out;
}

std::vector<Circle> circles(const station::Station& station, const Observation& observation,
                            const Displaced& at) {
  const std::vector<Hole> holes = observation.holes();
  const std::vector<std::string> dogs = observation.dogs();
  std::vector<Circle> out;
  for (std::size_t i = 0; i < holes.size(); ++i) {
    out.push_back(circle(station, holes[i], i < dogs.size() ? dogs[i] : std::string(), at));
  }
  return out;
}

double taken_length(const Circle& a, const Circle& b, Taken taken) {
  return length(b.centre - a.centre) + sign_of(taken) * (a.radius + b.radius);
}

/// Normal of the common tangent that leaves both circles on one side, and its turn from the line of centres.
struct Tangent {
  Vec normal;
  double angle_rad;
};
Tangent tangent(const Circle& a, const Circle& b, double side) {
  const Vec apart = b.centre - a.centre;
  const double sine = (b.radius - a.radius) / length(apart);
  const Vec u = (1 / length(apart)) * apart;
  return {-sine * u + side * std::sqrt(1 - sine * sine) * left_of(u),
          std::atan2(apart.y, apart.x) + side * std::asin(sine)};
}

double wrapped(double angle) {
  return std::remainder(angle, 2 * std::numbers::pi);
}

double exact_eps(const station::Grid& grid, const std::vector<Circle>& four, const std::vector<Hole>& holes,
                 double rail, double fence) {
  const auto nominal = [&](std::size_t a, std::size_t b) {
    const Vec along = hole_centre(grid, holes[b]) - hole_centre(grid, holes[a]);
    return std::atan2(along.y, along.x);
  };
  return wrapped(tangent(four[0], four[1], rail).angle_rad - nominal(0, 1)) -
         wrapped(tangent(four[2], four[3], fence).angle_rad - nominal(2, 3));
}

void add(Functional& out, Hole hole, Vec g) {
  out.holes[hole] = out.holes[hole] + g;
}
void add(Functional& out, const std::string& dog, double g) {
  if (!dog.empty()) out.dogs[dog] += g;
}

Functional length_between(const station::Grid& grid, Hole a, Hole b) {
  const Vec along = hole_centre(grid, b) - hole_centre(grid, a);
  const Vec u = (1 / length(along)) * along;
  Functional out;
  add(out, a, -1.0 * u);
  add(out, b, u);
  return out;
}

/// (M1) by displacements and oversizes.
Functional line_turn(const station::Grid& grid, const station::DogPair& pair, double side) {
  const Vec along = hole_centre(grid, pair.second.hole) - hole_centre(grid, pair.first.hole);
  const Vec m = (1 / dot(along, along)) * left_of(along);
  Functional out;
  add(out, pair.first.hole, -1.0 * m);
  add(out, pair.second.hole, m);
  add(out, pair.first.dog, -side / length(along));  // (M3)
  add(out, pair.second.dog, side / length(along));
  if (!pair.first.dog.empty()) out.standing[{pair.first.hole, pair.first.dog}] = -1.0 * m;
  if (!pair.second.dog.empty()) out.standing[{pair.second.hole, pair.second.dog}] = m;
  return out;
}

double nominal_turn(const station::Station& station, const station::DogPair& pair, double side) {
  const Circle a = circle(station, pair.first.hole, pair.first.dog, {});
  const Circle b = circle(station, pair.second.hole, pair.second.dog, {});
  return side * std::asin((b.radius - a.radius) / length(b.centre - a.centre));
}

Functional offset_functional(const station::Grid& grid, const Observation& o) {
  const Vec first = hole_centre(grid, o.via[0]), along = hole_centre(grid, o.via[1]) - first;
  const Vec u = (1 / length(along)) * along, third = hole_centre(grid, o.from) - first;
  const double side = rail_side(o.side);
  const double share = dot(third, u) / length(along);
  // gap = n·(c1 - c3) + r1 - r3, the line turned by what its ends do across it
  const Vec n = side * left_of(u);
  Functional out;
  add(out, o.from, -1.0 * n);
  add(out, o.via[0], (1 - share) * n);
  add(out, o.via[1], share * n);
  add(out, o.dog_from, -1.0);
  if (!o.dog_via.empty()) {
    add(out, o.dog_via[0], 1 - share);
    add(out, o.dog_via[1], share);
  }
  return out;
}

Lines lines_in(const Observation& o) {
  Lines lines;
  lines.rail = {{o.from, o.dog_from}, {o.to, o.dog_to}};
  const bool dogs = o.dog_via.size() == 2;
  lines.fence = {{o.via[0], dogs ? o.dog_via[0] : ""}, {o.via[1], dogs ? o.dog_via[1] : ""}};
  lines.rail_on_face = o.side;
  lines.panel_side = o.panel_side;
  return lines;
}

}  // namespace

Functional operator+(Functional a, const Functional& b) {
  for (const auto& [hole, g] : b.holes) add(a, hole, g);
  for (const auto& [dog, g] : b.dogs) add(a, dog, g);
  for (const auto& [at, g] : b.standing) a.standing[at] = a.standing[at] + g;
  return a;
}

Functional operator*(double k, Functional a) {
  for (auto& entry : a.holes) entry.second = k * entry.second;
  for (auto& entry : a.dogs) entry.second *= k;
  for (auto& entry : a.standing) entry.second = k * entry.second;
  return a;
}

double apply(const Functional& functional, const Displaced& displaced) {
  double sum = 0;
  for (const auto& [hole, g] : functional.holes) {
    if (const auto at = displaced.holes.find(hole); at != displaced.holes.end()) sum += dot(g, at->second);
  }
  for (const auto& [dog, g] : functional.dogs) {
    if (const auto at = displaced.dogs.find(dog); at != displaced.dogs.end()) sum += g * at->second;
  }
  return sum;
}

double exact_value(const station::Station& station, const Observation& o, const Displaced& displaced) {
  const std::vector<Circle> at = circles(station, o, displaced);
  switch (o.kind) {
    case Kind::distance:
      return taken_length(at[0], at[1], o.taken);
    case Kind::compare:
      return taken_length(at[0], at[1], o.taken) - taken_length(at[2], at[3], o.taken);
    case Kind::offset: {
      const Vec n = tangent(at[1], at[2], rail_side(o.side)).normal;
      return dot(n, at[1].centre - at[0].centre) + at[1].radius - at[0].radius;
    }
    case Kind::corner:
      break;
  }
  return exact_eps(station.grid, at, o.holes(), rail_side(o.side), fence_side(o.panel_side));
}

double nominal_value(const station::Station& station, const Observation& observation) {
  return exact_value(station, observation, {});
}

Functional functional_of(const station::Station& station, const Observation& o) {
  const station::Grid& grid = station.grid;
  if (o.kind == Kind::offset) return offset_functional(grid, o);
  if (o.kind == Kind::corner) return eps_of(station, lines_in(o));
  Functional out = length_between(grid, o.from, o.to);
  add(out, o.dog_from, sign_of(o.taken));
  add(out, o.dog_to, sign_of(o.taken));
  if (o.kind == Kind::distance) return out;
  Functional other = length_between(grid, o.via[0], o.via[1]);
  for (const std::string& dog : o.dog_via) add(other, dog, sign_of(o.taken));
  return out + (-1.0) * other;
}

Lines lines_of(const station::Setup& setup) {
  return {setup.rail, setup.fence, setup.rail_on_face, setup.panel_side};
}

Lines lines_of_holes(Hole near, Hole far, Hole left, Hole right) {
  Lines lines;
  lines.rail = {{near, ""}, {far, ""}};
  lines.fence = {{left, ""}, {right, ""}};
  return lines;
}

// (M1): eps = rail - fence
Functional rail_turn(const station::Grid& grid, const Lines& lines) {
  return line_turn(grid, lines.rail, rail_side(lines.rail_on_face));
}
Functional fence_turn(const station::Grid& grid, const Lines& lines) {
  return line_turn(grid, lines.fence, fence_side(lines.panel_side));
}
Functional eps_of(const station::Station& station, const Lines& lines) {
  return rail_turn(station.grid, lines) + (-1.0) * fence_turn(station.grid, lines);
}

double nominal_rail_turn(const station::Station& station, const Lines& lines) {
  return nominal_turn(station, lines.rail, rail_side(lines.rail_on_face));
}
double nominal_fence_turn(const station::Station& station, const Lines& lines) {
  return nominal_turn(station, lines.fence, fence_side(lines.panel_side));
}
double nominal_eps(const station::Station& station, const Lines& lines) {
  return nominal_rail_turn(station, lines) - nominal_fence_turn(station, lines);
}

// (M115)
double standing_sd_mm(const station::Station& station, const std::string& dog) {
  const auto found = station.dogs.find(dog);
  return found == station.dogs.end() ? 0 : station::play_mm(station.grid, found->second) / 4;
}

// (M106)
std::array<Vec, kEffects> effects_at(const station::Grid& grid, Hole hole) {
  const double pitch = grid.pitch.mm();
  const double x = pitch * (hole.column - 0.5 * (grid.columns + 1));
  const double y = pitch * (hole.row - 0.5 * (grid.rows + 1));
  return {Vec{x, 0}, Vec{0, y}, Vec{-y / 2, -x / 2}};
}

std::array<double, kEffects> effects_in(const station::Grid& grid, const Functional& functional) {
  std::array<double, kEffects> sum{};
  for (const auto& [hole, g] : functional.holes) {
    const std::array<Vec, kEffects> at = effects_at(grid, hole);
    for (std::size_t k = 0; k < kEffects; ++k) sum[k] += dot(g, at[k]);
  }
  return sum;
}

Functional displacement_of(Hole hole, Vec along) {
  Functional out;
  out.holes[hole] = along;
  return out;
}

double shorter_baseline_mm(const station::Grid& grid, const Observation& corner) {
  const auto apart = [&](Hole a, Hole b) { return length(hole_centre(grid, b) - hole_centre(grid, a)); };
  return std::min(apart(corner.from, corner.to), apart(corner.via[0], corner.via[1]));
}

}  // namespace quarterturn::survey
