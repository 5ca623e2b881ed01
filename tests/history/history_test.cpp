// SPDX-License-Identifier: MIT
// What a history says of one, two, three and more checks; how a log is cut into series; events, play, due
// dates. Dates are days; the figures are invented unless a source stands beside them.
#include "history/history.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "check/verdict.hpp"
#include "stats/distributions.hpp"
#include "support/csv_table.hpp"
#include "support/near.hpp"
#include "support/processor_time.hpp"
#include "support/reference_json.hpp"
#include "support/simulate.hpp"

namespace {

using namespace quarterturn;
using history::Change;
using history::DueBy;
using history::Entry;
using history::Event;
using history::history_of;
using test::near;

Entry entry(double date, double eta, double u, double dof = check::kUnbounded) {
  Entry e;
  e.date = date;
  e.eta = eta;
  e.u = u;
  e.dof = dof;
  return e;
}

Entry hollow(double date, double eta, double u) {
  Entry e = entry(date, eta, u);
  e.hollow = true;
  return e;
}

Event event(const char* kind, double date, bool ends_validity) {
  return {kind, date, "", "", ends_validity};
}

/// Checks every ten days.
std::vector<Entry> every_ten_days(const std::vector<double>& eta, double u) {
  std::vector<Entry> entries;
  for (std::size_t i = 0; i < eta.size(); ++i)
    entries.push_back(entry(10.0 * static_cast<double>(i), eta[i], u));
  return entries;
}

history::Settings with_tolerance(double tolerance, double panel_u = 0) {
  history::Settings settings;
  settings.tolerance_rad = tolerance;
  settings.panel_u_rad = panel_u;
  return settings;
}

}  // namespace

