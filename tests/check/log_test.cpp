// SPDX-License-Identifier: MIT
// What earlier checks may and may not tell today's (M18).
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "check/fit.hpp"
#include "check/log_choice.hpp"
#include "check/scatter.hpp"
#include "stats/distributions.hpp"
#include "stats/reml.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::near;

namespace {

bool has(const check::Fit& fit, const char* code) {
  return std::any_of(fit.findings.begin(), fit.findings.end(), [&](const auto& f) { return f.code == code; });
}

/// Five-cuts with these tapers, three spots, two readings that differ by `apart`; the middle spot is off by
/// `saw`.
check::Check with_tapers(const std::vector<double>& tapers, double apart = 1e-5, double saw = 1e-5,
                         double length = 500) {
  check::Check c;
  int panel = 0;
  for (const double taper : tapers) {
    check::Strip strip{++panel, 1, 5, {}};
    for (const double p : {0.0, length / 2, length}) {
      check::Spot spot;
      spot.position_mm = p;
      for (const double sign : {-0.5, 0.5}) {
        check::Reading reading;
        reading.step_mm = 1e-7;
        reading.mm = 25 - taper * p + (p == length / 2 ? saw : 0.0) + sign * apart;
        spot.readings.push_back(reading);
      }
      strip.spots.push_back(spot);
    }
    c.strips.push_back(strip);
  }
  return c;
}

double variance_of(const std::vector<double>& x) {
  double mean = 0, ss = 0;
  for (const double v : x) mean += v / static_cast<double>(x.size());
  for (const double v : x) ss += (v - mean) * (v - mean);
  return ss / static_cast<double>(x.size() - 1);
}

check::FitOptions options_of(double omega2 = 0.2) {
  check::FitOptions options;
  options.span_mm = 384;
  options.use_assumed = false;
  options.omega2 = omega2;
  return options;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("today's seating against the log's is the F test of two variances where measuring is exact") {
    // NIST/SEMATECH e-Handbook 1.3.5.9, F test for equality of two variances (section number from memory):
    // s_1^2/s_2^2 on (n_1 - 1, n_2 - 1), s_2^2 pooled here over three checks, each about its own mean.
    const std::vector<double> today{1.0e-3, 1.9e-3, 0.7e-3, 1.4e-3};
    const std::vector<std::vector<double>> before{
        {0.2e-3, 0.5e-3}, {1.1e-3, 0.8e-3, 1.3e-3}, {-0.4e-3, -0.1e-3}};
    std::vector<check::ScatterEvidence> log;
    double ss = 0, nu = 0;
    for (const auto& tapers : before) {
      log.push_back({with_tapers(tapers), 384, "", ""});
      ss += variance_of(tapers) * static_cast<double>(tapers.size() - 1);
      nu += static_cast<double>(tapers.size() - 1);
    }
    const double f = variance_of(today) / (ss / nu);
    for (const double omega2 : {0.0, 0.2}) {
      CAPTURE(omega2);
      const check::Fit fit = check::fit(with_tapers(today), {}, log, options_of(omega2));
      REQUIRE(fit.log.has_value());
      REQUIRE(fit.log->p_same.has_value());
      const double counted = 1 / (1 / nu + omega2 / 2);  // by (M18)
      CHECK(near(fit.log->nu_counted, counted, 1e-12, 0));
      CHECK(near(*fit.log->p_same, stats::f_upper(f, 3, counted), 1e-5, 0));
      CHECK(fit.log->checks == 3);
      CHECK(fit.log->strips == 7);
    }
  }

  TEST_CASE("seating that has changed: the log's is left out and the result says so") {
    const std::vector<double> today{0.0, 3e-3, 6e-3, 1e-3};
    std::vector<check::ScatterEvidence> log;
    for (int i = 0; i < 5; ++i) log.push_back({with_tapers({1e-3, 1.3e-3, 0.8e-3}, 0.02, 0.01), 384, "", ""});
    const check::Check check = with_tapers(today, 0.02, 0.01);
    const check::Fit with = check::fit(check, {}, log, options_of());
    const check::Fit without = check::fit(check, {}, {}, options_of());
    REQUIRE(with.log.has_value());
    CHECK(with.log->seating == check::LogSeating::differs);
    CHECK(*with.log->p_same < 0.05);
    REQUIRE(has(with, "log-not-used"));
    const auto finding = std::find_if(with.findings.begin(), with.findings.end(),
                                      [](const auto& f) { return f.code == "log-not-used"; });
    // V of a contrast is 8 s^2/span^2 of the log, far above what measuring adds: the ratio is that of the
    // scatters.
    CHECK(near(finding->numbers.at("ratio"),
               std::sqrt(variance_of(today) / variance_of({1e-3, 1.3e-3, 0.8e-3})), 0.02, 0));
    CHECK(with.rule == without.rule);
    CHECK(near(with.eta.x, without.eta.x, 1e-12, 0));
    CHECK(near(with.eta.half_width, without.eta.half_width, 1e-9, 0));
    CHECK(near(*with.log->half_width_without, without.eta.half_width, 1e-12, 0));
    CHECK(with.scatter[2].source == check::Source::readings);
    // its repeats still inform the reading: 2 strips x 3 spots x 1 more a strip
    CHECK(with.scatter[0].dof == without.scatter[0].dof + 5 * 9);
    CHECK_FALSE(has(without, "log-not-used"));
    CHECK_FALSE(without.log.has_value());
  }

  TEST_CASE("a log of one-strip checks knows nothing of seating, yet of reading and saw marks") {
    std::mt19937_64 random(31);
    test::Design design;
    design.positions = {20, 260, 500};
    design.sigma_f = 0.02;
    design.sigma_r = 5e-5;
    std::vector<check::ScatterEvidence> log;
    for (int i = 0; i < 8; ++i) log.push_back({design.check(random), 384, "", ""});
    design.positions = {20, 500};
    design.repeats = 1;
    const check::Check today = design.check(random);  // by itself: no repeat, no residual
    CHECK_THROWS_AS((void)check::fit(today, {}, {}, options_of()), check::NoInterval);
    const check::Fit blind = check::fit(today, {}, log, options_of());
    REQUIRE(blind.eta.unknown.has_value());
    CHECK(*blind.eta.unknown == "seating-unseen");
    REQUIRE(blind.log.has_value());
    CHECK(blind.log->seating == check::LogSeating::one_strip_each);
    CHECK(blind.log->nu_counted == 0);
    CHECK_FALSE(blind.log->p_same.has_value());
    CHECK_FALSE(blind.log->half_width_without.has_value());
    CHECK(blind.scatter[0].source == check::Source::log);
    CHECK(blind.scatter[0].dof == 8 * 3 * 2);
    CHECK(blind.scatter[1].source == check::Source::log);
    CHECK_FALSE(has(blind, "saw-marks-unseen"));
    check::FitOptions assuming = options_of();
    assuming.use_assumed = true;
    const check::Fit assumed = check::fit(today, {}, log, assuming);
    CHECK(assumed.provisional);
    CHECK(assumed.scatter[2].source == check::Source::assumed);
    CHECK(has(assumed, "seating-unseen"));
  }

  TEST_CASE("two spots a strip hand on no seating while nothing tells saw marks from it") {
    std::mt19937_64 random(12);
    test::Design design;
    design.cuts = 8;
    design.positions = {20, 500};
    design.sigma_r = 5e-5;
    std::vector<check::ScatterEvidence> log;
    for (int i = 0; i < 5; ++i) log.push_back({design.check(random), 384, "", ""});
    test::Design one = design;
    one.cuts = 5;
    const check::Check today = one.check(random);
    const check::Fit unseen = check::fit(today, {}, log, options_of());
    REQUIRE(unseen.log.has_value());
    CHECK(unseen.log->seating == check::LogSeating::saw_marks_unseen);
    CHECK(unseen.log->nu_counted == 0);
    CHECK(unseen.eta.unknown.has_value());
    CHECK(unseen.scatter[0].dof == 4 + 5 * 4 * 4);
    // known from outside, from one earlier check, or from today's own third spot: it is handed on
    const std::vector<check::Evidence> saw{{check::Component::saw_marks, 1e-4, 8, check::Source::log, ""}};
    CHECK(check::fit(today, saw, log, options_of()).log->used());
    one.positions = {20, 260, 500};
    std::vector<check::ScatterEvidence> one_more = log;
    one_more.push_back({one.check(random), 384, "", ""});
    CHECK(check::fit(today, {}, one_more, options_of()).log->used());
    CHECK(check::fit(one.check(random), {}, log, options_of()).log->used());
    CHECK(check::hands_on_seating(log[0].readings, 1));
    CHECK_FALSE(check::hands_on_seating(log[0].readings, 0));
    CHECK_FALSE(check::hands_on_seating(today, 8));
  }

  TEST_CASE("two maxima: the better one, whichever side it lies on") {
    // Sixty short strips that scatter 1.3 times as much as measuring lets expect, in variance: just not
    // enough to reject a log of two long strips that agree. Along s^2 the likelihood has a maximum at each;
    // how large reading and saw marks are is known.
    constexpr double kApart = 0.02, kSaw = 0.0123, kReading2 = 2e-4, kSaw2 = 1e-6;
    const double measured = (kReading2 / 2 + kSaw2) / (2 * 20.0 * 20.0);
    std::vector<double> today(60);
    for (std::size_t i = 0; i < today.size(); ++i) today[i] = static_cast<double>(i);
    const double scale = std::sqrt(1.3 * measured / variance_of(today));
    for (double& taper : today) taper *= scale;
    const std::vector<check::ScatterEvidence> log{
        {with_tapers({1e-3, 1.01e-3}, kApart, kSaw, 600), 384, "", ""}};
    const check::Check check = with_tapers(today, kApart, kSaw, 40);
    const std::vector<check::Evidence> known{
        {check::Component::reading, kReading2, 1e5, check::Source::caliper, ""},
        {check::Component::saw_marks, kSaw2, 1e5, check::Source::log, ""}};
    double at[2] = {0, 0};
    int which = 0;
    for (const double omega2 : {1.0, 10.0}) {
      CAPTURE(omega2);
      const check::ScatterFit fit =
          check::fit_scatter(check, check::corners_of(check), known, log, options_of(omega2));
      REQUIRE(fit.log);
      // The likelihood along s^2, the other variances at their best.
      std::vector<double> along;
      for (double s2 = 1e-6; s2 < 1; s2 *= 1.2) {
        const auto model = [&](std::span<const double> theta, stats::RemlPoint& out) {
          stats::RemlPoint all;
          fit.likelihood->evaluate(std::array{theta[0], theta[1], s2}, all);
          out.minus_log = all.minus_log;
          out.gradient = {all.gradient[0], all.gradient[1]};
          out.information = {all.information[0], all.information[1], all.information[3], all.information[4]};
        };
        along.push_back(stats::maximise_reml(model, std::array{2e-4, 1e-5}).at.minus_log);
      }
      int maxima = along[0] < along[1] ? 1 : 0;
      for (std::size_t i = 1; i + 1 < along.size(); ++i)
        maxima += along[i] < along[i - 1] && along[i] < along[i + 1] ? 1 : 0;
      CHECK(maxima == 2);
      CHECK(fit.minus_log <= *std::min_element(along.begin(), along.end()) + 1e-6);
      at[which++] = fit.theta[2];
    }
    CHECK(at[0] < 1e-5);
    CHECK(at[1] > 5e-4);
  }

  TEST_CASE("what the log bought") {
    std::mt19937_64 random(11);
    test::Design design;
    design.cuts = 8;
    design.positions = {20, 260, 500};
    design.sigma_r = 3e-5;
    std::vector<check::ScatterEvidence> log;
    for (int i = 0; i < 7; ++i) log.push_back({design.check(random), 384, "", ""});
    design.cuts = 5;
    const check::Check today = design.check(random);
    check::FitOptions options = options_of();
    options.use_assumed = true;
    const check::Fit fit = check::fit(today, {}, log, options);
    REQUIRE(fit.log.has_value());
    CHECK(fit.log->used());
    CHECK_FALSE(fit.provisional);
    CHECK(fit.log->assumed_without);
    REQUIRE(fit.log->half_width_without.has_value());
    CHECK(near(*fit.log->half_width_without, check::fit(today, {}, {}, options).eta.half_width, 1e-12, 0));
    CHECK(fit.eta.half_width < 0.6 * *fit.log->half_width_without);
    // The order in which the log is given does not matter.
    std::reverse(log.begin(), log.end());
    CHECK(near(check::fit(today, {}, log, options).eta.half_width, fit.eta.half_width, 1e-9, 0));
  }

  TEST_CASE(
      "a log that counts for less than the assumption's degrees of freedom does not widen what it informs") {
    std::mt19937_64 random(12);
    test::Design design;
    design.cuts = 6;
    design.positions = {20, 260, 500};
    design.sigma_r = 4e-5;
    std::vector<check::ScatterEvidence> log{{design.check(random), 384, "", ""}};
    design.cuts = 5;
    const check::Check today = design.check(random);
    check::FitOptions options = options_of();
    options.use_assumed = true;
    const check::Fit one = check::fit(today, {}, log, options);
    CHECK(one.provisional);
    CHECK(one.scatter[2].source == check::Source::assumed);
    CHECK(has(one, "seating-unseen"));
    REQUIRE(one.log->half_width_without.has_value());
    CHECK(one.eta.half_width < 1.05 * *one.log->half_width_without);
    design.cuts = 6;
    for (int i = 0; i < 4; ++i) log.push_back({design.check(random), 384, "", ""});
    const check::Fit five = check::fit(today, {}, log, options);
    CHECK_FALSE(five.provisional);
    CHECK(five.scatter[2].source == check::Source::log);
  }

  TEST_CASE("scatter is a person's own from three checks on") {
    const auto by = [](std::initializer_list<const char*> persons) {
      std::vector<check::ScatterEvidence> log;
      for (const char* person : persons) {
        log.push_back({});
        log.back().person = person;
        log.back().check_id = std::to_string(log.size());
      }
      return log;
    };
    const auto ids = [](const std::vector<check::ScatterEvidence>& log) {
      std::string all;
      for (const auto& one : log) all += one.check_id;
      return all;
    };
    CHECK(ids(check::log_of_person(by({"a", "b", "a", "b"}), "a")) == "1234");
    CHECK(ids(check::log_of_person(by({"a", "b", "a", "", "a"}), "a")) == "135");
    CHECK(ids(check::log_of_person(by({"a", "b", "a", "", "a"}), "b")) == "12345");
    CHECK(ids(check::log_of_person(by({"", "", "", "a"}), "")) == "1234");
    CHECK(check::log_of_person({}, "a").empty());
  }
}
