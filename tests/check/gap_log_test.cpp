// SPDX-License-Identifier: MIT
/// What earlier gap tests hand on to a later one (M18): pairs and rings their seating, halves none.
#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>

#include "check/fit.hpp"
#include "support/gap_checks.hpp"
#include "support/near.hpp"
#include "support/trials.hpp"

using namespace quarterturn;
using test::GapDesign;
using test::near;

namespace {

GapDesign of(check::Form form, int joints) {
  GapDesign design;
  design.form = form;
  design.joints = joints;
  if (form == check::Form::halves) design.board_taper = 1e-3;
  return design;
}

check::Fit informed(const GapDesign& today, const GapDesign& then, int checks, std::mt19937_64& random) {
  check::FitOptions options;
  options.span_mm = today.span;
  options.omega2 = 0;  // seating here is the same in each
  std::vector<check::ScatterEvidence> earlier;
  for (int i = 0; i < checks; ++i) earlier.push_back({then.check(random), then.span, std::to_string(i), ""});
  return check::fit(today.check(random), {}, earlier, options);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("halves hand on how they were read, and no seating: their boards' tapers would pass for it") {
    std::mt19937_64 random(4);
    for (const bool both_ends : {true, false}) {
      CAPTURE(both_ends);
      auto then = of(check::Form::halves, 6), today = of(check::Form::halves, 2);
      check::FitOptions options;
      options.span_mm = today.span;
      auto old = then.check(random);
      if (!both_ends) {
        for (auto& strip : old.strips) strip.panel = 2 * strip.panel - 1;
      }
      const std::vector<check::ScatterEvidence> earlier{{old, then.span, "a", ""}, {old, then.span, "b", ""}};
      const auto fit = check::fit(today.check(random), {}, earlier, options);
      REQUIRE(fit.log);
      CHECK(fit.log->seating == check::LogSeating::board_tapers);
      CHECK(fit.log->nu_counted == 0);
      CHECK(fit.log->nu_pure == 2 * 6 * 3);
      CHECK(fit.provisional);  // so that of today is assumed
      // A millimetre a metre of taper is not taken for seating.
      CHECK(fit.scatter[2].estimate_mm < 0.05);
    }
  }

  TEST_CASE("two places a joint hand on no seating, for another reason") {
    std::mt19937_64 random(4);
    auto then = of(check::Form::pair, 3);
    then.positions = {20, 540};
    auto today = then;
    today.joints = 1;
    const auto fit = informed(today, then, 3, random);
    REQUIRE(fit.log);
    CHECK(fit.log->seating == check::LogSeating::saw_marks_unseen);
  }
}

TEST_SUITE("coverage") {
  TEST_CASE("one joint with a log of others: 95 % intervals hold the true corner error") {
    const int n = test::trials(1000);
    for (const auto form : {check::Form::pair, check::Form::shared}) {
      std::mt19937_64 random(20260624);
      const auto today = of(form, 1), then = of(form, 4);
      int covered = 0;
      for (int i = 0; i < n; ++i) {
        const auto fit = informed(today, then, 4, random);
        REQUIRE(fit.log);
        CHECK(fit.log->used());
        CHECK(near(fit.log->nu_counted, 12, 1e-9, 0));
        covered += std::fabs(fit.eta.x - today.eta) <= fit.eta.half_width ? 1 : 0;
      }
      const double rate = static_cast<double>(covered) / n;
      MESSAGE("covered " << rate);
      CHECK(rate >= 0.95 - 2.6 * std::sqrt(0.95 * 0.05 / n));
      CHECK(rate <= 0.985);
    }
  }
}
