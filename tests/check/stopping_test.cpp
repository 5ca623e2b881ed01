// SPDX-License-Identifier: MIT
// Looking after every strip by plan (M93): information by hand and by a plain elimination, levels, intervals
// and answers; and what all looks together cover, with strips sawn by exact edge directions.
#include "check/stopping.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "stats/distributions.hpp"
#include "stats/group_sequential.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;
using check::Answer;
using test::near;

/// t' V^-1 t by elimination: strips a and b of one panel share 4 - |a - b| corners (M7), v is the variance of
/// one taper.
double dense_information(int strips, double v, double sigma_r) {
  const auto n = static_cast<std::size_t>(strips);
  std::vector<std::vector<double>> m(n, std::vector<double>(n + 1, 4.0));
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b < n; ++b) {
      const double apart = std::fabs(static_cast<double>(a) - static_cast<double>(b));
      m[a][b] = sigma_r * sigma_r * std::max(0.0, 4 - apart) + (a == b ? v : 0);
    }
  }
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = 0; i < n; ++i) {
      if (i == k) continue;
      const double f = m[i][k] / m[k][k];
      for (std::size_t j = k; j <= n; ++j) m[i][j] -= f * m[k][j];
    }
  }
  double sum = 0;
  for (std::size_t k = 0; k < n; ++k) sum += 4 * m[k][n] / m[k][k];
  return sum;
}

check::StoppingPlan plan_of(int strips, bool log, double sigma_r) {
  check::StoppingPlan plan;
  plan.strips = strips;
  plan.log = log;
  plan.sigma_m_mm = 0.015;
  plan.sigma_r_rad = sigma_r;
  return plan;
}

check::Fit fit_of(double x, double u, double dof) {
  check::Fit fit;
  fit.eta = {x, u, dof, 0.95, stats::t_quantile(0.975, dof) * u, {}};
  return fit;
}

struct Looks {
  int trials = 0;
  int covered = 0, below = 0, above = 0;  ///< all looks hold the truth; one lies below it, one above
  void count(bool any_below, bool any_above) {
    ++trials;
    covered += any_below || any_above ? 0 : 1;
    below += any_below ? 1 : 0;
    above += any_above ? 1 : 0;
  }
  [[nodiscard]] double share(int n) const { return static_cast<double>(n) / trials; }
  [[nodiscard]] std::string text(const char* name) const {
    return std::string(name) + " covers " + std::to_string(share(covered)) + ", errs " +
           std::to_string(share(below)) + " below and " + std::to_string(share(above)) + " above; ";
  }
};

struct Sequence {
  Looks naive, planned;
};