TEST_SUITE("history") {
  TEST_CASE("no check: nothing is told, and why") {
    const auto none = history_of({}, {});
    CHECK(none.checks == 0);
    CHECK(none.level.unknown == "no-checks");
    CHECK(none.constancy.unknown == "no-checks");
    CHECK(none.trend.per_day.unknown == "no-checks");
    CHECK(none.step.unknown == "no-checks");
    CHECK(none.change == Change::unknown);
    CHECK_FALSE(none.due);
    const std::vector<Entry> old{hollow(0, 1e-4, 2e-5)};
    const auto only_old = history_of(old, {});
    CHECK(only_old.hollow == 1);
    CHECK(only_old.level.unknown == "no-checks");
  }

  TEST_CASE("one check: where it stands and when the next is due; nothing of how it moves") {
    const std::vector<Entry> entries{entry(100, 2e-4, 3e-5, 4)};
    const auto one = history_of(entries, {}, with_tolerance(3e-4));
    CHECK(one.level.x == 2e-4);
    CHECK(near(one.level.half_width, stats::t_quantile(0.975, 4) * 3e-5, 1e-12, 0));
    CHECK(one.since_last.unknown == "one-check");
    CHECK(one.constancy.unknown == "one-check");
    CHECK(one.scatter.unknown == "one-check");
    CHECK(one.trend.per_day.unknown == "one-check");
    CHECK(one.step.unknown == "one-check");
    CHECK(one.change == Change::unknown);
    REQUIRE(one.due);
    CHECK(one.due->date == 190);
    CHECK(one.due->by == DueBy::interval);
    CHECK(one.due->not_told == "few-checks");
  }

  TEST_CASE("two checks: their difference and a line by their own u; not what lies between checks") {
    const std::vector<Entry> entries{entry(0, 1e-4, 3e-5, 5), entry(20, 3e-4, 4e-5, 8)};
    const auto two = history_of(entries, {});
    // Welch and Satterthwaite: [GUM] G.4.1
    const double dof = std::pow(9e-10 + 16e-10, 2) / (std::pow(9e-10, 2) / 5 + std::pow(16e-10, 2) / 8);
    CHECK(near(two.since_last.x, 2e-4, 1e-12, 0));
    CHECK(near(two.since_last.u, 5e-5, 1e-12, 0));
    CHECK(near(two.since_last.dof, dof, 1e-12, 0));
    CHECK(near(two.since_last_p, 2 * stats::t_probability(-4, dof), 1e-9, 0));
    CHECK(near(two.constancy.q, 16, 1e-12, 0));
    CHECK(near(two.constancy.p, two.since_last_p, 1e-9, 0));  // the same question
    CHECK(near(two.trend.per_day.x, 1e-5, 1e-12, 0));
    CHECK(near(two.trend.per_day.u, 5e-5 / 20, 1e-12, 0));
    CHECK(near(two.trend.per_day.dof, dof, 1e-9, 0));
    CHECK(two.trend.known_u_only);
    CHECK(near(two.level.x, (1e-4 / 9 + 3e-4 / 16) / (1.0 / 9 + 1.0 / 16), 1e-12, 0));
    CHECK(two.scatter.unknown == "two-checks");
    CHECK(two.step.unknown == "two-checks");
    CHECK(two.change == Change::unknown);
    const std::vector<Entry> same_day{entry(5, 1e-4, 3e-5), entry(5, 2e-4, 3e-5)};
    CHECK(history_of(same_day, {}).trend.per_day.unknown == "one-day");
    CHECK_FALSE(history_of(same_day, {}).since_last.unknown);
  }

  TEST_CASE("three checks: everything has a value, little is found") {
    const auto three = history_of(every_ten_days({1e-4, 1.2e-4, 0.9e-4}, 2e-5), {});
    CHECK_FALSE(three.scatter.unknown);
    CHECK_FALSE(three.trend.per_day.unknown);
    CHECK_FALSE(three.step.unknown);
    CHECK(three.trend.per_day.dof == 1);
    CHECK(three.change == Change::none);
    CHECK(three.chart.size() == 3);
    CHECK(three.chart[2].z);
    CHECK(near(three.level.x, (1e-4 + 1.2e-4 + 0.9e-4) / 3, 1e-12, 0));
  }

  TEST_CASE("trend: the regression of metafor, dates as its covariate") {
    // tests/peers/history_peers.csv, set `teachers`; date order does not change a regression
    const test::CsvTable data("tests/peers/history_data/teachers.csv");
    std::vector<Entry> entries;
    for (std::size_t i = 0; i < data.rows(); ++i)
      entries.push_back(entry(static_cast<double>(data.number(i, "x")),
                              static_cast<double>(data.number(i, "y")),
                              std::sqrt(static_cast<double>(data.number(i, "v")))));
    std::ranges::stable_sort(entries, {}, &Entry::date);
    const test::CsvTable peers("tests/peers/history_peers.csv");
    const auto peer = [&](const std::string& quantity) {
      for (std::size_t i = 0; i < peers.rows(); ++i) {
        if (peers.text(i, "set") == "teachers" && peers.text(i, "quantity") == quantity)
          return static_cast<double>(peers.number(i, "value"));
      }
      throw std::runtime_error("no peer of " + quantity);
    };
    const auto told = history_of(entries, {});
    CHECK(near(told.trend.per_day.x, peer("reml_slope"), 1e-6, 0));
    CHECK(near(told.trend.per_day.u, peer("reml_slope_se"), 1e-6, 0));
    CHECK(near(told.trend.per_day.low(), peer("reml_slope_low"), 1e-6, 0));
    CHECK(near(told.trend.p, peer("reml_slope_p"), 1e-6, 0));
    CHECK(near(told.constancy.q, peer("q"), 1e-6, 0));
    CHECK(near(told.constancy.p, peer("q_p"), 1e-6, 0));
    CHECK(near(told.scatter.sd, std::sqrt(peer("reml_tau2")), 1e-6, 0));
    CHECK(near(told.scatter.low, std::sqrt(peer("tau2_low")), 1e-6, 0));
    CHECK(near(told.scatter.high, std::sqrt(peer("tau2_high")), 1e-6, 0));
    CHECK(near(told.level.x, peer("reml_mean"), 1e-6, 0));
    CHECK(near(told.level.u, peer("reml_mean_se"), 1e-6, 0));
  }

  TEST_CASE("step: the Nile's flow as a log of yearly checks") {
    // data/reference/changepoint: change after 1898, means 1097.75 and 849.97
    const test::CsvTable data("data/reference/changepoint/nile.csv");
    std::vector<Entry> entries;
    for (std::size_t i = 0; i < data.rows(); ++i)
      entries.push_back(entry(static_cast<double>(data.number(i, "year")),
                              static_cast<double>(data.number(i, "flow")), 100));
    const auto told = history_of(entries, {});
    CHECK(told.change == Change::step);
    CHECK(told.step.after == 1898);
    CHECK(told.step.before == 1899);
    CHECK(told.step.earliest >= 1895);
    CHECK(told.step.latest <= 1903);
    CHECK(near(told.step.size.x,
               test::reference_number("changepoint/nile.json", "/recomputed/mean_after") -
                   test::reference_number("changepoint/nile.json", "/recomputed/mean_before"),
               1e-9, 0));
    CHECK(told.step.p < 0.001);
    CHECK(told.constancy.p < 0.001);
    std::size_t first = 0;
    while (first < told.chart.size() && !told.chart[first].alarm) ++first;
    CHECK(first >= 28);  // not before the change
    CHECK(first <= 34);  // and soon after it
  }

  TEST_CASE("step and trend: each is named, and what lies between is not told apart") {
    const double u = 1e-5;
    std::vector<double> step, trend, short_step;
    std::mt19937_64 random(31);
    for (int i = 0; i < 16; ++i) {
      const double noise = u * test::normal(random);
      step.push_back(noise + (i >= 9 ? 8 * u : 0));
      trend.push_back(noise + 10 * u * i / 15);
    }
    const auto stepped = history_of(every_ten_days(step, u), {});
    CHECK(stepped.change == Change::step);
    CHECK(stepped.step.after == 80);
    CHECK(stepped.step.before == 90);
    CHECK(std::fabs(stepped.step.size.x - 8 * u) <= stepped.step.size.half_width);
    const auto drifted = history_of(every_ten_days(trend, u), {});
    CHECK(drifted.change == Change::trend);
    CHECK(std::fabs(drifted.trend.per_day.x - 10 * u / 150) <= drifted.trend.per_day.half_width);
    // five checks: something changed, its form is not named
    const auto few = history_of(every_ten_days({0, 0.2e-5, -0.1e-5, 9e-5, 9.3e-5}, u), {});
    CHECK(few.change == Change::not_told_apart);
    // checks that agree better than they can: no step is made of it
    const auto luck = history_of(every_ten_days({0, 0, 0, 1e-6, 1e-6, 1e-6}, u), {});
    CHECK(luck.step.p <= 0.05);
    CHECK(luck.step.size.half_width > 1.9 * u * std::sqrt(2.0 / 3));
    CHECK(history_of(every_ten_days({0, 0, 0, 1e-6, 1e-6, 1e-6 + 1e-9}, u), {}).trend.p <= 0.05);
  }

  TEST_CASE("step at an event: it is named with the event, and needs less to be seen") {
    const double u = 1e-5;
    std::vector<double> eta;
    std::mt19937_64 random(7);
    for (int i = 0; i < 12; ++i) eta.push_back(u * test::normal(random) + (i >= 6 ? 5 * u : 0));
    const auto entries = every_ten_days(eta, u);
    const std::vector<Event> events{event("cleaned", 13, false), event("new blade", 55, false)};
    const auto told = history_of(entries, events);
    CHECK(told.step.p <= 0.05);
    REQUIRE(told.step.event);
    CHECK(*told.step.event == 1);
    REQUIRE(told.at_events.size() == 2);
    CHECK(told.at_events[0].before == 2);
    CHECK(told.at_events[0].after == 4);
    CHECK(told.at_events[1].before == 4);
    CHECK(told.at_events[1].after == 6);
    CHECK(told.at_events[1].p < 0.01);
    CHECK(told.at_events[0].p > 0.01);
    CHECK_FALSE(told.at_events[0].shared);
  }

  TEST_CASE("before and after an event: means of the checks up to its neighbours") {
    const std::vector<Entry> entries{entry(0, 1e-4, 1e-5), entry(10, 1.2e-4, 2e-5), entry(30, 8e-4, 2e-5)};
    const std::vector<Event> events{event("knocked", 20, true), event("corrected", 25, true),
                                    event("wet", 40, true)};
    const auto told = history_of(entries, events);
    REQUIRE(told.at_events.size() == 2);  // nothing was checked after the last one
    const double before = (1e-4 / 1 + 1.2e-4 / 4) / (1 + 0.25);
    CHECK(near(told.at_events[0].size.x, 8e-4 - before, 1e-12, 0));
    CHECK(near(told.at_events[0].size.u, std::sqrt(1e-10 / 1.25 + 4e-10), 1e-12, 0));
    CHECK(told.at_events[0].shared);  // two events between the same two checks: never separable
    CHECK(told.at_events[1].shared);
    CHECK(told.at_events[1].event == 1);
  }

  TEST_CASE("series: what changed the dogs begins a new one, putting them in anew does not") {
    auto entries = every_ten_days({1e-4, 2e-4, 1e-4, 5e-4, 5e-4, 5.1e-4}, 2e-5);
    const std::vector<Event> events{event(history::kReinserted.data(), 5, true), event("cleaned", 12, false),
                                    event("corrected", 25, true),
                                    event(history::kReinserted.data(), 35, true)};
    const auto told = history_of(entries, events);
    CHECK(told.checks == 6);
    CHECK(told.series == std::vector<std::size_t>{3, 4, 5});
    CHECK(told.insertions == 2);
    CHECK(near(told.level.x, (5e-4 + 5e-4 + 5.1e-4) / 3, 1e-12, 0));
    // validity that ended with no event to tell why: changed
    entries[3].valid_until = 35;
    CHECK(history_of(entries, {}).series == std::vector<std::size_t>{4, 5});
    // on its own day an event follows the check whose validity it ended, else it precedes
    std::vector<Entry> day{entry(0, 1e-4, 2e-5), entry(10, 5e-4, 2e-5), entry(20, 5e-4, 2e-5)};
    const std::vector<Event> same_day{event("moved", 10, true)};
    CHECK(history_of(day, same_day).series == std::vector<std::size_t>{1, 2});
    day[0].valid_until = day[1].valid_until = 10;
    CHECK(history_of(day, same_day).series == std::vector<std::size_t>{2});
  }

  TEST_CASE("old results: in the trend with their side and ±, in no variance, no chart, no step") {
    const auto checks = every_ten_days({1e-4, 1.3e-4, 0.8e-4, 1.1e-4}, 2e-5);
    auto with_old = checks;
    with_old.insert(with_old.begin(), {hollow(-300, -4e-4, 3e-5), hollow(-200, 9e-4, 0)});
    const auto alone = history_of(checks, {}), told = history_of(with_old, {});
    CHECK(told.checks == 4);
    CHECK(told.hollow == 2);
    CHECK(told.constancy.q == alone.constancy.q);
    CHECK(told.scatter.sd == alone.scatter.sd);
    CHECK(told.level.x == alone.level.x);
    CHECK(told.chart.size() == 4);
    CHECK(told.step.p == alone.step.p);
    CHECK(told.trend.per_day.dof == alone.trend.per_day.dof);
    CHECK(told.trend.per_day.x > 0);
    CHECK(told.trend.per_day.u < alone.trend.per_day.u / 5);  // a far date tells much of a slope
    // one that stated no ± changes nothing at all; one from before a change belongs elsewhere
    const std::vector<Event> moved{event("moved", -100, true)};
    const auto after_move = history_of(with_old, moved);
    CHECK(after_move.trend.per_day.x == alone.trend.per_day.x);
    CHECK(after_move.trend.per_day.u == alone.trend.per_day.u);
    // one check and an old result: a line by their own u
    const std::vector<Entry> pair{hollow(0, 1e-4, 3e-5), entry(10, 2e-4, 4e-5)};
    const auto line = history_of(pair, {});
    CHECK(near(line.trend.per_day.x, 1e-5, 1e-12, 0));
    CHECK(near(line.trend.per_day.u, 5e-6, 1e-12, 0));
    CHECK(line.trend.known_u_only);
  }

  TEST_CASE("play of the dogs: METHOD.md's example, and what insertions show") {
    // (M74): 0.1 mm of play on 768 and 192 mm: 1.9e-4 rad
    CHECK(near(history::insertion_sd_rad(0.1, 768, 192), 1.9e-4, 0, 5e-7));
    // by drawing dogs in their holes
    std::mt19937_64 random(12);
    const auto across = [&] {  // one coordinate of a point anywhere in a disc of radius 0.05 mm
      for (;;) {
        const double x = 2.0 * static_cast<double>(random() >> 11) * 0x1.0p-53 - 1;
        const double y = 2.0 * static_cast<double>(random() >> 11) * 0x1.0p-53 - 1;
        if (x * x + y * y <= 1) return 0.05 * x;
      }
    };
    double squares = 0;
    const int n = 40000;
    for (int i = 0; i < n; ++i) {
      const double eps = (across() - across()) / 768 - (across() - across()) / 192;
      squares += eps * eps;
    }
    CHECK(near(std::sqrt(squares / n), history::insertion_sd_rad(0.1, 768, 192), 0.02, 0));

    // one check an insertion, equal u: the variance of the checks less u^2
    const auto entries = every_ten_days({1e-4, 5e-4, 2e-4, 4e-4}, 5e-5);
    std::vector<Event> events;
    for (int i = 0; i < 3; ++i) events.push_back(event(history::kReinserted.data(), 10.0 * i + 5, true));
    const auto told = history_of(entries, events);
    CHECK(near(told.play.sd, std::sqrt(10e-8 / 3 - 25e-10), 1e-9, 0));
    CHECK(told.play.dof == 3);
    CHECK(told.play.low < told.play.sd);
    CHECK(told.play.high > told.play.sd);
    CHECK(told.insertions == 4);
    CHECK(history_of(entries, {}).play.unknown == "not-reinserted");
    // two series of two insertions each: the step between the series is no play
    events[1].kind = "corrected";
    const auto cut = history_of(entries, events);
    CHECK(cut.play.dof == 2);
    CHECK(near(cut.play.sd, std::sqrt((16e-8 + 4e-8) / 2 / 2 - 25e-10), 1e-9, 0));
  }

  TEST_CASE("play of the dogs: what checks of one insertion scatter is not put down to it") {
    std::mt19937_64 random(44);
    std::vector<Entry> entries;
    std::vector<Event> events;
    const double play = 1.9e-4, between = 1e-4, u = 3e-5;
    for (int insertion = 0; insertion < 400; ++insertion) {
      const double stands = play * test::normal(random);
      for (int k = 0; k < 3; ++k)
        entries.push_back(
            entry(10 * insertion + k, stands + std::hypot(between, u) * test::normal(random), u));
      events.push_back(event(history::kReinserted.data(), 10 * insertion + 5, true));
    }
    const auto told = history_of(entries, events);
    // standard error of a standard deviation on 399: 3.5 % of it
    CHECK(near(told.play.sd, play, 0.1, 0));
    CHECK(told.play.low < play);
    CHECK(told.play.high > play);
  }

  TEST_CASE("due: the interval, an event, a cause, whichever comes first") {
    auto entries = every_ten_days({1e-4, 1.1e-4}, 2e-5);
    history::Settings settings;
    CHECK(history_of(entries, {}, settings).due->date == 100);
    CHECK(history_of(entries, {}, settings).due->not_told == "no-tolerance");
    settings.interval_days = 20;
    CHECK(history_of(entries, {}, settings).due->date == 30);
    settings.interval_days = 90;
    std::vector<Event> events{event("cleaned", 4, false), event("cleaned", 40, false),
                              event("knocked", 50, true)};
    CHECK(history_of(entries, events, settings).due->date == 40);
    CHECK(history_of(entries, events, settings).due->by == DueBy::event);
    const std::vector<Event> cause{event(history::kCauseNoted.data(), 10, false)};
    CHECK(history_of(entries, cause, settings).due->date == 40);
    CHECK(history_of(entries, cause, settings).due->by == DueBy::cause);
    const std::vector<Event> earlier_cause{event(history::kCauseNoted.data(), 3, false)};
    CHECK(history_of(entries, earlier_cause, settings).due->date == 100);
    entries[1].valid_until = 10;
    CHECK(history_of(entries, {}, settings).due->date == 10);
    CHECK(history_of(entries, {}, settings).due->by == DueBy::event);
  }

  TEST_CASE("due: the day on which the next panel leaves the tolerance") {
    // 1e-6 rad a day, known nearly exactly: at T - 1.645 sigma of a panel
    std::vector<double> eta;
    for (int i = 0; i < 12; ++i) eta.push_back(1e-5 * i + (i % 2 == 0 ? 1e-9 : -1e-9));
    const auto entries = every_ten_days(eta, 1e-9);
    const double panel = 2e-5, tolerance = 2e-4;
    const auto told = history_of(entries, {}, with_tolerance(tolerance, panel));
    CHECK(told.change == Change::trend);
    REQUIRE(told.due->leaves_tolerance);
    // t on 10 degrees of freedom takes the panel's sigma for less well known than it is
    const double crosses = (tolerance - stats::t_quantile(0.95, 10) * panel) / 1e-6;
    CHECK(*told.due->leaves_tolerance >= crosses);
    CHECK(*told.due->leaves_tolerance <= crosses + 1);  // whole days
    CHECK(told.due->by == DueBy::tolerance);
    CHECK(told.due->date == *told.due->leaves_tolerance);
    // five checks are too few, a setup far within stays so for a year, one that is out is due at once
    const std::vector<Entry> five(entries.begin(), entries.begin() + 5);
    CHECK(history_of(five, {}, with_tolerance(tolerance, panel)).due->not_told == "few-checks");
    const auto flat = every_ten_days({0, 1e-9, -1e-9, 1e-9, 0, -1e-9, 0, 1e-9}, 1e-9);
    CHECK(history_of(flat, {}, with_tolerance(tolerance, panel)).due->not_told == "not-within-a-year");
    const auto out = history_of(entries, {}, with_tolerance(5e-5, panel));
    CHECK(out.due->date == entries.back().date);
    // after a step that is named, only the checks since count
    std::vector<double> stepped;
    for (int i = 0; i < 16; ++i) stepped.push_back((i % 2 == 0 ? 1e-6 : -1e-6) + (i >= 12 ? 1e-4 : 0));
    const auto after = history_of(every_ten_days(stepped, 1e-6), {}, with_tolerance(tolerance, 1e-6));
    REQUIRE(after.change == Change::step);
    CHECK(after.due->not_told == "few-since-step");
  }

  TEST_CASE(
      "due: what holds on the day of the last check is no date; an outside setup is due once put right") {
    const double tolerance = 1.7e-4;
    const auto steady = every_ten_days({1e-6, -1e-6, 0, 1e-6, -1e-6, 0, 1e-6}, 1e-5);
    const auto told = history_of(steady, {}, with_tolerance(tolerance, 1.2e-4));
    CHECK(told.due->by == DueBy::interval);
    CHECK(!told.due->leaves_tolerance);
    CHECK(told.due->not_told == "panels-scatter");
    auto out = steady;
    out.back().answer = check::Answer::outside;
    const std::vector<Event> cause{{"cause noted", out.back().date + 3, "", "", false}};
    const auto put_right = history_of(out, cause, with_tolerance(tolerance, 1e-6));
    CHECK(put_right.due->by == DueBy::outside);
    CHECK(put_right.due->date == out.back().date);
    CHECK(put_right.due->cause == 0);
    // What happened after the last check counts, however long the check was due.
    const std::vector<Event> late{{"knocked", steady.back().date + 400, "", "", true}};
    const auto knocked = history_of(steady, late, with_tolerance(tolerance, 1e-6));
    REQUIRE(knocked.due->event);
    CHECK(*knocked.due->event == 0);
    CHECK(knocked.due->stands_otherwise);
  }

  TEST_CASE("last good: the last check that was within") {
    auto entries = every_ten_days({1e-5, 2e-5, 1.7e-4, 3e-4}, 1e-5);
    const auto told = history_of(entries, {}, with_tolerance(1.7e-4));
    CHECK(told.last_answer == check::Answer::outside);
    REQUIRE(told.last_good);
    CHECK(*told.last_good == 1);  // the third one cannot tell
    entries.pop_back();
    CHECK(history_of(entries, {}, with_tolerance(1.7e-4)).last_answer == check::Answer::cannot_tell);
    CHECK(*history_of(entries, {}, with_tolerance(1e-3)).last_good == 2);
    CHECK_FALSE(history_of(entries, {}, with_tolerance(1e-6)).last_good);
    CHECK_FALSE(history_of(entries, {}).last_answer);
    // The verdict as it was told counts before the numbers that are left of it.
    entries[2].answer = check::Answer::within;
    entries[1].answer = check::Answer::cannot_tell;
    CHECK(history_of(entries, {}, with_tolerance(1.7e-4)).last_answer == check::Answer::within);
    entries[2].answer = check::Answer::outside;
    CHECK(*history_of(entries, {}, with_tolerance(1.7e-4)).last_good == 0);
  }

  TEST_CASE("what is not in order is refused") {
    const std::vector<Entry> backwards{entry(10, 0, 1e-5), entry(0, 0, 1e-5)};
    CHECK_THROWS_AS(history_of(backwards, {}), std::domain_error);
    const std::vector<Entry> no_u{entry(0, 0, 0)};
    CHECK_THROWS_AS(history_of(no_u, {}), std::domain_error);
    const std::vector<Entry> not_finite{entry(0, std::nan(""), 1e-5)};
    CHECK_THROWS_AS(history_of(not_finite, {}), std::domain_error);
    const std::vector<Event> events{event("wet", 5, true), event("wet", 3, true)};
    CHECK_THROWS_AS(history_of({}, events), std::domain_error);
  }

  TEST_CASE("the same log tells the same twice; 100,000 checks are told at once") {
    std::mt19937_64 random(9);
    std::vector<Entry> entries;
    std::vector<Event> events;
    for (int i = 0; i < 100000; ++i) {
      const double u = 5e-5 * (1 + static_cast<double>(random() % 100) / 100);
      entries.push_back(entry(0.5 * i, 1e-4 + std::hypot(u, 1e-4) * test::normal(random), u));
      if (i % 10 == 3) events.push_back(event("cleaned", 0.5 * i + 0.1, false));
      if (i % 10 == 7) events.push_back(event(history::kReinserted.data(), 0.5 * i + 0.1, true));
    }
    const double start = test::processor_time();
    const auto told = history_of(entries, events, with_tolerance(1.7e-4, 3e-5));
    const double seconds = test::processor_time() - start;
    MESSAGE("100,000 checks: " << seconds << " s of processor time");
    CHECK(seconds < 5);  // 0.35 s in a release build; sanitizers take their time
    CHECK(near(told.scatter.sd, 1e-4, 0.02, 0));
    CHECK(told.at_events.size() == 20000);
    const std::vector<Entry> part(entries.begin(), entries.begin() + 40);
    const auto once = history_of(part, {}), twice = history_of(part, {});
    CHECK(once.step.p == twice.step.p);
  }
}
