// SPDX-License-Identifier: MIT
// What a history claims, held against simulated logs: how often a station that stands still is said to have
// moved, what the trend's ± covers, and how often a step or a trend is named rightly.
#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "history/history.hpp"
#include "support/simulate.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;
using history::Change;
using history::Entry;

constexpr std::uint64_t kSeed = 20260301;  // fixed once

double uniform(std::mt19937_64& random) {
  return (static_cast<double>(random() >> 11) + 0.5) * 0x1.0p-53;
}

struct Log {
  std::vector<Entry> entries;
  std::vector<history::Event> events;
};

/// Irregular dates; u differs by up to a factor of two and is known on 4 to 12 degrees of freedom, or well.
Log stationary(std::mt19937_64& random, std::size_t checks, double tau, bool with_events) {
  Log log;
  double date = 0;
  for (std::size_t i = 0; i < checks; ++i) {
    date += 1 - 20 * std::log(uniform(random));
    const double u = 2e-5 * (1 + uniform(random));
    const int nu = uniform(random) < 0.5 ? 0 : 4 + static_cast<int>(random() % 9);
    Entry e;
    e.date = date;
    e.eta = 1e-4 + std::hypot(u, tau) * test::normal(random);
    e.u = nu > 0 ? u * std::sqrt(test::mean_square(random, nu)) : u;
    if (nu > 0) e.dof = nu;
    log.entries.push_back(e);
    if (with_events && i + 1 < checks && uniform(random) < 0.25)
      log.events.push_back({uniform(random) < 0.5 ? "cleaned" : "new blade", date + 0.5, "", "", false});
  }
  return log;
}

}  // namespace

TEST_SUITE("coverage") {
  TEST_CASE("a station that stands still is rarely said to have moved") {
    for (const bool with_events : {false, true}) {
      const int n = test::trials(with_events ? 1000 : 2000);
      const double se = std::sqrt(0.05 * 0.95 / n);
      std::mt19937_64 random(kSeed);
      int step = 0, trend = 0, named = 0, changed = 0, unlike = 0, constant = 0, logs = 0;
      for (int trial = 0; trial < n; ++trial) {
        const double tau = 2e-5 * static_cast<double>(random() % 3);
        const Log log = stationary(random, 3 + random() % 18, tau, with_events);
        const auto told = history::history_of(log.entries, log.events);
        ++logs;
        step += told.step.p <= 0.05;
        trend += told.trend.p <= 0.05;
        changed += told.change != Change::none;
        named += told.change == Change::step || told.change == Change::trend;
        if (tau == 0) {
          ++constant;
          unlike += told.constancy.p <= 0.05;
        }
      }
      const auto rate = [](int count, int of) { return static_cast<double>(count) / of; };
      const std::string label =
          std::string(with_events ? "events: " : "no event: ") + "step " + std::to_string(rate(step, logs)) +
          ", trend " + std::to_string(rate(trend, logs)) + ", either " + std::to_string(rate(changed, logs)) +
          ", named " + std::to_string(rate(named, logs)) + ", not alike " +
          std::to_string(rate(unlike, constant));
      INFO(label);
      MESSAGE(label);
      // p of the better of two searches is doubled: below 5 % where there are events
      CHECK(rate(step, logs) <= 0.06);
      CHECK(rate(step, logs) >= (with_events ? 0.025 : 0.04));
      CHECK(std::fabs(rate(trend, logs) - 0.05) <= 0.01 + 2 * se);
      CHECK(rate(changed, logs) <= 0.10);
      CHECK(rate(named, logs) <= 0.05);
      CHECK(rate(unlike, constant) <= 0.06 + 2.6 * std::sqrt(0.06 * 0.94 / constant));
    }
  }

  TEST_CASE("the trend's interval holds the trend from two checks on") {
    const int n = test::trials(600);
    const double se = std::sqrt(0.95 * 0.05 / n);
    for (const double tau : {0.0, 3e-5}) {
      std::mt19937_64 random(kSeed);
      for (std::size_t checks = 2; checks <= 5; ++checks) {
        if (checks == 2 && tau > 0) continue;  // by their own u only, and said so
        int held = 0;
        for (int trial = 0; trial < n; ++trial) {
          Log log = stationary(random, checks, tau, false);
          while (log.entries.back().date - log.entries.front().date < 7)  // of a week no drift is told
            log = stationary(random, checks, tau, false);
          const double drift = 1e-6;
          for (auto& e : log.entries) e.eta += drift * e.date;
          const auto trend = history::history_of(log.entries, {}).trend.per_day;
          held += trend.low() <= drift && drift <= trend.high();
        }
        const double rate = static_cast<double>(held) / n;
        const std::string label =
            std::to_string(checks) + " checks, tau " + std::to_string(tau) + ": " + std::to_string(rate);
        INFO(label);
        MESSAGE(label);
        CHECK(std::fabs(rate - 0.95) <= 0.01 + 2.6 * se);
      }
    }
  }

  TEST_CASE("steps and trends: found, and named rightly or not at all") {
    const int n = test::trials(100);
    std::mt19937_64 random(kSeed);
    for (const std::size_t checks : {std::size_t{6}, std::size_t{12}, std::size_t{20}}) {
      for (const bool drifts : {false, true}) {
        int found = 0, right = 0, wrong = 0, size_held = 0;
        for (int trial = 0; trial < n; ++trial) {
          Log log = stationary(random, checks, 0, false);
          const double change = 5 * 3e-5;  // 5 u
          const std::size_t at = 2 + random() % (checks - 3);
          const double from = log.entries[0].date, span = log.entries.back().date - from;
          for (std::size_t i = 0; i < checks; ++i)
            log.entries[i].eta +=
                drifts ? change * (log.entries[i].date - from) / span : (i >= at ? change : 0);
          const auto told = history::history_of(log.entries, {});
          found += told.change != Change::none;
          right += told.change == (drifts ? Change::trend : Change::step);
          wrong += told.change == (drifts ? Change::step : Change::trend);
          if (!drifts) size_held += std::fabs(told.step.size.x - change) <= told.step.size.half_width;
        }
        std::string label = std::to_string(checks) + (drifts ? " checks, trend" : " checks, step") +
                            ": found " + std::to_string(1.0 * found / n) + ", named " +
                            std::to_string(1.0 * right / n) + ", misnamed " + std::to_string(1.0 * wrong / n);
        if (!drifts) label += ", size held " + std::to_string(1.0 * size_held / n);
        INFO(label);
        MESSAGE(label);
        CHECK(wrong <= 0.05 * n + 2.6 * std::sqrt(0.05 * 0.95 * n));
        CHECK(found >= (checks == 6 ? 0.6 : 0.9) * n);
        if (checks == 20) CHECK(right >= 0.8 * n);
        if (!drifts) CHECK(size_held >= 0.95 * n - 2.6 * std::sqrt(0.95 * 0.05 * n));
      }
    }
  }
}
