// SPDX-License-Identifier: MIT
/// Every means, offered where the station's data make it possible, and what it does carried out on exact
/// dogs.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <set>

#include "requests.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"

using namespace quarterturn;
using correct::Means;
using correct::WhichDog;
using test::near;
using units::Length;

namespace {

/// Case 1: keep left, panel before the fence, rail on the right faces of F2 and F10, fence B9-E9.
test::Case plain() {
  return test::square_cases()[1];
}

/// The move of that means on that dog.
correct::Move move_of(const test::Case& c, double eps_rad, Means means, WhichDog dog = WhichDog::none) {
  const auto advice = correct::advise(test::request_for(c, eps_rad));
  for (const auto& move : advice.moves) {
    if (move.means == means && move.dog == dog) return move;
  }
  FAIL("not offered");
  return {};
}
bool offered(const test::Case& c, double eps_rad, Means means) {
  return !test::moves_of(correct::advise(test::request_for(c, eps_rad)), means).empty();
}

/// Where the dog's eccentricity puts its circle.
test::Point eccentric_at(double mm, double deg) {
  const double rad = deg * std::numbers::pi / 180;
  return {mm * std::cos(rad), mm * std::sin(rad)};
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE("a station that has everything is offered every means but other holes, which need a survey") {
    auto c = plain();
    c.station.shims = {test::shim("foil tape", 0.07, 8)};
    c.station.rails["long"] = {"long", Length::from_mm(1400), Length::from_mm(0), false};
    c.station.rails["spare"] = {"spare", Length::from_mm(1400), Length::from_mm(0), false};
    c.setup.rail_name = "long";
    c.setup.bar = station::Bar{Length::from_mm(600), {}, Length::from_mm(0.1)};
    c.station.dogs["tall-1"].diameter = Length::from_mm(19.9);
    c.station.dogs["tall-2"].eccentric = Length::from_mm(0.1);
    c.station.dogs["tall-2"].eccentric_deg = 180;
    c.station.dogs["low-1"].held = station::Held::pushed;
    station::Dog bush;
    bush.name = "bush";
    bush.diameter = Length::from_mm(20);
    bush.eccentric = Length::from_mm(0.5);
    c.station.dogs["bush"] = bush;
    station::validate(c.station);
    std::set<Means> reached;
    for (const double eps : {-3e-4, 3e-4}) {
      for (const auto& move : correct::advise(test::request_for(c, eps)).moves) {
        reached.insert(move.means);
        CHECK(!move.text.empty());
        CHECK(move.minutes > 0);
        CHECK(move.undoable == correct::means_row(move.means).undoable);
      }
    }
    for (const Means means :
         {Means::shift, Means::shim, Means::re_seat, Means::turn_dog, Means::eccentric, Means::exchange_dogs,
          Means::turn_bar, Means::other_rail, Means::wider_pair, Means::re_bore}) {
      CAPTURE(correct::means_row(means).word);
      CHECK(reached.contains(means));
    }
    CHECK(!reached.contains(Means::other_holes));
  }

  TEST_CASE("a plain station is offered only what it can do") {
    const auto c = plain();
    for (const double eps : {-3e-4, 3e-4}) {
      for (const Means means : {Means::re_seat, Means::turn_dog, Means::eccentric, Means::exchange_dogs,
                                Means::turn_bar, Means::other_rail, Means::other_holes}) {
        CAPTURE(correct::means_row(means).word);
        CHECK(!offered(c, eps, means));
      }
      CHECK(offered(c, eps, Means::shift));
      CHECK(offered(c, eps, Means::re_bore));
      CHECK(offered(c, eps, Means::shim));  // a thickness to be found
    }
  }

  TEST_CASE("the table of means has the words of the format, once each") {
    std::set<std::string_view> words;
    for (int i = 0; i <= static_cast<int>(Means::re_bore); ++i) {
      const auto& row = correct::means_row(static_cast<Means>(i));
      CHECK(row.means == static_cast<Means>(i));
      words.insert(row.word);
      CHECK(row.minutes > 0);
      CHECK(!row.care.empty());
    }
    CHECK(words == std::set<std::string_view>{"shift", "shim", "re-seat", "turn-dog", "eccentric",
                                              "exchange-dogs", "turn-bar", "other-rail", "wider-pair",
                                              "other-holes", "re-bore"});
  }

  TEST_CASE("shims on exact dogs do what they promise, every quadrant and face, either sign, mitres too") {
    for (auto c : test::every_case()) {
      c.station.shims = {test::shim("foil tape", 0.07, 8, false, 0.002), test::shim("paper", 0.1, 4)};
      for (const double eps : {-4e-4, 4e-4}) {
        const auto shims = test::moves_of(correct::advise(test::request_for(c, eps)), Means::shim);
        CHECK(shims.size() == 2);  // one dog of the rail, one of the fence
        for (const auto& move : shims) {
          CAPTURE(c.name);
          CAPTURE(move.text);
          double thick = 0;
          for (const auto& part : move.parts) thick += part.layers * (part.shim == "paper" ? 0.1 : 0.07);
          auto table = test::table_of(c.station, c.setup);
          test::dog_of(table, test::number_of(move.dog)).shim_mm = thick;
          CHECK(near(test::exact_eps(table), move.moved_rad, 1e-5, 0));
          CHECK(move.moved_rad * eps < 0);
          CHECK(near(move.remaining_rad, eps + move.moved_rad, 1e-12, 0));
          CHECK(near(move.remaining_u_rad, std::hypot(3e-5, move.u_action_rad), 1e-12, 0));
          // the line at that dog moves by the stack
          CHECK(near(std::hypot(move.shift_x_mm, move.shift_y_mm), thick, 1e-12, 0));
        }
      }
    }
  }

  TEST_CASE("the stack brings eps nearer to zero than one layer more or less would") {
    auto c = plain();
    c.station.shims = {test::shim("foil tape", 0.07, 8, false, 0.001)};
    const auto move = move_of(c, 2.8e-4, Means::shim, WhichDog::rail_far);
    REQUIRE(move.parts.size() == 1);
    CHECK(move.parts[0].layers == 3);  // 0.215 mm wanted
    CHECK(near(move.one_layer_rad, 0.07 / 768, 1e-12, 0));
    CHECK(std::fabs(move.remaining_rad) < move.one_layer_rad / 2);
    CHECK(move.text ==
          "3 layers of foil tape on the FAR rail dog (F10), right face, where the rail touches.");
    CHECK(move.face == "right");
    CHECK(move.hole->name() == "F10");
  }

  TEST_CASE("a dog that is only pushed in is seated before it is shimmed, and seating is offered by itself") {
    auto c = plain();
    c.station.shims = {test::shim("foil tape", 0.07, 8)};
    c.station.dogs["tall-2"].held = station::Held::pushed;
    c.station.dogs["tall-2"].play = Length::from_mm(0.12);
    const auto shim = move_of(c, 2.8e-4, Means::shim, WhichDog::rail_far);
    CHECK(shim.text.starts_with("First clean hole F10 and push its dog home; then 3 layers of foil tape"));
    const auto seat = move_of(c, 2.8e-4, Means::re_seat, WhichDog::rail_far);
    CHECK(seat.bound_only);
    CHECK(near(seat.moved_rad, -0.12 / 768, 1e-12, 0));
    CHECK(near(seat.u_action_rad, 0.03 / 768, 1e-12, 0));  // sd of a place anywhere in a hole: play/4
    CHECK(seat.remaining_rad == 2.8e-4);
    CHECK(!seat.advised);
    CHECK(seat.text.find("F10") != std::string::npos);
  }

  TEST_CASE("a dog turned on its pin, half a turn and quarters, on exact dogs, mitres too") {
    for (auto c : test::every_case()) {
      for (const double deg : {10.0, 100.0, 190.0, 280.0}) {
        for (const double eps : {-3e-4, 3e-4}) {
          c.station.dogs["tall-2"].eccentric = Length::from_mm(0.12);
          c.station.dogs["tall-2"].eccentric_deg = deg;
          for (const auto& move :
               test::moves_of(correct::advise(test::request_for(c, eps)), Means::turn_dog)) {
            CAPTURE(c.name);
            CAPTURE(move.text);
            const double turn = move.text.find("half") != std::string::npos                ? 180
                                : move.text.find("counter-clockwise") != std::string::npos ? 90
                                                                                           : 270;
            auto table = test::table_of(c.station, c.setup);
            table.rail_far.shift = eccentric_at(0.12, deg);
            const double before = test::exact_eps(table);
            table.rail_far.shift = eccentric_at(0.12, deg + turn);
            // the turn also carries the dog along its line: second order, 0.2 mm of 768
            CHECK(near(test::exact_eps(table) - before, move.moved_rad, 1e-3, 0));
            CHECK(std::fabs(eps + move.moved_rad) < std::fabs(eps));
          }
        }
      }
    }
    auto c = plain();  // contact normal along +x: half a turn carries the contact by -2 e cos psi
    c.station.dogs["tall-2"].eccentric = Length::from_mm(0.12);
    c.station.dogs["tall-2"].eccentric_deg = 180;
    CHECK(near(move_of(c, 3e-4, Means::turn_dog, WhichDog::rail_far).moved_rad, -2 * 0.12 / 768, 1e-12, 0));
    CHECK(near(move_of(c, 1.5e-4, Means::turn_dog, WhichDog::rail_far).moved_rad, -0.12 / 768, 1e-12,
               0));  // a quarter
  }

  TEST_CASE("a dog whose eccentricity has no known direction promises a bound only") {
    auto c = plain();
    c.station.dogs["tall-2"].eccentric = Length::from_mm(0.05);
    const auto move = move_of(c, 3e-4, Means::turn_dog, WhichDog::rail_far);
    CHECK(move.bound_only);
    CHECK(near(move.moved_rad, -2 * 0.05 / 768, 1e-12, 0));
    CHECK(near(move.numbers.at("most"), 0.1, 1e-12, 0));
    CHECK(move.remaining_rad == 3e-4);
    CHECK(!offered(c, 3e-4, Means::eccentric));
    CHECK(near(move_of(c, -3e-4, Means::turn_dog, WhichDog::rail_far).moved_rad, +2 * 0.05 / 768, 1e-12, 0));
  }

  TEST_CASE("an eccentric dog or bush carries the contact exactly where it is wanted, if it reaches") {
    auto c = plain();
    station::Dog bush;
    bush.diameter = Length::from_mm(20.1);
    bush.eccentric = Length::from_mm(0.4);
    c.station.dogs["bush"] = bush;
    const auto advice = correct::advise(test::request_for(c, 3e-4));
    const auto moves = test::moves_of(advice, Means::eccentric);
    REQUIRE(moves.size() == 4);
    for (const auto& move : moves) {
      CHECK(move.text.find("Put dog bush in place of the") == 0);
      CHECK(near(move.moved_rad, -advice.decision.mu, 1e-12, 0));
    }
    // 0.92 mm at the rail is out of reach, 0.35 mm at the fence is not
    CHECK(test::moves_of(correct::advise(test::request_for(c, 1.2e-3)), Means::eccentric).size() == 2);
    auto own = plain();
    own.station.dogs["tall-2"].eccentric = Length::from_mm(0.3);
    own.station.dogs["tall-2"].eccentric_deg = 90;
    CHECK(
        move_of(own, 3e-4, Means::eccentric, WhichDog::rail_far).text.find("Loosen the FAR rail dog (F10)") ==
        0);
  }

  TEST_CASE("an eccentric dog loosened and turned until the line has moved by what is asked, on exact dogs") {
    for (auto c : test::every_case()) {
      for (const double eps : {-3e-4, 3e-4}) {
        for (const char* name : {"tall-1", "tall-2", "low-1", "low-2"}) {
          c.station.dogs[name].eccentric = Length::from_mm(0.3);
          c.station.dogs[name].eccentric_deg = 80;
        }
        const auto moves = test::moves_of(correct::advise(test::request_for(c, eps)), Means::eccentric);
        CHECK(moves.size() >= 2);
        for (const auto& move : moves) {
          CAPTURE(c.name);
          CAPTURE(move.text);
          auto table = test::table_of(c.station, c.setup);
          for (int i = 0; i < 4; ++i) test::dog_of(table, i).shift = eccentric_at(0.3, 80);
          const double before = test::exact_eps(table);
          // Turned step by step until the dog's contact has been carried by the amount, along the normal.
          auto& dog = test::dog_of(table, test::number_of(move.dog));
          const auto normal =
              (test::number_of(move.dog) < 2 ? test::rail_line(table) : test::fence_line(table)).normal;
          const auto carried_off = [&](double deg) {
            const auto to = eccentric_at(0.3, deg), from = eccentric_at(0.3, 80);
            return (to.x - from.x - move.shift_x_mm) * normal.x +
                   (to.y - from.y - move.shift_y_mm) * normal.y;
          };
          double turned_deg = 80, best = std::fabs(carried_off(80));
          for (int i = 1; i < 36000; ++i) {
            const double off = std::fabs(carried_off(80 + 0.01 * i));
            if (off < best) best = off, turned_deg = 80 + 0.01 * i;
          }
          dog.shift = eccentric_at(0.3, turned_deg);
          // a step is 5e-5 mm of contact; the dog is carried along its line as well: second order
          CHECK(near(test::exact_eps(table) - before, move.moved_rad, 3e-3, 6e-5 / 192));
          CHECK(move.moved_rad * eps < 0);
        }
      }
    }
  }

  TEST_CASE("dogs of unequal diameter exchanged, on exact dogs, mitres too") {
    for (auto c : test::every_case()) {
      CAPTURE(c.name);
      c.station.dogs["tall-2"].diameter = Length::from_mm(20.12);
      c.station.dogs["low-1"].diameter = Length::from_mm(19.95);
      int offers = 0;
      for (const double push_mm : {-0.4, 0.4}) {
        auto table = test::table_of(c.station, c.setup);
        const auto m = station::geometry_of(c.station, c.setup).rail->m;  // square to the rail
        table.rail_far.shift = {push_mm * m.x, push_mm * m.y};
        const double eps = test::exact_eps(table);
        for (const auto& move :
             test::moves_of(correct::advise(test::request_for(c, eps)), Means::exchange_dogs)) {
          ++offers;
          auto exchanged = table;
          const bool rail = move.text.find("rail") != std::string::npos;
          if (rail) std::swap(exchanged.rail_near.diameter_mm, exchanged.rail_far.diameter_mm);
          if (!rail) std::swap(exchanged.fence_left.diameter_mm, exchanged.fence_right.diameter_mm);
          CHECK(near(test::exact_eps(exchanged) - eps, move.moved_rad, 1e-5, 0));
          CHECK(move.dog == WhichDog::none);
        }
      }
      CHECK(offers == 2);  // each pair where it helps, and not where it harms
    }
    auto c = plain();
    c.station.dogs["tall-1"].eccentric = Length::from_mm(0.03);
    CHECK(move_of(c, 3e-4, Means::exchange_dogs).bound_only);
    CHECK(near(move_of(c, 3e-4, Means::exchange_dogs).moved_rad, -0.06 / 768, 1e-12, 0));
  }

  TEST_CASE("a tapered bar turned end for end, on an exact bar, mitres too") {
    for (auto c : test::every_case()) {
      for (const double taper : {-0.12, 0.12}) {
        CAPTURE(c.name);
        c.setup.bar = station::Bar{Length::from_mm(600), {}, Length::from_mm(taper)};
        auto table = test::table_of(c.station, c.setup);
        const double eps = test::exact_eps(table);
        const auto move = move_of(c, 2 * eps, Means::turn_bar);  // as much again from somewhere else
        table.bar->taper_mm = -taper;
        CHECK(near(test::exact_eps(table) - eps, move.moved_rad, 1e-6, 0));
        CHECK(near(move.remaining_rad, 0, 0, 1e-6 * std::fabs(eps)));
      }
    }
  }

  TEST_CASE("a bar of unknown taper is measured first; one that would make it worse is not offered") {
    auto c = plain();
    c.setup.bar = station::Bar{Length::from_mm(600), {}, {}};
    const auto move = move_of(c, 3e-4, Means::turn_bar);
    CHECK(move.bound_only);
    CHECK(move.moved_rad == 0);
    CHECK(near(move.numbers.at("taper"), 3e-4 * 600 / 2, 0.01, 0));
    c.setup.bar->taper = Length::from_mm(0.1);
    CHECK(offered(c, 3e-4, Means::turn_bar) != offered(c, -3e-4, Means::turn_bar));
    c.setup.bar->taper = Length::from_mm(0);
    CHECK(!offered(c, 3e-4, Means::turn_bar));
  }

  TEST_CASE("another rail, long enough for the pair") {
    auto c = plain();
    c.station.rails["long"] = {"long", Length::from_mm(1400), Length::from_mm(0), false};
    c.station.rails["short"] = {"short", Length::from_mm(700), Length::from_mm(0), false};
    c.setup.rail_name = "long";
    CHECK(!offered(c, 3e-4, Means::other_rail));
    c.station.rails["second"] = {"second", Length::from_mm(1000), Length::from_mm(0), false};
    const auto move = move_of(c, 3e-4, Means::other_rail);
    CHECK(move.bound_only);
    CHECK(move.text.find("'second' instead of 'long'") != std::string::npos);
  }

  TEST_CASE("the widest free pair on the same line, within the rail, clear of saw and panel's edge") {
    auto c = plain();
    const auto wide = move_of(c, 3e-4, Means::wider_pair);
    CHECK(wide.text.find("rail dogs in F1 and F13") != std::string::npos);
    CHECK(near(wide.numbers.at("now"), 768, 1e-12, 0));
    CHECK(near(wide.numbers.at("then"), 12 * 96.0, 1e-12, 0));
    CHECK(wide.bound_only);
    CHECK(near(wide.u_action_rad, std::sqrt(2.0) * 0.1 / (12 * 96), 1e-12, 0));
    c.station.grid.missing = {{6, 13}};
    CHECK(move_of(c, 3e-4, Means::wider_pair).text.find("F1 and F12") != std::string::npos);
    c.station.rails["short"] = {"short", Length::from_mm(900), Length::from_mm(0), false};
    c.setup.rail_name = "short";
    CHECK(move_of(c, 3e-4, Means::wider_pair).text.find("F2 and F11") != std::string::npos);
    // The fence pair B9-E9 stands 106 and 394 mm from the cut: E is next to the saw, A would be 490 mm out.
    for (const auto& move : test::moves_of(correct::advise(test::request_for(c, 3e-4)), Means::wider_pair)) {
      CHECK(move.text.find("fence") == std::string::npos);
    }
    c.setup.tolerance = units::Tolerance::from_mm_over(Length::from_mm(0.15), Length::from_mm(900));
    bool fence = false;
    for (const auto& move : test::moves_of(correct::advise(test::request_for(c, 3e-4)), Means::wider_pair)) {
      fence = fence || move.text.find("fence dogs in A9 and E9") != std::string::npos;
    }
    CHECK(fence);
  }

  TEST_CASE("a rail across the grid is widened along its diagonal") {
    for (const auto& c : test::mitre_cases()) {
      CAPTURE(c.name);
      const auto wide = move_of(c, 3e-4, Means::wider_pair);
      const bool other_diagonal = c.setup.nominal_deg == 135;
      CHECK(wide.text.find(other_diagonal ? "rail dogs in K1 and A11" : "rail dogs in A1 and K11") !=
            std::string::npos);
      CHECK(near(wide.numbers.at("then"), 10 * 96 * std::numbers::sqrt2, 1e-12, 0));
    }
  }

  TEST_CASE("a hole bored anew where it is told, on an exact table, mitres too") {
    for (const auto& c : test::every_case()) {
      auto table = test::table_of(c.station, c.setup);
      const auto geometry = station::geometry_of(c.station, c.setup);
      table.rail_far.shift = {3e-4 * geometry.rail->baseline_mm * geometry.rail->m.x,
                              3e-4 * geometry.rail->baseline_mm * geometry.rail->m.y};
      const double eps = test::exact_eps(table);
      const auto moves = test::moves_of(correct::advise(test::request_for(c, eps)), Means::re_bore);
      REQUIRE(moves.size() == 2);
      for (const auto& move : moves) {
        CAPTURE(c.name);
        CAPTURE(move.text);
        auto bored = table;
        auto& dog = test::dog_of(bored, test::number_of(move.dog));
        dog.shift.x += move.shift_x_mm;
        dog.shift.y += move.shift_y_mm;
        CHECK(near(test::exact_eps(bored), move.remaining_rad, 0, 1e-9));
        CHECK(!move.undoable);
        // told by the grid, from A1
        const auto* post = move.dog == WhichDog::rail_far ? &c.setup.rail.second : &c.setup.fence.second;
        CHECK(near(move.numbers.at("right"), 96 * (post->hole.column - 1) + move.shift_x_mm, 1e-12, 0));
        CHECK(near(move.numbers.at("away"), 96 * (post->hole.row - 1) + move.shift_y_mm, 1e-12, 0));
      }
    }
  }
}
