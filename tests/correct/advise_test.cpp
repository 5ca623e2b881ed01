// SPDX-License-Identifier: MIT
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "requests.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using correct::Correct;
using correct::Means;
using correct::WhichDog;
using test::near;
using units::Length;

namespace {

constexpr double kT = test::kToleranceRad;

test::Case with_foil() {
  auto c = test::square_cases()[1];  // keep left, panel before, rail on right faces
  c.station.shims = {test::shim("foil tape", 0.07, 8)};
  return c;
}

/// Only the rail's baseline and the sides are known.
correct::Request from_options(double eps_rad, std::optional<station::Side> face) {
  correct::Request request;
  request.eps_rad = eps_rad;
  request.u_rad = 3e-5;
  request.tolerance_rad = kT;
  request.geometry.q = 1;
  station::ContactLine rail;
  rail.baseline_mm = 768;
  rail.u = {0, 1};
  rail.m = {-1, 0};
  if (face) rail.n = {*face == station::Side::right ? 1.0 : -1.0, 0};
  request.geometry.rail = rail;
  request.prior = correct::prediction_of_new_station(request.geometry, std::nullopt);
  return request;
}

bool no_braces_beyond_numbers(const correct::Move& move) {
  for (std::size_t at = move.text.find('{'); at != std::string::npos; at = move.text.find('{', at + 1)) {
    const auto close = move.text.find('}', at);
    if (close == std::string::npos || !move.numbers.contains(move.text.substr(at + 1, close - at - 1)))
      return false;
  }
  return true;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE("foil on the far rail dog is advised, first in the list, aimed at mu; the shifts come last") {
    const auto c = with_foil();
    const auto advice = correct::advise(test::request_for(c, 2.8e-4));
    REQUIRE(advice.decision.correct == Correct::yes);
    REQUIRE(advice.moves.size() > 5);
    CHECK(advice.moves[0].advised);
    CHECK(advice.moves[0].means == Means::shim);
    CHECK(advice.moves[0].dog == WhichDog::rail_far);
    CHECK(advice.moves[0].parts[0].layers == 3);
    CHECK(std::count_if(advice.moves.begin(), advice.moves.end(), [](const auto& m) { return m.advised; }) ==
          1);
    for (std::size_t i = 0; i < advice.moves.size(); ++i) {
      CHECK((advice.moves[i].means == Means::shift) == (i + 4 >= advice.moves.size()));
      CHECK(no_braces_beyond_numbers(advice.moves[i]));
    }
    CHECK(near(advice.decision.remaining_u,
               std::hypot(std::sqrt(advice.decision.v), advice.moves[0].u_action_rad), 1e-12, 0));
    CHECK(advice.ask_rail_straight);  // 0.17 mm over 600
  }

  TEST_CASE("a strong prior draws the advised move short of what the check read") {
    const auto c = with_foil();
    auto request = test::request_for(c, 2.8e-4, 1e-4);
    request.prior = {0, 1e-8, true};
    const auto advice = correct::advise(request);
    CHECK(near(advice.decision.mu, 1.4e-4, 1e-12, 0));
    REQUIRE(advice.moves[0].parts.size() == 1);
    CHECK(advice.moves[0].parts[0].layers == 2);  // 0.1075 mm wanted of the rail: 0.14 is nearer than 0.07
    CHECK(advice.moves[0].remaining_rad > 0);
  }

  TEST_CASE("a small error is left alone: nothing advised, the shifts still listed") {
    const auto c = with_foil();
    const auto advice = correct::advise(test::request_for(c, 0.2 * kT));
    CHECK(advice.decision.correct == Correct::no);
    CHECK(std::none_of(advice.moves.begin(), advice.moves.end(), [](const auto& m) { return m.advised; }));
    CHECK(test::moves_of(advice, Means::shift).size() == 4);
    CHECK(!advice.ask_rail_straight);
  }

  TEST_CASE("an unexplained change since the last check: nothing is advised before its cause is known") {
    const auto c = with_foil();
    auto request = test::request_for(c, 2.8e-4);
    request.last = correct::LastCheck{0, 2e-5, false};
    const auto advice = correct::advise(request);
    CHECK(advice.decision.find_first);
    CHECK(std::none_of(advice.moves.begin(), advice.moves.end(), [](const auto& m) { return m.advised; }));
    request.last->explained = true;
    CHECK(correct::advise(request).moves[0].advised);
  }

  TEST_CASE("without shims a thickness to find is advised") {
    const auto c = test::square_cases()[1];
    const auto advice = correct::advise(test::request_for(c, 2.8e-4));
    REQUIRE(advice.moves[0].advised);
    CHECK(advice.moves[0].means == Means::shim);
    CHECK(advice.moves[0].parts.empty());
    CHECK(near(advice.moves[0].moved_rad, -advice.decision.mu, 1e-12, 0));
    CHECK(near(advice.moves[0].numbers.at("amount"), advice.decision.mu * 768, 1e-12, 0));
    CHECK(advice.moves[0].text ==
          "A shim of {amount} on the FAR rail dog (F10), right face, where the rail touches; measure the "
          "shim before it goes in.");
  }

  TEST_CASE("shims too coarse for the rail go where they do fit, or a thickness to find is advised") {
    auto c = test::square_cases()[1];
    c.station.shims = {test::shim("card", 0.5, 4, true)};
    const auto coarse = correct::advise(test::request_for(c, 2.8e-4));
    CHECK(coarse.moves[0].advised);
    CHECK(coarse.moves[0].parts.empty());
    c.station.shims = {
        test::shim("sheet", 0.08, 4, true)};  // one sheet at the fence is 2.8e-4, three at the rail 3.1e-4
    const auto fine = correct::advise(test::request_for(c, 2.8e-4));
    CHECK(fine.moves[0].dog == WhichDog::fence_left);
    CHECK(fine.moves[0].face == "operator's side");
    CHECK(fine.moves[0].text ==
          "1 layer of sheet on the LEFT fence dog (B9), operator's side, where the panel touches.");
  }

  TEST_CASE("once a table is bad enough to be moved at once, a worse one is, too") {
    const auto c = with_foil();
    bool moved = false;
    for (double eps = 1e-4; eps < 4e-3; eps += 2e-5) {
      const auto advice = correct::advise(test::request_for(c, eps));
      const bool now = advice.decision.correct == Correct::yes;
      CAPTURE(eps);
      CHECK((now || !moved));
      moved = moved || now;
    }
    CHECK(moved);
  }

  TEST_CASE("with a bar the shim goes between bar and dog") {
    auto c = test::square_cases()[1];
    c.station.shims = {test::shim("sheet", 0.08, 4, true)};
    c.setup.bar = station::Bar{Length::from_mm(600), {}, {}};
    const auto advice = correct::advise(test::request_for(c, 2.8e-4));
    CHECK(advice.moves[0].text ==
          "1 layer of sheet between the fence bar and the LEFT fence dog (B9), operator's side of the dog.");
  }

  TEST_CASE("ranked by minutes, then by whether it can be undone, then by what remains") {
    auto c = with_foil();
    c.setup.bar = station::Bar{Length::from_mm(600), {}, {}};
    c.station.dogs["low-1"].held = station::Held::wedged;
    c.station.dogs["tall-1"].diameter = Length::from_mm(20.1);
    const auto advice = correct::advise(test::request_for(c, 2.8e-4));
    for (std::size_t i = 2; i < advice.moves.size(); ++i) {
      if (advice.moves[i].means == Means::shift) break;
      CHECK(advice.moves[i - 1].minutes <= advice.moves[i].minutes);
    }
    const auto last = advice.moves[advice.moves.size() - 5].means;
    CHECK(last == Means::re_bore);  // hours, and never undone
  }

  TEST_CASE("no move of known size makes it worse") {
    auto c = with_foil();
    c.station.dogs["tall-2"].eccentric = Length::from_mm(0.3);
    c.station.dogs["tall-1"].diameter = Length::from_mm(20.3);
    for (int deg = 0; deg < 360; deg += 30) {
      c.station.dogs["tall-2"].eccentric_deg = deg;
      for (const double eps : {-2.8e-4, 5e-5, 2.8e-4}) {
        const auto advice = correct::advise(test::request_for(c, eps));
        for (const auto& move : advice.moves) {
          if (!move.bound_only)
            CHECK(std::fabs(advice.decision.mu + move.moved_rad) < std::fabs(advice.decision.mu) + 1e-7);
        }
      }
    }
  }

  TEST_CASE("from options alone: shifts, a shim of the person's own, re-boring; no holes named") {
    auto request = from_options(2.8e-4, station::Side::right);
    request.shims = {test::shim("foil tape", 0.07, 8)};
    const auto advice = correct::advise(request);
    REQUIRE(advice.decision.correct == Correct::yes);
    CHECK(advice.moves[0].text ==
          "3 layers of foil tape on the FAR rail dog, right face, where the rail touches.");
    CHECK(!advice.moves[0].hole.has_value());
    CHECK(test::moves_of(advice, Means::shift).size() == 2);
    REQUIRE(test::moves_of(advice, Means::re_bore).size() == 1);
    CHECK(test::moves_of(advice, Means::re_bore)[0].text ==
          "Plug the hole of the FAR rail dog, then bore it anew {amount} to the right of where it is.");
    request.geometry.rail->n = {-1, 0};
    CHECK(correct::advise(request).moves[0].dog == WhichDog::rail_near);
    CHECK(correct::advise(request).moves[0].face == "left");
  }

  TEST_CASE("the rail's face not known: the shim is told both ways and agrees with either") {
    for (const double eps : {-2.8e-4, 2.8e-4}) {
      const auto advice = correct::advise(from_options(eps, std::nullopt));
      REQUIRE(advice.moves[0].advised);
      CHECK(advice.moves[0].dog == WhichDog::none);
      const std::string_view if_right = eps > 0 ? "its FAR dog if the rail rests on the right faces"
                                                : "its NEAR dog if the rail rests on the right faces";
      CHECK(advice.moves[0].text.find(if_right) != std::string::npos);
      const auto right = correct::advise(from_options(eps, station::Side::right)).moves[0];
      CHECK(right.dog == (eps > 0 ? WhichDog::rail_far : WhichDog::rail_near));
      CHECK(near(advice.moves[0].moved_rad, right.moved_rad, 1e-12, 0));
      CHECK(near(advice.moves[0].numbers.at("amount"), right.numbers.at("amount"), 1e-12, 0));
    }
  }

  TEST_CASE("names that people gave cannot break the instruction") {
    auto c = with_foil();
    c.station.shims[0].name = "foil {x}\x1b[31m";
    const auto advice = correct::advise(test::request_for(c, 2.8e-4));
    CHECK(advice.moves[0].text.find('\x1b') == std::string::npos);
    CHECK(no_braces_beyond_numbers(advice.moves[0]));
    CHECK(advice.moves[0].text.find("foil (x)") != std::string::npos);
  }

  TEST_CASE("a result too poor to act on: measure more first") {
    const auto c = with_foil();
    auto request = test::request_for(c, 2 * kT, 0.6 * kT);
    const auto advice = correct::advise(request);
    CHECK(advice.decision.correct == Correct::unclear);
  }
}
