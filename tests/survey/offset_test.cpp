// SPDX-License-Identifier: MIT
// Gaps under a straightedge: laid against dogs as it can lie, the gap to the third read with a feeler, on
// either side of the dogs; what the adjustment makes of a displaced hole.
#include <doctest/doctest.h>

#include <array>

#include "support/near.hpp"
#include "survey/adjust.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using station::Side;
using station::Vec;
using survey::Taken;

namespace {

constexpr double kFeelerU = 0.02;

struct Pin {
  Hole hole;
  std::string dog;
  Vec centre;
  double radius = 0;
};

/// Unit normal of the straightedge that lies on that side of two pins: n·c + r is the same of both, found by
/// halving.
Vec edge_normal(const Pin& a, const Pin& b, Side side) {
  const double along = std::atan2(b.centre.y - a.centre.y, b.centre.x - a.centre.x);
  const double middle = along + (side == Side::left ? 1.5707963267948966 : -1.5707963267948966);
  const auto differs = [&](double angle) {
    const Vec n{std::cos(angle), std::sin(angle)};
    return n.x * (b.centre.x - a.centre.x) + n.y * (b.centre.y - a.centre.y) + b.radius - a.radius;
  };
  double low = middle - 0.5, high = middle + 0.5;
  const bool rises = differs(high) > differs(low);
  for (int i = 0; i < 200; ++i) {
    const double half = 0.5 * (low + high);
    ((differs(half) > 0) == rises ? high : low) = half;
  }
  return {std::cos(low), std::sin(low)};
}

double gap_under(const Pin& a, const Pin& b, const Pin& third, Side side) {
  const Vec n = edge_normal(a, b, side);
  return n.x * (a.centre.x - third.centre.x) + n.y * (a.centre.y - third.centre.y) + a.radius - third.radius;
}

/// The straightedge rests on the two outer pins; where the middle one is proud, on that and the first. The
/// gap to the third is then never negative.
Observation laid(const std::array<Pin, 3>& pins, Side side) {
  std::array<std::size_t, 3> order{0, 2, 1};  // two that carry, the third
  if (gap_under(pins[0], pins[2], pins[1], side) < 0) order = {0, 1, 2};
  Observation o;
  o.kind = survey::Kind::offset;
  o.side = side;
  o.via = {pins[order[0]].hole, pins[order[1]].hole};
  o.dog_via = {pins[order[0]].dog, pins[order[1]].dog};
  o.from = pins[order[2]].hole;
  o.dog_from = pins[order[2]].dog;
  o.value = gap_under(pins[order[0]], pins[order[1]], pins[order[2]], side);
  o.u = kFeelerU;
  CHECK(o.value > -1e-9);
  return o;
}

station::Station table() {
  station::Station station = survey_table(6, 6);
  station.dogs["pin-3"] = {"pin-3", units::Length::from_mm(19.98), {}, {}, {}, {}};
  return station;
}

Pin pin_in(const station::Station& station, const survey::Displaced& at, Hole hole, const char* dog,
           double oversize) {
  const Vec centre = station::hole_centre(station.grid, hole), by = at.holes.at(hole);
  return {hole, dog, {centre.x + by.x, centre.y + by.y}, station.dogs.at(dog).diameter.mm() / 2 + oversize};
}

/// Every three holes in a row or a column, as many steps apart as given, on one side or on both.
std::vector<Observation> gaps(const station::Station& station, const survey::Displaced& at, bool left,
                              bool right, std::mt19937_64& random) {
  std::vector<Observation> out;
  for (const int step : {1, 2})
    for (int c = 1; c <= 6; ++c)
      for (int r = 1; r <= 6; ++r)
        for (const bool along_row : {true, false}) {
          const Hole b{c + (along_row ? step : 0), r + (along_row ? 0 : step)};
          const Hole d{c + (along_row ? 2 * step : 0), r + (along_row ? 0 : 2 * step)};
          if (!station.grid.has(d)) continue;
          const std::array<Pin, 3> pins{pin_in(station, at, {c, r}, "pin-1", 0.01),
                                        pin_in(station, at, b, "pin-2", -0.005),
                                        pin_in(station, at, d, "pin-3", 0.015)};
          for (const Side side : {Side::left, Side::right}) {
            if (side == Side::left ? !left : !right) continue;
            out.push_back(laid(pins, side));
            out.back().value += kFeelerU * normal(random);
          }
        }
  return out;
}

struct Found {
  double x = 0, y = 0, squares = 0;  ///< error of the hole, means; of standardised errors
};

Found recover(Vec displaced, bool left, bool right, int tables) {
  const station::Station station = table();
  std::mt19937_64 random(111);
  const Hole bad{3, 4};
  Found found;
  for (int i = 0; i < tables; ++i) {
    survey::Displaced at = draw(station.grid, {}, random);
    at.holes[bad] = displaced;
    std::vector<Observation> list = gaps(station, at, left, right, random);
    std::vector<Observation> lengths;
    add_neighbours(lengths, station.grid, Taken::centre);
    add_diagonals(lengths, station.grid, 1, 1, Taken::centre);
    std::erase_if(lengths, [&](const Observation& o) { return o.from == bad || o.to == bad; });
    read_all(lengths, station, at, random);
    list.insert(list.end(), lengths.begin(), lengths.end());
    survey::AdjustOptions options;
    options.hole_sd_mm = kHoleSd;
    options.set_aside = {bad};  // it does not scatter like the others: nothing pulls it back
    const survey::Adjustment adjusted(station, list, options);
    // against its neighbours, so that pitch and place of the table do not matter
    const auto f = survey::displacement_of(bad, {1, 0}) + -0.5 * survey::displacement_of({2, 4}, {1, 0}) +
                   -0.5 * survey::displacement_of({4, 4}, {1, 0});
    const auto g = survey::displacement_of(bad, {0, 1}) + -0.5 * survey::displacement_of({3, 3}, {0, 1}) +
                   -0.5 * survey::displacement_of({3, 5}, {0, 1});
    const auto x = std::get<check::Estimate>(adjusted.estimate(f));
    const auto y = std::get<check::Estimate>(adjusted.estimate(g));
    const double off_x = x.x - survey::apply(f, at), off_y = y.x - survey::apply(g, at);
    found.x += off_x / tables;
    found.y += off_y / tables;
    found.squares += 0.5 * (std::pow(off_x / x.u, 2) + std::pow(off_y / y.u, 2)) / tables;
  }
  return found;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("gaps under a straightedge are those of exact circles, on either side, signs included") {
    const station::Station station = table();
    std::mt19937_64 random(112);
    survey::Displaced at = draw(station.grid, {}, random);
    at.dogs = {{"pin-1", 0.01}, {"pin-2", -0.005}, {"pin-3", 0.015}};
    std::mt19937_64 noise(1);
    for (Observation& o : gaps(station, at, true, true, noise)) {
      const auto pin = [&](Hole hole, const std::string& dog) {
        return pin_in(station, at, hole, dog.c_str(), at.dogs.at(dog));
      };
      const double exact = gap_under(pin(o.via[0], o.dog_via[0]), pin(o.via[1], o.dog_via[1]),
                                     pin(o.from, o.dog_from), o.side);
      CHECK(near(survey::exact_value(station, o, at), exact, 0, 1e-9));
    }
  }

  TEST_CASE("gaps on one side or both recover a displaced hole without bias, whichever way it lies") {
    constexpr int kTables = 60;
    for (const Vec by : {Vec{0, 0.4}, Vec{0, -0.4}, Vec{0.4, 0.1}, Vec{-0.4, 0}})
      for (const auto& [left, right] : {std::pair{true, false}, {false, true}, {true, true}}) {
        const bool on_left = left, on_right = right;
        const Found found = recover(by, on_left, on_right, kTables);
        CAPTURE(by.x);
        CAPTURE(by.y);
        CAPTURE(on_left);
        CAPTURE(on_right);
        // one recovery errs by about 0.02 mm; four standard errors of the mean
        CHECK(std::fabs(found.x) < 4 * 0.025 / std::sqrt(kTables));
        CHECK(std::fabs(found.y) < 4 * 0.025 / std::sqrt(kTables));
        CHECK(std::fabs(found.squares - 1) < 0.45);
      }
  }
}
