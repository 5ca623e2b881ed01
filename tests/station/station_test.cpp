// SPDX-License-Identifier: MIT
#include "station/station.hpp"

#include <doctest/doctest.h>

#include <functional>
#include <limits>
#include <string>

#include "support/tables.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using station::PanelSide;
using station::Side;
using station::Station;
using units::Length;

namespace {

Station good() {
  Station table = test::bare_table();
  table.setups["crosscut"] = test::square_setup(Side::left, PanelSide::before, Side::right);
  table.rails["long"] = {"long", Length::from_mm(1400), Length::from_mm(180), false};
  table.setups["crosscut"].rail_name = "long";
  table.shims = {{"foil tape", Length::from_mm(0.07), Length::from_mm(0.005), 8, false}};
  return table;
}

/// The path that validate() blames after `spoil`.
std::string blamed(const std::function<void(Station&)>& spoil) {
  Station table = good();
  spoil(table);
  try {
    station::validate(table);
  } catch (const units::InputError& error) {
    CHECK(!error.must_be().empty());
    return error.subject();
  }
  return "nothing";
}

}  // namespace

TEST_SUITE("station") {
  TEST_CASE("a good station passes, every quadrant and mitre") {
    CHECK_NOTHROW(station::validate(good()));
    for (const auto& c : test::every_case()) {
      CHECK_NOTHROW(station::validate(c.station));
    }
  }

  TEST_CASE("the grid knows which holes were drilled") {
    Station table = good();
    table.grid.missing = {{1, 1}};
    CHECK(!table.grid.has({1, 1}));
    CHECK(table.grid.has({11, 13}));
    CHECK(!table.grid.has({12, 13}));
    CHECK(!table.grid.has({11, 14}));
    CHECK(!table.grid.has({0, 1}));
    CHECK(!table.grid.has({1, 0}));
  }

  TEST_CASE("each rule names the path of its fault") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK(blamed([](Station&) {}) == "nothing");
    CHECK(blamed([](Station& s) { s.name.clear(); }) == "name");
    CHECK(blamed([](Station& s) { s.grid.pitch = Length::from_mm(0); }) == "grid.pitch_mm");
    CHECK(blamed([&](Station& s) { s.grid.pitch = Length::from_mm(nan); }) == "grid.pitch_mm");
    CHECK(blamed([](Station& s) { s.grid.columns = 0; }) == "grid.columns");
    CHECK(blamed([](Station& s) { s.grid.columns = 2000; }) == "grid.columns");
    CHECK(blamed([](Station& s) { s.grid.rows = -3; }) == "grid.rows");
    CHECK(blamed([](Station& s) { s.grid.rows = 9000; }) == "grid.rows");
    CHECK(blamed([](Station& s) { s.grid.hole_diameter = Length::from_mm(97); }) == "grid.hole_diameter_mm");
    CHECK(blamed([](Station& s) { s.grid.drill_scatter = Length::from_mm(-1); }) == "grid.drill_scatter_mm");
    CHECK(blamed([](Station& s) { s.grid.missing = {{1, 1}, {40, 1}}; }) == "grid.missing[1]");
    CHECK(blamed([](Station& s) { s.dogs["tall-1"].diameter = Length::from_mm(-20); }) ==
          "dogs.tall-1.diameter_mm");
    CHECK(blamed([](Station& s) { s.dogs["tall-1"].eccentric = Length::from_mm(11); }) ==
          "dogs.tall-1.eccentric_mm");
    CHECK(blamed([](Station& s) { s.dogs["tall-1"].eccentric_deg = 400.0; }) == "dogs.tall-1.eccentric_deg");
    CHECK(blamed([](Station& s) { s.dogs["low-1"].play = Length::from_mm(-0.1); }) == "dogs.low-1.play_mm");
    CHECK(blamed([](Station& s) { s.rails["long"].length = Length::from_mm(0); }) == "rails.long.length_mm");
    CHECK(blamed([](Station& s) { s.rails["long"].width = Length::from_mm(-1); }) == "rails.long.width_mm");
    CHECK(blamed([](Station& s) { s.shims[0].name.clear(); }) == "shims[0].name");
    CHECK(blamed([](Station& s) { s.shims.push_back(s.shims[0]); }) == "shims[1].name");
    CHECK(blamed([](Station& s) { s.shims[0].layer = Length::from_mm(0); }) == "shims[0].layer_mm");
    CHECK(blamed([](Station& s) { s.shims[0].uncertainty = Length::from_mm(0.07); }) ==
          "shims[0].uncertainty_mm");
    CHECK(blamed([](Station& s) { s.shims[0].layers = 0; }) == "shims[0].layers");
    CHECK(blamed([](Station& s) { s.shims.resize(41, s.shims[0]); }) == "shims");
  }

  TEST_CASE("each rule of a setup names the path of its fault") {
    const auto spoiled = [](const std::function<void(station::Setup&)>& spoil) {
      return blamed([&](Station& s) { spoil(s.setups["crosscut"]); });
    };
    CHECK(spoiled([](station::Setup& s) {
            s.rail.second.hole = {6, 14};
          }) == "setups.crosscut.rail.far.hole");
    CHECK(blamed([](Station& s) { s.grid.missing = {{6, 2}}; }) == "setups.crosscut.rail.near.hole");
    CHECK(spoiled([](station::Setup& s) { s.fence.first.hole = s.rail.first.hole; }) ==
          "setups.crosscut.fence.left.hole");
    CHECK(spoiled([](station::Setup& s) { s.fence.first.dog = "low-3"; }) ==
          "setups.crosscut.fence.left.dog");
    CHECK(spoiled([](station::Setup& s) { s.fence.first.dog = "tall-1"; }) ==
          "setups.crosscut.fence.left.dog");
    CHECK(spoiled([](station::Setup& s) { std::swap(s.rail.first, s.rail.second); }) ==
          "setups.crosscut.rail.far.hole");
    CHECK(spoiled([](station::Setup& s) { std::swap(s.fence.first, s.fence.second); }) ==
          "setups.crosscut.fence.right.hole");
    CHECK(spoiled([](station::Setup& s) { s.rail_name = "lonk"; }) == "setups.crosscut.rail.rail");
    CHECK(spoiled([](station::Setup& s) { s.nominal_deg = 0; }) == "setups.crosscut.nominal_deg");
    CHECK(spoiled([](station::Setup& s) { s.nominal_deg = 45; }) == "setups.crosscut.nominal_deg");
    CHECK(spoiled([](station::Setup& s) { s.rail.second.hole = {7, 10}; }) == "setups.crosscut.nominal_deg");
    CHECK(spoiled([](station::Setup& s) { s.tolerance = units::Tolerance::from_deg(-0.01); }) ==
          "setups.crosscut.tolerance");
    CHECK(spoiled([](station::Setup& s) {
            s.bar = station::Bar{Length::from_mm(200), {}, {}};
          }) == "setups.crosscut.fence.bar.length_mm");
    CHECK(spoiled([](station::Setup& s) {
            s.bar = station::Bar{Length::from_mm(600), Length::from_mm(25), {}};
          }) == "setups.crosscut.fence.bar.bow_mm");
    CHECK(spoiled([](station::Setup& s) {
            s.bar = station::Bar{Length::from_mm(600), {}, Length::from_mm(-25)};
          }) == "setups.crosscut.fence.bar.taper_mm");
  }

  TEST_CASE("a mistyped dog or rail gets its nearest name") {
    Station table = good();
    table.setups["crosscut"].rail.first.dog = "tal-1";
    try {
      station::validate(table);
      FAIL("accepted");
    } catch (const units::InputError& error) {
      CHECK(error.value() == "tal-1");
      CHECK(error.hint().find("tall-1") != std::string::npos);
    }
  }

  TEST_CASE("a setup is found by name, or as the only one") {
    Station table = good();
    CHECK(table.setup("").name == "crosscut");
    CHECK(table.setup("crosscut").name == "crosscut");
    table.setups["mitre"] = test::mitre_setup(Side::left, PanelSide::before, Side::right);
    CHECK_THROWS_AS((void)table.setup(""), units::InputError);
    try {
      (void)table.setup("crosscutt");
      FAIL("found");
    } catch (const units::InputError& error) {
      CHECK(error.must_be().find("mitre") != std::string::npos);
      CHECK(error.hint().find("crosscut") != std::string::npos);
    }
    table.setups.clear();
    CHECK_THROWS_AS((void)table.setup(""), units::InputError);
  }
}