/// Strips are cut to the end whatever the looks say: all looks of a plan are counted.
Sequence look_often(const test::Design& design, int log_nu, int trials) {
  check::StoppingPlan plan = plan_of(design.strips(), log_nu > 0, design.sigma_r);
  plan.own_panels = design.panels > 1;
  plan.positions_mm = design.positions;
  plan.readings = design.repeats;
  const std::vector<check::Look> looks = check::planned_looks(plan);
  check::FitOptions options;
  options.span_mm = design.span;
  options.use_assumed = false;
  const double s = design.sigma_r * design.span / std::sqrt(2.0);
  std::mt19937_64 random(20260301);  // fixed once
  Sequence out;
  for (int i = 0; i < trials; ++i) {
    const check::Check whole = design.check(random);
    std::vector<check::Evidence> evidence;
    if (log_nu > 0) {
      evidence.push_back({check::Component::seating, s * s * test::mean_square(random, log_nu),
                          static_cast<double>(log_nu), check::Source::log, ""});
    }
    bool below[2] = {false, false}, above[2] = {false, false};
    for (const check::Look& look : looks) {
      check::Check so_far = whole;
      so_far.strips.resize(static_cast<std::size_t>(look.strips));
      const check::Fit fit = check::fit(so_far, evidence, {}, options);
      const check::Estimate both[2] = {fit.eta, check::repeated_interval(fit, look)};
      for (int k = 0; k < 2; ++k) {
        below[k] = below[k] || both[k].high() < design.eta;
        above[k] = above[k] || both[k].low() > design.eta;
      }
    }
    out.naive.count(below[0], above[0]);
    out.planned.count(below[1], above[1]);
  }
  return out;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("information after one strip and after two, by hand") {
    check::StoppingPlan plan = plan_of(2, true, 1e-4);
    plan.sigma_f_mm = 0.01;
    plan.positions_mm = {0, 250, 500};
    const double v = (0.015 * 0.015 / 3 + 0.01 * 0.01) / 125'000.0, r = 1e-8;
    const auto information = check::planned_information(plan);
    REQUIRE(information.size() == 2);
    CHECK(near(information[0], 16 / (4 * r + v), 1e-12, 0));
    // [4 3; 3 4] r + v I has the row sum 7 r + v.
    CHECK(near(information[1], 32 / (7 * r + v), 1e-12, 0));
  }

  TEST_CASE("information equals the dense formula; without seating it grows in equal steps") {
    for (const double sigma_r : {0.0, 1e-5, 1e-4, 1e-2}) {
      const auto information = check::planned_information(plan_of(20, true, sigma_r));
      const double v = 0.015 * 0.015 / 3 / 125'000.0;
      for (int j = 1; j <= 20; ++j) {
        CAPTURE(sigma_r);
        CAPTURE(j);
        const double got = information[static_cast<std::size_t>(j) - 1];
        CHECK(near(got, dense_information(j, v, sigma_r), 1e-10, 0));
        if (sigma_r == 0) CHECK(near(got, 16 * j / v, 1e-12, 0));
      }
      check::StoppingPlan panels = plan_of(8, true, sigma_r);
      panels.own_panels = true;
      CHECK(near(check::planned_information(panels)[4], 5 * 16 / (4 * sigma_r * sigma_r + v), 1e-12, 0));
    }
  }

  TEST_CASE("looks begin after three strips, with a log after one, and err together as planned") {
    for (const bool log : {false, true}) {
      for (const double confidence : {0.9, 0.95}) {
        const auto looks = check::planned_looks(plan_of(8, log, 1e-4), confidence);
        REQUIRE(looks.size() == (log ? 8U : 6U));
        CHECK(looks.front().strips == (log ? 1 : 3));
        CHECK(looks.back().strips == 8);
        CHECK(looks.back().share == 1);
        std::vector<double> shares, boundary;
        for (const auto& look : looks) {
          shares.push_back(look.share);
          boundary.push_back(-stats::normal_quantile(look.level / 2));
          CHECK(look.confidence == confidence);
          CHECK(near(boundary.back() * std::sqrt(look.share), boundary.front() * std::sqrt(shares.front()),
                     1e-9, 0));
        }
        CHECK(near(stats::crossing_probability(shares, boundary), 1 - confidence, 0, 1e-9));
      }
    }
    const auto only = check::planned_looks(plan_of(3, false, 1e-4));
    REQUIRE(only.size() == 1);
    CHECK(near(only[0].level, 0.05, 1e-9, 0));
    // Readings alone: equal steps, and METHOD.md's own constant for eight.
    CHECK(near(check::planned_looks(plan_of(8, true, 0)).back().level, 2 * stats::normal_probability(-2.0722),
               0, 1e-5));
  }

  TEST_CASE("a repeated interval is t at the look's level times u") {
    const check::Look look{4, 0.6, 0.01, 0.95};
    // t at 0.995 on 10 degrees of freedom is 3.169 in every table.
    const auto interval = check::repeated_interval(fit_of(2e-4, 1e-5, 10), look);
    CHECK(near(interval.half_width, 3.16927e-5, 1e-5, 0));
    CHECK(interval.x == 2e-4);
    CHECK(interval.confidence == 0.95);
    // The only look of a plan is the interval of the fit.
    const check::Fit fit = fit_of(2e-4, 1e-5, 3.5);
    const auto once = check::repeated_interval(fit, check::planned_looks(plan_of(1, true, 1e-4)).front());
    CHECK(near(once.half_width, fit.eta.half_width, 1e-9, 0));
    for (const double dof : {1.0, 1.3, 30.0, check::kUnbounded}) {
      const auto tiny = check::repeated_interval(fit_of(0, 1e-5, dof), {1, 0.01, 1e-90, 0.95});
      CHECK(std::isfinite(tiny.half_width));
      CHECK(std::isinf(check::repeated_interval(fit_of(0, 1e-5, dof), {1, 1e-6, 0, 0.95}).half_width));
    }
  }

  TEST_CASE("within and outside need the whole interval; what cannot be told stays so") {
    const auto interval = [](double x, double half_width) {
      check::Estimate e;
      e.x = x;
      e.half_width = half_width;
      return e;
    };
    const double tolerance = 1e-4;
    CHECK(check::answer_at_look(interval(3e-5, 6e-5), tolerance) == Answer::within);
    CHECK(check::answer_at_look(interval(-3e-5, 6e-5), tolerance) == Answer::within);
    CHECK(check::answer_at_look(interval(5e-5, 6e-5), tolerance) == Answer::cannot_tell);
    CHECK(check::answer_at_look(interval(0, 2e-4), tolerance) == Answer::cannot_tell);
    CHECK(check::answer_at_look(interval(2e-4, 9e-5), tolerance) == Answer::outside);
    CHECK(check::answer_at_look(interval(-2e-4, 9e-5), tolerance) == Answer::outside);
    CHECK(check::answer_at_look(interval(2e-4, check::kUnbounded), tolerance) == Answer::cannot_tell);
    auto unknown = interval(0, 1e-6);
    unknown.unknown = "seating-unseen";
    CHECK(check::answer_at_look(unknown, tolerance) == Answer::cannot_tell);
  }

  TEST_CASE("plans that cannot be are refused by name") {
    const auto message = [](const check::StoppingPlan& plan) -> std::string {
      try {
        check::planned_looks(plan);
      } catch (const std::domain_error& e) {
        return e.what();
      }
      return "";
    };
    CHECK(message(plan_of(2, false, 1e-4)).find("first look") != std::string::npos);
    CHECK(message(plan_of(0, true, 1e-4)).find("strips") != std::string::npos);
    CHECK(message(plan_of(101, true, 1e-4)).find("strips") != std::string::npos);
    CHECK(message(plan_of(8, true, -1)).find("standard deviation") != std::string::npos);
    auto plan = plan_of(8, true, 1e-4);
    plan.sigma_m_mm = 0;
    CHECK(message(plan).find("readings") != std::string::npos);
    plan = plan_of(8, true, 1e-4);
    plan.positions_mm = {100, 100};
    CHECK(message(plan).find("positions") != std::string::npos);
    plan = plan_of(8, true, 1e-4);
    plan.readings = 0;
    CHECK(message(plan).find("readings") != std::string::npos);
    plan = plan_of(8, true, 1e-4);
    plan.span_mm = 0;
    CHECK(message(plan).find("span") != std::string::npos);
  }
}

