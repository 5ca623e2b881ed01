// SPDX-License-Identifier: MIT
#include "support/tables.hpp"

#include <numbers>
#include <utility>

namespace quarterturn::test {
namespace {

using station::PanelSide;
using station::Side;

std::vector<Case> all_cases(station::Setup (*make)(Side, PanelSide, Side)) {
  std::vector<Case> cases;
  for (const Side keep : {Side::left, Side::right}) {
    for (const PanelSide side : {PanelSide::before, PanelSide::beyond}) {
      for (const Side face : {Side::left, Side::right}) {
        const station::Setup setup = make(keep, side, face);
        const std::string name = setup.name + ": keep " + (keep == Side::left ? "left" : "right") +
                                 ", panel " + (side == PanelSide::before ? "before" : "beyond") +
                                 ", rail on " + (face == Side::left ? "left" : "right") + " faces";
        station::Station table = bare_table();
        table.setups[setup.name] = setup;
        cases.push_back({name, table, setup});
      }
    }
  }
  return cases;
}

}  // namespace

station::Station bare_table() {
  station::Station station;
  station.name = "bench";
  station.grid.pitch = units::Length::from_mm(96);  // common practice, no source
  station.grid.columns = 11;
  station.grid.rows = 13;
  station.grid.hole_diameter = units::Length::from_mm(20);  // common practice, no source
  for (const char* name : {"tall-1", "tall-2", "low-1", "low-2"}) {
    station::Dog dog;
    dog.name = name;
    dog.diameter = units::Length::from_mm(20);
    dog.held = station::Held::screwed;
    station.dogs[name] = dog;
  }
  return station;
}

station::Setup square_setup(Side keep, PanelSide side, Side face) {
  station::Setup setup;
  setup.name = "crosscut";
  setup.rail = {{{6, 2}, "tall-1"}, {{6, 10}, "tall-2"}};
  setup.rail_on_face = face;
  const int row = side == PanelSide::before ? 9 : 3;
  const int column = keep == Side::left ? 2 : 7;
  setup.fence = {{{column, row}, "low-1"}, {{column + 3, row}, "low-2"}};
  setup.panel_side = side;
  setup.keep = keep;
  setup.tolerance = units::Tolerance::from_mm_over(units::Length::from_mm(0.1), units::Length::from_mm(600));
  return setup;
}

station::Setup mitre_setup(Side keep, PanelSide side, Side face) {
  station::Setup setup;
  setup.name = "mitre";
  setup.nominal_deg = 45;
  setup.rail = {{{3, 3}, "tall-1"}, {{9, 9}, "tall-2"}};
  setup.rail_on_face = face;
  const int column = keep == Side::left ? 2 : 8;
  setup.fence = {{{column, 6}, "low-1"}, {{column + 2, 6}, "low-2"}};
  setup.panel_side = side;
  setup.keep = keep;
  return setup;
}

station::Setup counter_mitre_setup(Side keep, PanelSide side, Side face) {
  station::Setup setup = mitre_setup(keep, side, face);
  setup.name = "counter-mitre";
  setup.nominal_deg = 135;
  setup.rail = {{{9, 3}, "tall-1"}, {{3, 9}, "tall-2"}};
  return setup;
}

std::vector<Case> square_cases() {
  return all_cases(square_setup);
}
std::vector<Case> mitre_cases() {
  auto cases = all_cases(mitre_setup);
  for (auto& c : all_cases(counter_mitre_setup)) cases.push_back(std::move(c));
  return cases;
}

std::vector<Case> every_case() {
  auto cases = square_cases();
  for (auto& c : mitre_cases()) cases.push_back(std::move(c));
  return cases;
}

double nominal_corner_rad(const Case& table) {
  const double lines_rad = table.setup.nominal_deg * std::numbers::pi / 180;
  const bool vertical_angle =
      (table.setup.keep == Side::right) == (table.setup.panel_side == PanelSide::beyond);
  return vertical_angle ? lines_rad : std::numbers::pi - lines_rad;
}

Table knocked_table(const Case& c) {
  Table table = table_of(c.station, c.setup);
  table.rail_far.shift = {0.3, -0.2};
  table.rail_near.shift = {-0.05, 0.1};
  table.fence_right.shift = {0.1, -0.15};
  table.fence_left.shift = {-0.1, 0.12};
  return table;
}

OracleDog& dog_of(Table& table, int number) {
  OracleDog* const dogs[] = {&table.rail_far, &table.rail_near, &table.fence_right, &table.fence_left};
  return *dogs[number];
}

}  // namespace quarterturn::test
