// SPDX-License-Identifier: MIT
#include "app/kept_things.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "app/typed_readings.hpp"
#include "correct/after_move.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using quarterturn::test::near;

namespace {

class MemoryStore : public station::Store {
 public:
  [[nodiscard]] std::vector<std::string> list() const override {
    std::vector<std::string> names;
    for (const auto& [name, station] : stations) names.push_back(name);
    return names;
  }
  [[nodiscard]] station::Station find(const std::string& name) const override {
    const auto found = stations.find(name);
    if (found == stations.end()) throw units::InputError("station", name, "one that is there");
    return found->second;
  }
  void save(const station::Station& station) override { stations[station.name] = station; }
  void rename(const std::string& from, const std::string& to) override {
    auto station = find(from);
    stations.erase(from);
    station.name = to;
    save(station);
  }
  std::map<std::string, station::Station> stations;
};

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("a station is added once and only when it hangs together") {
    MemoryStore store;
    app::add_station(store, test::dock());
    CHECK(store.list().size() == 1);
    CHECK_THROWS_AS(app::add_station(store, test::dock()), units::InputError);
    auto wrong = test::dock();
    wrong.name = "loft";
    wrong.setups.at("crosscut").fence.second.hole = wrong.setups.at("crosscut").fence.first.hole;
    CHECK_THROWS_AS(app::add_station(store, wrong), units::InputError);
    CHECK(store.list().size() == 1);
  }

  TEST_CASE("each settable thing is set, and nothing else is saved when it is wrong") {
    MemoryStore store;
    app::add_station(store, test::dock());
    const std::map<std::string, std::string> good{
        {"tolerance", "0.2 over 600"}, {"keep", "right"},     {"rail-on-face", "left"},
        {"panel-side", "beyond"},      {"rail-near", "E1"},   {"rail-far", "E11"},
        {"fence-left", "B9"},          {"fence-right", "I9"}, {"drill-scatter", "0.05"}};
    for (const auto& what : app::settable()) {
      CAPTURE(what);
      REQUIRE(good.contains(what));
      app::set_in_station(store, "dock", what, good.at(what));
    }
    const auto setup = store.find("dock").setup("crosscut");
    CHECK(setup.keep == station::Side::right);
    CHECK(setup.rail_on_face == station::Side::left);
    CHECK(setup.panel_side == station::PanelSide::beyond);
    CHECK(setup.rail.second.hole.name() == "E11");
    CHECK(setup.fence.second.hole.name() == "I9");
    CHECK(near(setup.tolerance->angle.rad(), 0.2 / 600, 1e-12, 0));
    CHECK(near(store.find("dock").grid.drill_scatter->mm(), 0.05, 1e-12, 0));
    CHECK_THROWS_AS(app::set_in_station(store, "dock", "colour", "red"), units::InputError);
    CHECK_THROWS_AS(app::set_in_station(store, "dock", "rail-far", "E99"), units::InputError);
    CHECK(store.find("dock").setup("crosscut").rail.second.hole.name() == "E11");
  }

  TEST_CASE("shims as people write them") {
    const auto foil = app::parse_shim("foil tape 8 layers 0.56");
    CHECK(foil.name == "foil tape");
    CHECK(foil.layers == 8);
    CHECK(near(foil.layer.mm(), 0.07, 1e-12, 0));
    CHECK(near(foil.uncertainty.mm(), 0.005, 1e-12, 0));
    CHECK(!foil.hard);
    const auto card = app::parse_shim("card 0.25 mm hard");
    CHECK(card.layers == 1);
    CHECK(card.hard);
    CHECK(near(card.uncertainty.mm(), 0.0125, 1e-12, 0));
    CHECK(near(app::parse_shim("steel 0.010 in hard").layer.mm(), 0.254, 1e-12, 0));
    CHECK(near(app::parse_shim("paper 10 layers 1.0 +- 0.002").uncertainty.mm(), 0.002, 1e-12, 0));
    for (const char* bad :
         {"", "foil", "0.07", "foil 0 layers 0.5", "foil 8 layers", "foil 20", "foil 0.07 +- 0.2"}) {
      CAPTURE(bad);
      CHECK_THROWS_AS(app::parse_shim(bad), units::InputError);
    }
  }

  TEST_CASE("shims and calipers are kept by name, replaced, removed") {
    MemoryStore store;
    app::add_station(store, test::dock());
    app::add_shim(store, "dock", app::parse_shim("card 0.25"));
    app::add_shim(store, "dock", app::parse_shim("card 0.30"));
    REQUIRE(store.find("dock").shims.size() == 2);
    CHECK(near(store.find("dock").shims.back().layer.mm(), 0.30, 1e-12, 0));
    app::remove_shim(store, "dock", "card");
    CHECK(store.find("dock").shims.size() == 1);
    CHECK_THROWS_AS(app::remove_shim(store, "dock", "card"), units::InputError);
    CHECK_THROWS_AS(app::add_caliper(store, "dock", {"pocket", "golden"}), units::InputError);
    app::add_caliper(store, "dock", {"pocket", "digital"});
    CHECK(store.find("dock").calipers.size() == 2);
    app::remove_caliper(store, "dock", "pocket");
    CHECK(store.find("dock").calipers.size() == 1);
  }

  TEST_CASE("a trial of ten readings: standard deviation and how well it is known") {
    const auto trial = app::trial_of(app::readings_of("9 8 10 9 9 7 9 8 10 9", "trial", units::Unit::mm));
    // By hand: mean 8.8, squares 7.6, sd sqrt(7.6/9).
    CHECK(near(trial.mean_mm, 8.8, 1e-12, 0));
    CHECK(near(trial.caliper.repeatability_mm, std::sqrt(7.6 / 9), 1e-12, 0));
    // JCGM 100:2008, table E.1: the relative standard deviation of s of ten readings is 24 %.
    CHECK(near(trial.caliper.reliability, 0.24, 0, 0.005));
    CHECK_THROWS_AS(app::trial_of(app::readings_of("9 8", "trial", units::Unit::mm)), units::InputError);
    const auto equal = app::trial_of(app::readings_of("9.00 9.00 9.00", "trial", units::Unit::mm));
    CHECK(near(equal.caliper.repeatability_mm, 0.01 / std::sqrt(12.0), 1e-12, 0));
  }

  TEST_CASE("after a move: each slip leaves its own reading") {
    // Was 0.60, moved by -0.57 (METHOD.md (M48)).
    const correct::Expected expected{0.60, 0.03, 0.02, 1.17, -1.17, -0.03};
    const auto only = [&](double measured) {
      const auto near_ones = correct::after_move(expected, measured);
      REQUIRE(near_ones.size() == 1);
      return near_ones.front();
    };
    CHECK(only(0.04) == correct::AfterMove::done);
    CHECK(only(1.15) == correct::AfterMove::wrong_dog_or_face);
    CHECK(only(-1.18) == correct::AfterMove::f_wrong_before);
    CHECK(only(0.58) == correct::AfterMove::nothing_moved);
    CHECK(correct::after_move(expected, 0.3).empty());
    // A level strip cannot show a wrong F.
    const auto level = correct::after_move(expected, -0.005);
    CHECK(std::find(level.begin(), level.end(), correct::AfterMove::f_wrong_now) == level.end());
  }
}
