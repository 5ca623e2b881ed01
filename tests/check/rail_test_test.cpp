// SPDX-License-Identifier: MIT
/// The bow from gaps, against least squares written out, closed forms, sawn edges and simulation.
#include "check/rail_test.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <functional>
#include <numeric>

#include "stats/streams.hpp"
#include "support/near.hpp"
#include "support/oracle.hpp"
#include "support/oracle_parts.hpp"
#include "support/tables.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using test::near;

namespace {

check::Spot spot_at(double position_mm, const std::vector<double>& gaps_mm) {
  check::Spot spot;
  spot.position_mm = position_mm;
  for (const double mm : gaps_mm) {
    check::Reading reading;
    reading.mm = mm;
    reading.as_typed = std::to_string(mm);
    reading.line = 7;
    spot.readings.push_back(reading);
  }
  return spot;
}

check::Strip gaps_of(const std::vector<double>& positions_mm, const std::function<double(double)>& gap) {
  check::Strip strip;
  for (const double p : positions_mm) strip.spots.push_back(spot_at(p, {gap(p)}));
  return strip;
}

check::Evidence on_reading(double s_mm, double nu) {
  check::Evidence evidence;
  evidence.s2 = s_mm * s_mm;
  evidence.nu = nu;
  return evidence;
}

/// Weighted least squares of a + b p + c p^2 by normal equations and elimination, in extended precision.
struct Dense {
  std::array<long double, 3> beta{};
  long double c_by_weight = 0;  ///< variance of c when a reading has variance 1
};
Dense dense(const check::Strip& gaps) {
  long double m[3][7] = {};
  for (const auto& spot : gaps.spots) {
    const long double p = spot.position_mm;
    const long double row[3] = {1, p, p * p};
    for (const auto& reading : spot.readings)
      for (int i = 0; i < 3; ++i) {
        for (int j = 0; j < 3; ++j) m[i][j] += row[i] * row[j];
        m[i][3] += row[i] * reading.mm;
      }
  }
  for (int i = 0; i < 3; ++i) m[i][4 + i] = 1;
  for (int i = 0; i < 3; ++i)
    for (int r = 0; r < 3; ++r) {
      if (r == i) continue;
      const long double f = m[r][i] / m[i][i];
      for (int j = 0; j < 7; ++j) m[r][j] -= f * m[i][j];
    }
  Dense out;
  for (int i = 0; i < 3; ++i) out.beta[static_cast<std::size_t>(i)] = m[i][3] / m[i][i];
  out.c_by_weight = m[2][6] / m[2][2];
  return out;
}

struct Simulated {
  std::vector<double> positions_mm;
  int repeats = 1;
  int evidence_nu = 0;  ///< a trial of the caliper with so many readings and one, at one place
  double reading_mm = 0.015, step_mm = 0.01;
};

double rounded(double mm, double step_mm) {
  return step_mm * std::round(mm / step_mm);
}

/// How often the 95 % interval holds h.
double coverage(const Simulated& design, int trials) {
  constexpr double kBowMm = 0.06;
  const double first = design.positions_mm.front(), length = design.positions_mm.back() - first;
  int held = 0;
  for (int trial = 0; trial < trials; ++trial) {
    stats::Stream random(20260301, static_cast<std::uint64_t>(trial));
    const auto read = [&](double there) {
      return rounded(there + design.reading_mm * random.normal(), design.step_mm);
    };
    const double level = random.uniform(0.3, 0.4), slope = random.uniform(-1e-5, 1e-5);
    check::Strip gaps;
    for (const double p : design.positions_mm) {
      const double u = (2 * (p - first) - length) / length;
      std::vector<double> readings;
      for (int k = 0; k < design.repeats; ++k)
        readings.push_back(read(level + slope * p + 2 * kBowMm * u * u));
      gaps.spots.push_back(spot_at(p, readings));
    }
    std::vector<check::Evidence> evidence;
    if (design.evidence_nu > 0) {
      std::vector<double> width;
      const double there = random.uniform(20, 21);
      for (int k = 0; k <= design.evidence_nu; ++k) width.push_back(read(there));
      const double mean =
          std::accumulate(width.begin(), width.end(), 0.0) / static_cast<double>(width.size());
      double ss = 0;
      for (const double w : width) ss += (w - mean) * (w - mean);
      evidence.push_back(on_reading(std::sqrt(ss / design.evidence_nu), design.evidence_nu));
    }
    const check::Bow bow = check::rail_bow(gaps, evidence, design.step_mm);
    held += std::fabs(bow.h_mm - kBowMm) <= bow.half_width_mm + 1e-12 ? 1 : 0;
  }
  return static_cast<double>(held) / trials;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("rail turned end for end: middle minus mean of the ends is -2h, crowned is positive") {
    check::Strip gaps;
    gaps.spots = {spot_at(0, {0.22}), spot_at(600, {0}), spot_at(1200, {0.18})};
    const check::Bow bow = check::rail_bow(gaps, {}, 0.01);
    CHECK(near(bow.h_mm, 0.1, 1e-12, 0));
    CHECK(bow.over_mm == 1200);
    REQUIRE(bow.unknown);
    CHECK(*bow.unknown == check::kReadingUnseen);
    CHECK(!bow.parabola_p);

    gaps.spots[1].readings[0].mm = 0.5;  // open in the middle: hollow
    CHECK(near(check::rail_bow(gaps, {}, 0.01).h_mm, -0.15, 1e-12, 0));
  }

  TEST_CASE("an exact parabola over places at any distance") {
    for (const double h : {0.05, -0.08}) {
      for (const auto& places : {std::vector<double>{0, 300, 1200}, {40, 90, 333, 700, 1131}, {0, 1, 200}}) {
        const double length = places.back() - places.front();
        const auto gaps = gaps_of(places, [&](double p) {
          return 1.0 + 0.0003 * p + 8 * h / (length * length) * (p - 150) * (p - 150);
        });
        CHECK(near(check::rail_bow(gaps, {}, 0.01).h_mm, h, 1e-9, 0));
      }
    }
  }

  TEST_CASE("h and u are those of dense weighted least squares, whatever the readings of a place") {
    check::Strip gaps;
    gaps.spots = {spot_at(25, {0.31, 0.34}), spot_at(310, {0.16}), spot_at(700, {0.02, 0.05, 0.03}),
                  spot_at(1275, {0.27, 0.29})};
    const auto naive = dense(gaps);
    const double length = 1250;
    const check::Bow bow = check::rail_bow(gaps, {{on_reading(0.02, 6)}}, 0.01);
    CHECK(near(bow.h_mm, static_cast<double>(naive.beta[2]) * length * length / 8, 1e-12, 0));

    // Pooled over repeats, evidence and what is left about the parabola.
    double ss = 6 * 0.02 * 0.02;
    for (const auto& spot : gaps.spots)
      for (const auto& r : spot.readings) {
        const double fitted = static_cast<double>(naive.beta[0] + naive.beta[1] * spot.position_mm +
                                                  naive.beta[2] * spot.position_mm * spot.position_mm);
        ss += (r.mm - fitted) * (r.mm - fitted);
      }
    const double nu = 6 + 8 - 3;
    const double u = std::sqrt(ss / nu * static_cast<double>(naive.c_by_weight)) * length * length / 8;
    CHECK(near(bow.u_mm, u, 1e-9, 0));
    CHECK(bow.dof == nu);
    CHECK(near(bow.half_width_mm, 2.200985160 * u, 1e-7, 0));  // printed tables: 2.201
    CHECK(!bow.kinked);
    CHECK(check::rail_bow(gaps, {{on_reading(0.02, 6)}}, 0.01, 0.5).half_width_mm < 0.7 * u);

    std::swap(gaps.spots[0], gaps.spots[2]);
    CHECK(near(check::rail_bow(gaps, {{on_reading(0.02, 6)}}, 0.01).h_mm, bow.h_mm, 1e-12, 0));
  }

  TEST_CASE("three places read once: evidence on the reading alone informs") {
    const auto gaps = gaps_of({0, 600, 1200}, [](double p) { return p == 600 ? 0.0 : 0.2; });
    const check::Bow bow = check::rail_bow(gaps, {{on_reading(0.02, 8)}}, 0.01);
    CHECK(!bow.unknown);
    CHECK(near(bow.u_mm, std::sqrt(0.375) * 0.02, 1e-12, 0));  // h = ((y1 + y3)/2 - y2)/2
    CHECK(bow.dof == 8);
    CHECK(near(bow.half_width_mm, 2.306004 * bow.u_mm, 1e-6, 0));
    check::Evidence seating = on_reading(0.02, 8);
    seating.component = check::Component::seating;
    CHECK(check::rail_bow(gaps, {{seating}}, 0.01).unknown);
  }

  TEST_CASE("readings finer than the resolution: rounding rules as far as that is known") {
    const auto gaps = gaps_of({0, 600, 1200}, [](double p) { return p == 600 ? 0.0 : 0.2; });
    const double d = 0.05, fixed = d * d / 12, s2 = 0.008 * 0.008;
    // Many degrees of freedom: d^2/12, known.
    const check::Bow known = check::rail_bow(gaps, {{on_reading(0.008, 1e4)}}, d);
    CHECK(near(known.u_mm, std::sqrt(0.375 * fixed), 1e-12, 0));
    CHECK(known.dof == check::kUnbounded);
    CHECK(near(known.half_width_mm, 1.959964 * known.u_mm, 1e-4, 0));
    // Two: the half-width solves the integral over chi-square on 2, whose density is exp(-x/2)/2.
    const check::Bow few = check::rail_bow(gaps, {{on_reading(0.008, 2)}}, d);
    double inside = 0;
    const int steps = 400'000;
    for (int i = 0; i < steps; ++i) {
      const double cut = (i + 0.5) / steps, x = -2 * std::log(cut);
      const double q = 0.375 * std::max(2 * s2 / x, fixed);
      inside += std::erf(few.half_width_mm / std::sqrt(2 * q)) / steps;
    }
    CHECK(near(inside, 0.95, 0, 5e-5));
    CHECK(few.half_width_mm > 1.05 * known.half_width_mm);
    CHECK(few.dof < 100);
    CHECK(few.dof > 2);
  }

  TEST_CASE("from four places on an edge that is no parabola is told, with its probability") {
    // Residuals a (-1, 2, 0, -2, 1), orthogonal to 1, p, p^2: F = 5 a^2/s^2, p = (1 + 2F/nu)^(-nu/2).
    const std::array<double, 5> cubic{-1, 2, 0, -2, 1};
    for (const double a : {0.004, 0.02}) {
      check::Strip gaps;
      for (int i = 0; i < 5; ++i)
        gaps.spots.push_back(
            spot_at(300.0 * i, {0.5 + 0.03 * (i - 2) * (i - 2) + a * cubic[static_cast<std::size_t>(i)]}));
      const check::Bow bow = check::rail_bow(gaps, {{on_reading(0.01, 8)}}, 0.01);
      REQUIRE(bow.parabola_p);
      const double f = 5 * a * a / 1e-4;
      CHECK(near(*bow.parabola_p, std::pow(1 + 2 * f / 8, -4), 1e-9, 0));
      CHECK(bow.kinked == (a > 0.01));
      CHECK(near(bow.h_mm, 0.06, 1e-9, 0));
      // g of five equal steps is (2, -1, -2, -1, 2)/14 times 4/2; kinked: u from what is left.
      const double per = std::sqrt(14.0) / 14 * 2;
      const double s2 = a > 0.01 ? 5 * a * a : (8e-4 + 10 * a * a) / 10;
      CHECK(near(bow.u_mm, per * std::sqrt(s2), bow.kinked ? 0.15 : 1e-9, 0));
      if (bow.kinked) {
        CHECK(bow.half_width_mm > 4.2 * per * std::sqrt(s2));  // t on 2 is 4.303
        CHECK(bow.half_width_mm < 4.5 * per * std::sqrt(s2));
      }
    }
    // Two halves joined at an angle.
    const auto joined =
        gaps_of({0, 200, 400, 600, 800, 1000, 1200}, [](double p) { return std::fabs(p - 600) * 5e-4; });
    CHECK(check::rail_bow(joined, {{on_reading(0.01, 8)}}, 0.01).kinked);
  }

  TEST_CASE("an S shape fits itself turned end for end: it is not seen") {
    const double length = 1200;
    const auto edge = [&](double p) { return 0.3 * std::sin(2 * 3.14159265358979 * p / length); };
    const auto gaps =
        gaps_of({0, 300, 600, 900, 1200}, [&](double p) { return 0.1 - edge(p) - edge(length - p); });
    const check::Bow bow = check::rail_bow(gaps, {{on_reading(0.01, 8)}}, 0.01);
    CHECK(near(bow.h_mm, 0, 0, 1e-12));
    CHECK(!bow.kinked);
  }

  TEST_CASE("the joint of two sawn edges is curved by twice the bow") {
    for (const double h : {0.05, -0.1}) {
      const auto c = test::square_cases()[1];
      auto table = test::table_of(c.station, c.setup);
      table.curvature_per_mm = 8 * h / (550.0 * 550.0);
      const auto sawn =
          test::saw(table, test::raw_panel({test::Point{0, 0}, {600, 0}, {600, 550}, {0, 550}}), 0, 1);
      const auto run = test::run_of(sawn.kept, 1);
      const auto& corners = sawn.kept.corners;
      using test::operator-;
      const auto from = corners[run.front()], along = test::unit(corners[run.back()] - from);
      check::Strip gaps;
      for (const std::size_t share : {5u, 40u, 128u, 200u, 250u}) {
        const auto at = corners[run[share]] - from;
        // The piece lies left of its edges: right of the chord is outward.
        gaps.spots.push_back(spot_at(test::dot(at, along), {0.5 + 2 * test::cross(along, at)}));
      }
      const auto bow = check::curvature_of(gaps, {}, 1e-6);
      REQUIRE(bow);
      CHECK(near(bow->h_mm * std::pow(550 / bow->over_mm, 2), h, 1e-4, 0));
    }
  }

  TEST_CASE("saw marks of a pair: spots about the parabola count, or evidence") {
    auto gaps = gaps_of({20, 270, 520}, [](double p) { return 0.2 + (p == 270 ? 0.05 : 0.0); });
    std::vector<check::Evidence> evidence{on_reading(0.01, 8)};
    const auto bare = check::curvature_of(gaps, evidence, 0.01);
    evidence.push_back(on_reading(0.03, 8));
    evidence.back().component = check::Component::saw_marks;
    const auto with = check::curvature_of(gaps, evidence, 0.01);
    CHECK(near(bare->u_mm, std::sqrt(0.375) * 0.01, 1e-9, 0));
    CHECK(near(with->u_mm, std::sqrt(0.375 * (0.01 * 0.01 + 0.03 * 0.03)), 1e-9, 0));
    CHECK(with->dof > 8);
    CHECK(with->dof < 16);
    gaps.spots.pop_back();
    CHECK(!check::curvature_of(gaps, evidence, 0.01));

    // Five places, each twice and alike: what scatters is the edge.
    check::Strip five;
    const std::array<double, 5> cubic{-1, 2, 0, -2, 1};
    for (int i = 0; i < 5; ++i) {
      const double gap = 0.5 + 0.02 * cubic[static_cast<std::size_t>(i)];
      five.spots.push_back(spot_at(100.0 * i, {gap, gap}));
    }
    const auto marked = check::curvature_of(five, {}, 0.001);
    CHECK(near(marked->half_width_mm, 4.3027 * std::sqrt(5.0) * 0.02 * std::sqrt(14.0) / 7, 1e-3, 0));
    CHECK(!marked->kinked);
  }

  TEST_CASE("what is no rail test is refused, with its place and a hint") {
    const auto good = gaps_of({0, 150, 300}, [](double) { return 0.1; });
    CHECK_NOTHROW(check::rail_bow(good, {}, 0.01));
    const auto refused = [](const check::Strip& gaps) {
      try {
        check::rail_bow(gaps, {}, 0.01, 0.95, "rail.csv");
      } catch (const units::InputError& e) {
        CHECK(!e.hint().empty());
        CHECK(e.where().source == "rail.csv");
        return e.subject();
      }
      return std::string();
    };
    auto bad = good;
    bad.spots[1].readings[0].mm = -0.1;
    CHECK(refused(bad) == "gap");
    bad.spots[1].readings[0].mm = 5.1;
    CHECK(refused(bad) == "gap");
    bad.spots[1].readings[0].mm = std::nan("");
    CHECK(refused(bad) == "gap");
    bad = good;
    bad.spots[1].position_mm = 0.5;
    CHECK(refused(bad) == "position");
    bad.spots[1].position_mm = -3;
    CHECK(refused(bad) == "position");
    bad = good;
    bad.spots[2].position_mm = 199;
    CHECK(refused(bad) == "places");
    bad = good;
    bad.spots.pop_back();
    CHECK(refused(bad) == "gaps");
    bad = good;
    bad.spots[0].readings.clear();
    CHECK(refused(bad) == "place at 0 mm");
  }

  TEST_CASE("the 95 % interval of a rail's bow holds it, 10,000 simulated tests a figure") {
    const std::vector<double> three{0, 600, 1200}, five{0, 300, 600, 900, 1200};
    for (const double step : {0.01, 1e-6}) {
      for (const auto& design :
           {Simulated{three, 1, 2}, Simulated{three, 1, 8}, Simulated{five, 2, 0}, Simulated{five, 1, 8}}) {
        auto rounded_to = design;
        rounded_to.step_mm = step;
        const double held = coverage(rounded_to, 10'000);
        CAPTURE(step);
        CAPTURE(design.evidence_nu);
        CAPTURE(held);
        CHECK(held > 0.93);
        CHECK(held < 0.97);
      }
    }
  }

  TEST_CASE("readings finer than their steps are not told as finer than they are") {
    for (const auto& places : {std::vector<double>{0, 600, 1200}, {0, 400, 800, 1200}}) {
      for (const double share : {0.2, 0.4, 1.0}) {
        const int nu = places.size() == 3 ? 2 : 0;
        const double held = coverage({places, 1, nu, 0.01 * share, 0.01}, 4'000);
        CAPTURE(share);
        CAPTURE(nu);
        CAPTURE(held);
        // Places alike on both sides of the middle are rounded alike, so that they scatter less than they
        // err.
        CHECK(held > 0.915);
      }
    }
  }
}
