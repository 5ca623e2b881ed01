// SPDX-License-Identifier: MIT
// What happens just at a limit: each case is one that a changed sign or a lost line in src/correct would pass
// otherwise.
#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "correct/setup_findings.hpp"
#include "correct/shims.hpp"
#include "requests.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using correct::Means;
using test::near;

TEST_SUITE("correct") {
  TEST_CASE("at the limits: a piece just long enough for the outer fence dog, and just not") {
    const auto c = test::square_cases()[1];  // outer contact 394 mm from the cut
    const auto found = [&](double width_mm, check::Form form) {
      return correct::piece_findings(c.station, c.setup, check::PanelSize{width_mm, 300, {}}, form);
    };
    // A pair leaves a strip of 25 and a kerf of 3; halves a kerf, and half of the rest.
    CHECK(found(422.1, check::Form::pair).empty());
    const auto pair = found(421.9, check::Form::pair);
    REQUIRE(pair.size() == 1);
    CHECK(near(pair[0].numbers.at("after_mm"), 393.9, 1e-12, 0));
    CHECK(found(791.1, check::Form::halves).empty());
    const auto half = found(790.9, check::Form::halves);
    REQUIRE(half.size() == 1);
    CHECK(near(half[0].numbers.at("after_mm"), 393.95, 1e-12, 0));
  }

  TEST_CASE("at the limits: a shim still to be found takes longer than one that is there") {
    auto c = test::square_cases()[1];
    c.station.shims.clear();
    const auto to_find = test::moves_of(correct::advise(test::request_for(c, 2.8e-4)), Means::shim);
    c.station.shims = {test::shim("foil tape", 0.07, 8)};
    const auto owned = test::moves_of(correct::advise(test::request_for(c, 2.8e-4)), Means::shim);
    REQUIRE(!to_find.empty());
    REQUIRE(!owned.empty());
    for (const auto& move : to_find) CHECK(move.minutes > owned[0].minutes);
  }

  TEST_CASE("at the limits: behind the way that is advised the others keep their rank") {
    int not_first = 0;
    for (auto c : test::square_cases()) {
      for (const double eps : {6e-5, -6e-5, 2.8e-4, 6e-4, -6e-4}) {
        for (const int layers : {0, 1, 8}) {
          c.station.shims.clear();
          if (layers > 0) c.station.shims = {test::shim("foil tape", 0.07, layers)};
          const auto advice = correct::advise(test::request_for(c, eps));
          if (!advice.has_best) continue;
          const auto shifts = test::moves_of(advice, Means::shift).size();
          for (std::size_t i = 2; i + shifts < advice.moves.size(); ++i)
            CHECK(advice.moves[i - 1].minutes <= advice.moves[i].minutes);
          not_first += advice.moves.size() > 1 + shifts && advice.moves[0].minutes > advice.moves[1].minutes;
        }
      }
    }
    CHECK(not_first > 0);
  }

  TEST_CASE("at the limits: where no line is known nothing can be moved, and no doubt comes of moving") {
    correct::Request request;
    request.eps_rad = 2.8e-4;
    request.u_rad = 3e-5;
    request.tolerance_rad = test::kToleranceRad;
    request.geometry.q = 1;
    request.prior = {0, 1e-7, false};
    const auto advice = correct::advise(request);
    CHECK(advice.moves.empty());
    CHECK(near(advice.decision.remaining_u, std::sqrt(advice.decision.v), 1e-12, 0));
  }

  TEST_CASE("at the limits: the order of a drawer of shims does not matter") {
    const auto brass = test::shim("brass", 0.20, 1, true, 0.002);
    const auto foil = test::shim("foil", 0.07, 8, false, 0.005);
    for (const double target : {0.07, 0.14, 0.20, 0.21, 0.27, 0.34, 0.41}) {
      CAPTURE(target);
      const auto one = correct::nearest_stack(std::vector{brass, foil}, target);
      const auto other = correct::nearest_stack(std::vector{foil, brass}, target);
      REQUIRE(one.has_value());
      REQUIRE(other.has_value());
      CHECK(one->layers == other->layers);
      CHECK(near(one->u_mm, other->u_mm, 1e-12, 0));
      REQUIRE(one->parts.size() == other->parts.size());
      for (std::size_t i = 0; i < one->parts.size(); ++i) {
        CHECK(one->parts[i].shim == other->parts[i].shim);
        CHECK(one->parts[i].layers == other->parts[i].layers);
      }
    }
  }
}
