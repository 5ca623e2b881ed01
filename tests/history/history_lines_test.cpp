// SPDX-License-Identifier: MIT
// What a history computes once and uses twice, or takes from columns that stand elsewhere, is what it would
// be by itself. The figures are invented.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "check/verdict.hpp"
#include "history/history.hpp"
#include "stats/change_point.hpp"
#include "stats/meta_analysis.hpp"
#include "stats/streams.hpp"

using namespace quarterturn;
using history::Entry;
using history::history_of;

namespace {

/// A check a week. \param drift  a day [rad]; \param step  in the middle [rad]
std::vector<Entry> checks(std::size_t count, double drift, double step, double scatter) {
  stats::Stream random(4, 0);
  std::vector<Entry> made(count);
  for (std::size_t i = 0; i < count; ++i) {
    Entry& e = made[i];
    e.date = 7.0 * static_cast<double>(i);
    e.u = (1 + 0.3 * static_cast<double>(i % 5)) * 1e-5;
    e.dof = 20;
    e.eta = drift * e.date + (i >= count / 2 ? step : 0) + random.normal() * std::hypot(e.u, scatter);
  }
  return made;
}

struct Plain {
  std::vector<double> y, v, date;
  explicit Plain(const std::vector<Entry>& entries) {
    for (const Entry& e : entries) {
      y.push_back(e.eta);
      v.push_back(e.u * e.u);
      date.push_back(e.date);
    }
  }
  /// (M71) by fits of its own.
  [[nodiscard]] double log_odds(std::size_t place) const {
    std::vector<double> after(y.size()), all = v;
    for (std::size_t i = 0; i < y.size(); ++i) after[i] = i >= place ? 1 : 0;
    const double tau2 = std::min(stats::between_variance(y, v, after), stats::between_variance(y, v, date));
    for (double& one : all) one += tau2;
    return stats::step_against_trend(y, all, date);
  }
  /// (M75) by a line of its own through the checks from `from` on.
  [[nodiscard]] std::optional<double> leaves(std::size_t from, const history::Settings& settings) const {
    const auto part = [&](const std::vector<double>& all) {
      return std::vector<double>(all.begin() + static_cast<std::ptrdiff_t>(from), all.end());
    };
    const auto line = stats::meta_regression(part(y), part(v), part(date));
    for (int day = 1; day <= 365; ++day) {
      const double at = date.back() + day;
      const double spread =
          std::sqrt(line.variance_at(at) + line.tau2 + settings.panel_u_rad * settings.panel_u_rad);
      if (check::probability_inside(line.at(at), spread, line.dof, *settings.tolerance_rad) <= 0.95)
        return at;
    }
    return std::nullopt;
  }
};

/// What was told is what the plain fits tell. \param from  the first check that is carried on
void hold_to_plain(const std::vector<Entry>& entries, const history::History& told,
                   const history::Settings& settings, history::Change change, std::size_t from) {
  const Plain plain(entries);
  REQUIRE(told.change == change);
  CHECK(told.log_odds == plain.log_odds(told.step.entry));
  REQUIRE(told.due);
  REQUIRE(told.due->leaves_tolerance);
  CHECK(told.due->leaves_tolerance == plain.leaves(from, settings));
}

}  // namespace

TEST_SUITE("history") {
  TEST_CASE("a record that drifts leaves its tolerance where a line of its own leaves it") {
    const auto entries = checks(60, 2e-7, 0, 1.5e-5);
    history::Settings settings;
    settings.tolerance_rad = 1.6e-4;
    settings.panel_u_rad = 1e-5;
    const auto told = history_of(entries, {}, settings);
    hold_to_plain(entries, told, settings, history::Change::trend, 0);
  }

  TEST_CASE("after a step the checks since are carried on") {
    auto entries = checks(60, 0, 2e-4, 1.5e-5);
    for (std::size_t i = 30; i < 60; ++i) entries[i].eta += 2e-7 * (entries[i].date - entries[30].date);
    history::Settings settings;
    settings.tolerance_rad = 3.2e-4;
    const auto told = history_of(entries, {}, settings);
    hold_to_plain(entries, told, settings, history::Change::step, told.step.entry);
  }

  TEST_CASE("old results before, among and after the checks take part in the trend alone") {
    const auto entries = checks(40, 2e-7, 0, 1e-5);
    const auto alone = history_of(entries, {});
    std::vector<Entry> mixed;
    for (std::size_t i = 0; i < entries.size(); ++i) {
      Entry old = entries[i];
      old.hollow = true;
      old.eta += 5e-5;
      if (i % 10 == 0) mixed.push_back(old);
      mixed.push_back(entries[i]);
    }
    const auto told = history_of(mixed, {});
    CHECK(told.hollow == 4);
    CHECK(told.level.x == alone.level.x);
    CHECK(told.step.p == alone.step.p);
    CHECK(told.step.size.x == alone.step.size.x);
    CHECK(told.scatter.sd == alone.scatter.sd);
    CHECK(told.trend.per_day.x != alone.trend.per_day.x);
    std::vector<double> y, v, date;
    std::vector<char> informs;
    for (const Entry& e : mixed) {
      y.push_back(e.eta);
      v.push_back(e.u * e.u);
      date.push_back(e.date);
      informs.push_back(e.hollow ? 0 : 1);
    }
    CHECK(told.trend.per_day.x == stats::meta_regression(y, v, date, stats::Between::reml, informs).slope);
    // Those of no known ± do not count, and one that does not belong leaves the trend alone.
    for (Entry& e : mixed)
      if (e.hollow) e.u = 0;
    CHECK(history_of(mixed, {}).trend.per_day.x == alone.trend.per_day.x);
  }
}
