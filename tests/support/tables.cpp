// SPDX-License-Identifier: MIT
#include "support/tables.hpp"

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
        const std::string name = std::string("keep ") + (keep == Side::left ? "left" : "right") + ", panel " +
                                 (side == PanelSide::before ? "before" : "beyond") + ", rail on " +
                                 (face == Side::left ? "left" : "right") + " faces";
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

std::vector<Case> square_cases() {
  return all_cases(square_setup);
}
std::vector<Case> mitre_cases() {
  return all_cases(mitre_setup);
}

OracleDog& dog_of(Table& table, int number) {
  OracleDog* const dogs[] = {&table.rail_far, &table.rail_near, &table.fence_right, &table.fence_left};
  return *dogs[number];
}

}  // namespace quarterturn::test
