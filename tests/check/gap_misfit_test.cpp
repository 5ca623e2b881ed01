// SPDX-License-Identifier: MIT
/// What does not fit in a test that reads a gap, and what is never said of one.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>
#include <string>

#include "check/fit.hpp"
#include "support/gap_checks.hpp"
#include "support/near.hpp"

using namespace quarterturn;
using test::GapDesign;
using test::near;

namespace {

const std::vector<check::Evidence> kFeeler{
    {check::Component::reading, 0.02 * 0.02, 2, check::Source::caliper, ""}};

const check::Finding* find(const check::Fit& fit, const std::string& code) {
  for (const auto& f : fit.findings) {
    if (f.code == code) return &f;
  }
  return nullptr;
}

check::Check quiet(check::Form form, int joints, std::uint64_t seed, double eta = 4e-4) {
  std::mt19937_64 random(seed);
  GapDesign design;
  design.form = form;
  design.joints = joints;
  design.sigma_r = 2e-5;
  design.sigma_f = 0.003;
  design.sigma_m = 0.008;
  design.repeats = 3;
  design.eta = eta;
  return design.check(random);
}

/// As if joint `j` (from 0) opened by `angle_rad` more.
void tilt(check::Check& check, std::size_t j, double angle_rad) {
  for (auto& spot : check.strips[j].spots) {
    for (auto& reading : spot.readings)
      reading.mm = std::round((reading.mm - angle_rad * (spot.position_mm - 280)) * 100) / 100;
  }
}

void swap_ends(check::Strip& strip) {
  std::swap(strip.spots.front().readings, strip.spots.back().readings);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("one of three pairs read from its other end is found, and named as a pair") {
    for (const std::size_t wrong : {0U, 1U, 2U}) {
      check::Check check = quiet(check::Form::pair, 3, 11);
      REQUIRE(find(check::fit(check, kFeeler), "ends-swapped") == nullptr);
      swap_ends(check.strips[wrong]);
      const auto fit = check::fit(check, kFeeler);
      const auto* f = find(fit, "ends-swapped");
      REQUIRE(f != nullptr);
      CHECK(f->where.panel == static_cast<int>(wrong) + 1);
      CHECK_FALSE(f->where.from_cut);
      CHECK(f->where.counted == "pair");
      CHECK(near(f->numbers.at("others_mm"), 2 * 4e-4 * 520, 0.1, 0));
      CHECK(near(f->numbers.at("taper_mm"), -2 * 4e-4 * 520, 0.1, 0));
    }
  }

  TEST_CASE("rings and rows as well, the outer edge on either side") {
    for (const auto form : {check::Form::separate, check::Form::shared}) {
      for (const int sign : {1, -1}) {
        std::mt19937_64 random(3);
        GapDesign design;
        design.form = form;
        design.joints = 3;
        design.sigma_r = 2e-5;
        design.outer_sign = sign;
        design.eta = 4e-4;
        check::Check check = design.check(random);
        REQUIRE(find(check::fit(check, kFeeler), "ends-swapped") == nullptr);
        swap_ends(check.strips[1]);
        const auto fit = check::fit(check, kFeeler);
        REQUIRE(find(fit, "ends-swapped") != nullptr);
        CHECK(find(fit, "ends-swapped")->where.counted == "ring");
        CHECK(find(fit, "ends-swapped")->where.panel == 2);
      }
    }
  }

  TEST_CASE("a board's own taper is no mistake: halves that mirror each other are left alone") {
    std::mt19937_64 random(5);
    GapDesign design;
    design.form = check::Form::halves;
    design.joints = 2;
    design.eta = 1e-6;
    design.board_taper = 3e-3;
    for (int i = 0; i < 20; ++i)
      CHECK(find(check::fit(design.check(random), kFeeler), "ends-swapped") == nullptr);
    // Boards from one end each: their tapers differ as boards do.
    for (int i = 0; i < 20; ++i) {
      check::Check check = design.check(random);
      check.strips[1].panel = 3;
      CHECK(find(check::fit(check, kFeeler), "ends-swapped") == nullptr);
    }
  }

  TEST_CASE("a reading two tenths off among its repeats is named by its place, without a caliper's excuses") {
    for (const double off : {0.2, -0.2}) {
      check::Check check = quiet(check::Form::pair, 3, 12);
      REQUIRE(find(check::fit(check, kFeeler), "unusual-reading") == nullptr);
      check.strips[1].spots[1].readings[2].mm += off;
      check.strips[1].spots[1].readings[2].line = 9;
      const auto fit = check::fit(check, kFeeler);
      const auto* f = find(fit, "unusual-reading");
      REQUIRE(f != nullptr);
      CHECK(f->where.panel == 2);
      CHECK(f->where.counted == "pair");
      CHECK(f->where.position_mm == 280.0);
      CHECK(f->where.line == 9);
      CHECK(near(f->numbers.at("off_mm"), 0.2, 0, 0.03));
      CHECK(find(fit, "tilted-jaw") == nullptr);
    }
  }

  TEST_CASE("five pairs, one with a slipped seat: the pair is named, its way and its size") {
    for (const double sign : {1.0, -1.0}) {
      check::Check check = quiet(check::Form::pair, 5, 13);
      REQUIRE(find(check::fit(check, kFeeler), "unusual-cut") == nullptr);
      tilt(check, 3, sign * 1e-3);  // one seat out by 0.5 mm over 500
      const auto fit = check::fit(check, kFeeler);
      const auto* f = find(fit, "unusual-cut");
      REQUIRE(f != nullptr);
      CHECK(f->words.at("cuts") == (sign > 0 ? "pair 4 sat over" : "pair 4 sat under"));
      CHECK(near(f->numbers.at("slip_mm"), 0.5, 0.15, 0));  // the other four scatter by 4e-5 of its 1e-3
      CHECK(f->where.panel == 4);
      CHECK_FALSE(f->where.to_cut);
    }
    CHECK(find(check::fit(quiet(check::Form::pair, 4, 13), kFeeler), "unusual-cut") == nullptr);
  }

  TEST_CASE("a ring whose outer edge lay away from the fence: which way its corner sat") {
    std::mt19937_64 random(8);
    GapDesign design;
    design.form = check::Form::shared;
    design.joints = 5;
    design.sigma_r = 1e-5;
    design.sigma_m = 0.008;
    design.outer_sign = -1;
    check::Check check = design.check(random);
    REQUIRE(find(check::fit(check, kFeeler), "unusual-cut") == nullptr);
    tilt(check, 1, 1e-3);  // it opens outside: the corner there, the larger one, sat under
    const auto fit = check::fit(check, kFeeler);
    REQUIRE(find(fit, "unusual-cut") != nullptr);
    CHECK(find(fit, "unusual-cut")->words.at("cuts") == "ring 2 sat under");
  }

  TEST_CASE("of halves the board is named: its own taper hides which of its two joints slipped") {
    check::Check check = quiet(check::Form::halves, 12, 14);
    REQUIRE(find(check::fit(check, kFeeler), "unusual-cut") == nullptr);
    tilt(check, 4, 2e-3);
    const auto fit = check::fit(check, kFeeler);
    const auto* f = find(fit, "unusual-cut");
    REQUIRE(f != nullptr);
    CHECK(f->words.at("cuts") == "joint 5 or 6 sat over");
    CHECK(near(f->numbers.at("slip_mm"), 0.5, 0.1, 0));
    // Three boards are as few as three pairs: nothing is looked for.
    check::Check few = quiet(check::Form::halves, 6, 15);
    tilt(few, 4, 5e-3);
    CHECK(find(check::fit(few, kFeeler), "unusual-cut") == nullptr);
  }

  TEST_CASE("false alarms of the corner test stay at their level, pairs and boards") {
    constexpr int kTrials = 400;
    for (const auto form : {check::Form::pair, check::Form::halves, check::Form::shared}) {
      std::mt19937_64 random(20260622);
      GapDesign design;
      design.form = form;
      design.joints = form == check::Form::halves ? 12 : 6;
      int alarms = 0;
      for (int i = 0; i < kTrials; ++i)
        alarms += find(check::fit(design.check(random), kFeeler), "unusual-cut") ? 1 : 0;
      CAPTURE(alarms);
      CHECK(alarms <= 0.05 * kTrials + 2.6 * std::sqrt(0.05 * 0.95 * kTrials));
    }
  }

  TEST_CASE("joints that are curved are told as joints") {
    check::Check check = quiet(check::Form::pair, 5, 16);
    REQUIRE(find(check::fit(check, kFeeler), "curved-joint") == nullptr);
    for (auto& strip : check.strips) {
      for (auto& reading : strip.spots[1].readings) reading.mm += 0.08;
    }
    const auto fit = check::fit(check, kFeeler);
    REQUIRE(find(fit, "curved-joint") != nullptr);
    CHECK(near(find(fit, "curved-joint")->numbers.at("bow_mm"), 0.08, 0.15, 0));
    CHECK(find(fit, "curved-strip") == nullptr);
    CHECK(find(fit, "middle-off-line") == nullptr);
  }

  TEST_CASE("whatever is read, nothing is said of a gap that holds of strips and calipers alone") {
    const std::set<std::string> of_strips{"thin-strip",       "slips-not-seen", "copied",
                                          "inch-or-mm",       "tilted-jaw",     "swapped-digits",
                                          "turned-wrong-way", "face-turned",    "coarse-reading",
                                          "middle-off-line",  "curved-strip",   "wrong-strip"};
    std::mt19937_64 random(20260623);
    const auto pick = [&](int n) { return static_cast<int>(random() % static_cast<std::uint64_t>(n)); };
    for (int i = 0; i < 500; ++i) {
      GapDesign design;
      design.form = std::vector{check::Form::pair, check::Form::halves, check::Form::separate,
                                check::Form::shared}[static_cast<std::size_t>(pick(4))];
      design.joints = 1 + pick(6);
      design.pieces = 3 + pick(6);
      design.outer_sign = pick(2) == 0 ? 1 : -1;
      design.repeats = 1 + pick(4);
      design.positions = std::vector<std::vector<double>>{
          {20, 540}, {5, 280, 540}, {10, 40}, {15, 130, 260, 390, 505}}[static_cast<std::size_t>(pick(4))];
      design.step = std::vector{0.0, 0.01, 0.05, 0.5}[static_cast<std::size_t>(pick(4))];
      design.sigma_m = std::vector{0.0, 0.02, 0.2}[static_cast<std::size_t>(pick(3))];
      design.sigma_f = design.sigma_m / 2;
      design.sigma_r = std::vector{0.0, 1e-4, 1e-3}[static_cast<std::size_t>(pick(3))];
      design.board_taper = pick(2) * 1e-3;
      check::Check check = design.check(random);
      for (auto& strip : check.strips) {
        for (auto& spot : strip.spots) {
          for (auto& reading : spot.readings) {
            if (pick(20) == 0) reading.mm /= 25.4;  // a leaf read in the other unit
            if (pick(20) == 0) reading.mm += 0.3;
            if (pick(40) == 0) reading.mm = 0;
            reading.mm = std::clamp(reading.mm, 0.0, 20.0);
          }
        }
      }
      check.panel_size = check::PanelSize{600, 400, 18.0};
      try {
        for (const auto& f : check::fit(check, kFeeler).findings) {
          CAPTURE(f.code);
          CHECK(of_strips.count(f.code) == 0);
        }
      } catch (const std::exception& error) {  // a taper that no joint has is refused as a whole
        CHECK(std::string(error.what()).find("nearly as wide at both ends") != std::string::npos);
      }
    }
  }
}