TEST_SUITE("coverage") {
  TEST_CASE("eight strips, looked at after every one: plain intervals deceive, planned ones hold") {
    // Two spots, three readings each, reading 0.015 mm in steps of 0.01 mm; a log: s^2 on 12 degrees of
    // freedom.
    struct Cell {
      const char* name;
      int panels, cuts;
      double sigma_r;
      int log_nu;
      double naive;  ///< what plain 95 % intervals cover, all looks together
    };
    const Cell cells[] = {
        {"eight panels, log", 8, 5, 1e-4, 12, 0.82},
        {"progressive, log", 1, 12, 1e-4, 12, 0.86},
        {"progressive, no log", 1, 12, 1e-4, 0, 0.90},
        {"progressive, no log, wide seating", 1, 12, 3e-4, 0, 0.87},
    };
    const int n = test::trials(250);
    for (const Cell& cell : cells) {
      test::Design design;
      design.panels = cell.panels;
      design.cuts = cell.cuts;
      design.sigma_r = cell.sigma_r;
      REQUIRE(design.strips() == 8);
      const Sequence s = look_often(design, cell.log_nu, n);
      const std::string label =
          std::string(cell.name) + ": " + s.naive.text("plain") + s.planned.text("planned");
      INFO(label);
      MESSAGE(label);
      const auto error = [&](double share) { return 2.6 * std::sqrt(share * (1 - share) / n); };
      CHECK(std::fabs(s.naive.share(s.naive.covered) - cell.naive) <= 0.01 + error(cell.naive));
      CHECK(s.planned.share(s.planned.covered) >= 0.94 - error(0.94));
      CHECK(s.planned.share(s.planned.below) <= 0.03 + error(0.03));
      CHECK(s.planned.share(s.planned.above) <= 0.03 + error(0.03));
    }
  }
}
