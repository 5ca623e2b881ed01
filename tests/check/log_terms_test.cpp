// SPDX-License-Identifier: MIT
// A log in few numbers against its checks one by one, and against the full mixed model over all readings.
#include "check/log_terms.hpp"

#include <doctest/doctest.h>

#include <array>
#include <chrono>
#include <memory>
#include <random>

#include "check/dense_form.hpp"
#include "check/log_builder.hpp"
#include "check/scatter.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::dense_of;
using test::near;
using test::unbalanced;

namespace {

/// Checks as they come: cut on, of one strip, two spots read unequally often, coarse, spots and readings at
/// will, and many of one unequal design.
std::vector<check::Check> mixed_log() {
  std::mt19937_64 random(20260311);
  std::vector<check::Check> log;
  test::Design design;
  design.sigma_f = 0.02;
  design.sigma_r = 1e-4;
  design.positions = {20, 260, 500};
  for (const int cuts : {5, 7, 8, 8, 10}) {
    design.cuts = cuts;
    log.push_back(design.check(random));
  }
  design.step = 0.1;
  log.push_back(design.check(random));
  design.step = 0.01;
  design.cuts = 6;
  design.panels = 2;
  design.positions = {20, 500};
  for (int i = 0; i < 3; ++i) {
    log.push_back(design.check(random));
    for (auto& strip : log.back().strips) strip.spots[0].readings.resize(2);
    if (i == 2) log.back().strips[0].spots[1].readings.resize(1);
  }
  for (std::uint64_t i = 0; i < 3; ++i) log.push_back(unbalanced(2, 7, 50 + i));
  design.panels = 1;
  design.positions = {20, 260, 500};
  for (int i = 0; i < 40; ++i) {  // three spots, the middle one read once, half way or not
    design.positions[1] = i < 30 ? 300 : 260;
    log.push_back(design.check(random));
    for (auto& strip : log.back().strips) strip.spots[1].readings.resize(1);
  }
  design.positions = {20, 180, 330, 500};
  for (int i = 0; i < 40; ++i) {
    log.push_back(design.check(random));
    for (auto& strip : log.back().strips) strip.spots[2].readings.resize(1);
  }
  return log;
}

constexpr double kS2 = 2.4e-4;

check::GroupData group_of(const check::Check& check, double span) {
  const check::Corners corners = check::corners_of(check);
  return check::group_of(check, corners, check::summarise(check),
                         std::vector<double>(corners.names.size(), span), kS2);
}

void compare(const stats::RemlPoint& a, const stats::RemlPoint& b, double information_abs) {
  for (std::size_t i = 0; i < 3; ++i) CHECK(near(a.gradient[i], b.gradient[i], 1e-8, 1e-3));
  for (std::size_t i = 0; i < 9; ++i) CHECK(near(a.information[i], b.information[i], 1e-8, information_abs));
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("a log in few numbers is its checks one by one") {
    const std::vector<check::Check> log = mixed_log();
    const check::Check today = unbalanced(2, 6, 9);
    const double lambda = 0.4;
    std::vector<check::GroupData> groups{group_of(today, 384)};
    check::LogBuilder builder;
    for (std::size_t i = 0; i < log.size(); ++i) {
      const double span = i % 2 == 0 || i > 12 ? 384.0 : 288.0;
      const bool seating = i != 3;
      groups.push_back(group_of(log[i], span));
      builder.add(groups.back(), check::summarise(log[i]).ss_line, seating);
      groups.back().discount = seating ? lambda : 0;
    }
    const auto terms = std::make_shared<const check::LogTerms>(builder.finish());
    CHECK(terms->skew.size() == 2);     // 40 checks of three spots
    CHECK(terms->unequal.size() < 20);  // 43 checks with more
    const check::StripLikelihood few({groups.front()}, {}, terms, lambda), all(groups, {});
    double constant = 0;
    for (const std::array<double, 3> theta : {std::array{2e-4, 3e-4, 4e-4}, std::array{1e-4, 2e-5, 9e-4},
                                              std::array{5e-4, 1e-4, 0.0}, std::array{1e-5, 1e-3, 1e-2}}) {
      stats::RemlPoint a, b;
      few.evaluate(theta, a);
      all.evaluate(theta, b);
      if (constant == 0) constant = b.minus_log - a.minus_log;
      CHECK(near(b.minus_log - a.minus_log, constant, 1e-12, 1e-8));
      compare(a, b, 1e-2);
    }
  }

  TEST_CASE("the fit with a log is the restricted likelihood of all readings, dense") {
    // lambda on the taper terms: a check counts lambda times in full and 1 - lambda times with a taper of its
    // own for every strip, which leaves its pure error and residuals.
    const check::Check today = unbalanced(1, 7, 3);
    std::vector<check::ScatterEvidence> log;
    for (std::uint64_t i = 0; i < 3; ++i) log.push_back({unbalanced(1, 7, 21 + i), 300, "", ""});
    test::Design design;
    design.positions = {20, 260, 500};
    design.sigma_f = 0.02;
    design.sigma_r = 1e-4;
    design.step = 0;
    std::mt19937_64 random(4);
    for (const int cuts : {5, 8}) {
      design.cuts = cuts;
      log.push_back({design.check(random), 300, "", ""});
    }
    for (const double omega2 : {0.0, 0.2}) {
      CAPTURE(omega2);
      check::FitOptions options;
      options.span_mm = 300;
      options.use_assumed = false;
      options.omega2 = omega2;
      const check::ScatterFit fit = check::fit_scatter(today, check::corners_of(today), {}, log, options);
      const double nu_j = 3 * 2 + 0 + 3, lambda = 1 / (1 + omega2 * nu_j / 2);
      REQUIRE(fit.log);
      CHECK(near(fit.log_nu, nu_j * lambda, 1e-12, 0));
      std::vector<std::pair<double, stats::DenseModel>> parts;
      parts.emplace_back(1.0, dense_of(today, check::corners_of(today), 300));
      for (const auto& old : log) {
        const check::Corners corners = check::corners_of(old.readings);
        parts.emplace_back(lambda, dense_of(old.readings, corners, 300));
        if (lambda < 1) parts.emplace_back(1 - lambda, dense_of(old.readings, corners, 300, true));
      }
      const auto model = [&](std::span<const double> theta, stats::RemlPoint& out) {
        out.minus_log = 0;
        out.gradient.assign(3, 0.0);
        out.information.assign(9, 0.0);
        for (const auto& part : parts) {
          stats::RemlPoint one;
          part.second.evaluate(theta, one);
          out.minus_log += part.first * one.minus_log;
          for (std::size_t i = 0; i < 3; ++i) out.gradient[i] += part.first * one.gradient[i];
          for (std::size_t i = 0; i < 9; ++i) out.information[i] += part.first * one.information[i];
        }
      };
      const stats::RemlFit full = stats::maximise_reml(model, std::array{1e-4, 1e-4, 1e-4});
      REQUIRE(full.converged);
      for (std::size_t k = 0; k < 3; ++k) CHECK(near(fit.theta[k], full.theta[k], 1e-6, 1e-12));
      for (std::size_t k = 0; k < 9; ++k) CHECK(near(fit.information[k], full.at.information[k], 1e-5, 1e-2));
      const stats::Gls gls = stats::generalised_least_squares(parts.front().second, full.theta);
      CHECK(near(fit.tapers.beta[0], gls.beta[0], 1e-6, 1e-13));
      CHECK(near(fit.variance(), gls.covariance[0], 1e-5, 0));
    }
  }

  TEST_CASE("a log of a thousand checks stays as small as its designs are few") {
    std::mt19937_64 random(8);
    test::Design design;
    design.cuts = 8;
    design.positions = {20, 260, 500};
    design.sigma_r = 5e-5;
    std::vector<check::ScatterEvidence> alike, unlike;
    check::LogBuilder builder;
    for (int i = 0; i < 1000; ++i) {
      alike.push_back({design.check(random), 384, "", ""});
      const auto& readings = alike.back().readings;
      builder.add(group_of(readings, 384), check::summarise(readings).ss_line, true);
      test::Design other = design;
      other.positions[1] += i;
      unlike.push_back({other.check(random), 384, "", ""});
    }
    const check::LogTerms terms = builder.finish();
    CHECK(terms.classes.size() == 1);
    CHECK(terms.tapers.size() == 3);
    CHECK(terms.unequal.empty());
    check::FitOptions options;
    options.span_mm = 384;
    std::vector<check::ScatterEvidence> ragged = unlike;
    for (auto& one : ragged) {
      for (auto& strip : one.readings.strips) strip.spots[1].readings.resize(2);
    }
    for (const auto* log : {&alike, &unlike, &ragged}) {
      const auto start = std::chrono::steady_clock::now();
      const check::Fit fit = check::fit(design.check(random), {}, *log, options);
      const auto took = std::chrono::steady_clock::now() - start;
      MESSAGE("a check against 1,000: " << std::chrono::duration<double, std::milli>(took).count() << " ms");
      CHECK(took < std::chrono::seconds(1));  // of the order of 5 ms where the machine is left alone
      REQUIRE(fit.log.has_value());
      CHECK(fit.log->used());
      CHECK(near(fit.log->nu_counted, 1 / (1.0 / 3000 + 0.1), 1e-12, 0));
    }
  }
}
