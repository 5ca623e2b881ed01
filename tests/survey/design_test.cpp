// SPDX-License-Identifier: MIT
#include "survey/design.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "support/oracle.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Kind;
using survey::Taken;

namespace {

OracleDog dog_at(Hole hole, const std::string& dog, const survey::Displaced& at, double stated_mm) {
  const auto moved = at.holes.find(hole);
  const auto over = at.dogs.find(dog);
  OracleDog out;
  out.hole = {kPitchMm * hole.column, kPitchMm * hole.row};
  if (moved != at.holes.end()) out.shift = {moved->second.x, moved->second.y};
  out.diameter_mm = stated_mm + (over == at.dogs.end() ? 0 : 2 * over->second);
  return out;
}

Table table_of_corner(const Observation& o, const survey::Displaced& at, const station::Station& station) {
  const auto dog = [&](Hole hole, const std::string& name) {
    return dog_at(hole, name, at, station.dogs.at(name).diameter.mm());
  };
  Table table;
  table.rail_near = dog(o.from, o.dog_from);
  table.rail_far = dog(o.to, o.dog_to);
  table.fence_left = dog(o.via[0], o.dog_via[0]);
  table.fence_right = dog(o.via[1], o.dog_via[1]);
  table.rail_on_face = o.side;
  table.panel_side = o.panel_side;
  return table;
}

/// One of every kind, on one table.
std::vector<Observation> one_of_each() {
  Observation offset = length_of({4, 3}, {4, 3}, Taken::centre);
  offset.kind = Kind::offset;
  offset.via = {{1, 1}, {9, 1}};
  offset.dog_from = "pin-1";
  offset.dog_via = {"low-1", "low-2"};
  Observation stick = survey::compare({1, 2}, {7, 9}, {7, 2}, {1, 9}, 0, 0.05);
  stick.taken = Taken::inside;
  stick.dog_from = "pin-1";
  stick.dog_to = "pin-2";
  stick.dog_via = {"tall-1", "tall-2"};
  return {length_of({1, 2}, {2, 2}),
          length_of({3, 3}, {9, 11}, Taken::inside),
          length_of({3, 3}, {3, 4}, Taken::centre),
          stick,
          offset,
          check_on(5, 2, 10, 9, 1, 4)};
}

survey::Displaced much_displaced(std::mt19937_64& random, const station::Station& station, double most) {
  Truth truth;
  truth.hole_sd = 1;
  survey::Displaced at = draw(station.grid, truth, random);
  for (auto& entry : at.holes) {
    const double size = std::hypot(entry.second.x, entry.second.y);
    entry.second = (most / size) * entry.second;
  }
  for (const auto& entry : station.dogs) at.dogs[entry.first] = most / 2 * normal(random);
  return at;
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("exact corners are those of a table with exact tangents") {
    station::Station station = survey_table();
    station.dogs["tall-2"].diameter = units::Length::from_mm(20.4);
    station.dogs["low-1"].diameter = units::Length::from_mm(19.7);
    std::mt19937_64 random(3);
    for (int i = 0; i < 20; ++i) {
      const survey::Displaced at = much_displaced(random, station, 0.5);
      Observation o = check_on(5, 2, 10, 9, 1, 4);
      o.side = i % 2 == 0 ? station::Side::left : station::Side::right;
      o.panel_side = i % 4 < 2 ? station::PanelSide::before : station::PanelSide::beyond;
      CAPTURE(i);
      CHECK(near(survey::exact_value(station, o, at), exact_eps(table_of_corner(o, at, station)), 0, 1e-13));
      CHECK(near(survey::nominal_value(station, o), exact_eps(table_of_corner(o, {}, station)), 0, 1e-13));
    }
  }

  TEST_CASE("an offset is the gap between an exact tangent and a third circle") {
    station::Station station = survey_table();
    std::mt19937_64 random(4);
    for (int i = 0; i < 20; ++i) {
      const survey::Displaced at = much_displaced(random, station, 0.5);
      Observation o = one_of_each()[4];
      o.side = i % 2 == 0 ? station::Side::left : station::Side::right;
      Table table;
      table.rail_near = dog_at(o.via[0], o.dog_via[0], at, 20);
      table.rail_far = dog_at(o.via[1], o.dog_via[1], at, 20);
      table.rail_on_face = o.side;
      const TouchLine line = rail_line(table);
      const OracleDog third = dog_at(o.from, o.dog_from, at, 20);
      const Point centre{third.hole.x + third.shift.x, third.hole.y + third.shift.y};
      const double gap = line.normal.x * (line.first.x - centre.x) +
                         line.normal.y * (line.first.y - centre.y) - third.diameter_mm / 2;
      CHECK(near(survey::exact_value(station, o, at), gap, 0, 1e-11));
    }
  }

  TEST_CASE("what is left of first order shrinks with the square of the displacement") {
    const station::Station station = survey_table();
    std::mt19937_64 random(5);
    for (const Observation& o : one_of_each()) {
      double most = 0, change = 0;
      const double per = o.kind == Kind::corner ? 1e-3 : 1;
      for (int i = 0; i < 10; ++i) {
        const survey::Displaced full = much_displaced(random, station, 0.5);
        survey::Displaced part = full;
        for (auto& entry : part.holes) entry.second = 0.1 * entry.second;
        for (auto& entry : part.dogs) entry.second *= 0.1;
        const auto left = [&](const survey::Displaced& at) {
          return survey::exact_value(station, o, at) - survey::nominal_value(station, o) -
                 survey::apply(survey::functional_of(station, o), at);
        };
        CAPTURE(static_cast<int>(o.kind));
        CAPTURE(i);
        CHECK(std::fabs(left(full)) < 0.012 * per);
        CHECK(near(left(part), 0.01 * left(full), 0, 2e-6 * per));
        most = std::max(most, std::fabs(left(full)));
        change = std::max(
            change, std::fabs(survey::exact_value(station, o, full) - survey::nominal_value(station, o)));
      }
      // and it is not the change itself that is small
      CHECK(change > 20 * most);
    }
    // over one pitch, worst case: both holes moved apart across the line
    const Observation o = length_of({1, 1}, {2, 1}, Taken::centre);
    survey::Displaced apart;
    apart.holes[{1, 1}] = {0, -0.5};
    apart.holes[{2, 1}] = {0, 0.5};
    CHECK(near(survey::exact_value(station, o, apart) - 96, 0.00521, 1e-2, 0));
  }

  TEST_CASE("moving or turning the whole table changes nothing that is observed") {
    const station::Station station = survey_table();
    for (const Observation& o : one_of_each()) {
      survey::Displaced moved, turned;
      for (int c = 1; c <= 9; ++c) {
        for (int r = 1; r <= 11; ++r) {
          moved.holes[{c, r}] = {0.3, -0.2};
          turned.holes[{c, r}] = {-1e-3 * kPitchMm * r, 1e-3 * kPitchMm * c};
        }
      }
      const survey::Functional f = survey::functional_of(station, o);
      CHECK(near(survey::apply(f, moved), 0, 0, 1e-14));
      CHECK(near(survey::apply(f, turned), 0, 0, 1e-14));
    }
  }

  TEST_CASE("pitch and shear are what they say") {
    const station::Station station = survey_table();
    const auto effects = [&](const Observation& o) {
      return survey::effects_in(station.grid, survey::functional_of(station, o));
    };
    const auto along_x = effects(length_of({2, 3}, {6, 3}));
    CHECK(near(along_x[0], 4 * kPitchMm, 1e-14, 0));
    CHECK(near(along_x[1], 0, 0, 1e-12));
    CHECK(near(along_x[2], 0, 0, 1e-12));
    CHECK(near(effects(length_of({2, 3}, {2, 7}))[1], 4 * kPitchMm, 1e-14, 0));
    // columns and rows over 90 degrees: eps is that of every setup, and the rising diagonal shorter
    CHECK(near(effects(check_on(5, 2, 10, 9, 1, 4))[2], 1, 1e-13, 0));
    const auto rising = effects(length_of({1, 1}, {9, 11}));
    CHECK(near(rising[2], -768.0 * 960 / std::hypot(768, 960), 1e-13, 0));
  }

  TEST_CASE("eps by first order counts dogs as the table with exact tangents does") {
    const station::Station station = survey_table();
    for (const auto& [side, panel] : {std::pair{station::Side::left, station::PanelSide::before},
                                      std::pair{station::Side::right, station::PanelSide::beyond}}) {
      Observation o = check_on(5, 2, 10, 9, 1, 4);
      o.side = side;
      o.panel_side = panel;
      survey::Displaced at;
      at.dogs = {{"tall-1", 0.02}, {"tall-2", -0.01}, {"low-1", 0.03}, {"low-2", 0.005}};
      const double first_order = survey::apply(survey::functional_of(station, o), at);
      CHECK(near(first_order, exact_eps(table_of_corner(o, at, station)), 1e-6, 1e-12));
      CHECK(std::fabs(first_order) > 4e-5);
    }
  }
}
