// SPDX-License-Identifier: MIT
// What a record says in words and draws: each kind of change, signs, what cannot be told, narrow and ASCII.
// The figures are invented.
#include "report/history_report.hpp"

#include <doctest/doctest.h>

#include <sstream>

#include "report/amounts.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::flat;
using quarterturn::test::holds;

namespace {

/// A check every thirty days from 2026-01-01 on; 1e-4 rad is 0.06 mm over 600 mm.
history::Record record_of(const std::vector<double>& eta_1e4) {
  history::Record record;
  record.station = "dock";
  record.setup = "crosscut";
  record.settings.tolerance_rad = 0.1 / 600;
  record.today = 20454;  // 2026-01-01
  for (std::size_t i = 0; i < eta_1e4.size(); ++i) {
    history::Entry entry;
    entry.date = 20454 + 30.0 * static_cast<double>(i);
    entry.eta = 1e-4 * eta_1e4[i];
    entry.u = 2e-5;
    record.entries.push_back(entry);
    record.entry_names.push_back({"dock/" + std::to_string(i + 1), "day " + std::to_string(30 * i)},
                                 std::to_string(i));
  }
  record.history = history::history_of(record.entries, record.events, record.settings);
  return record;
}

std::string told(const history::Record& record) {
  return flat(report::history_text(record, {}));
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("a record that stands still, drifts, took a step") {
    CHECK(holds(told(record_of({0.1, -0.1, 0.2, 0.0})), "It stands still, as far as 4 checks can tell"));
    CHECK(holds(told(record_of({0, -0.6, -1.1, -1.7, -2.2, -2.8, -3.4, -3.9, -4.5})),
                "It drifts: the corner closes by 0.41 ±"));
    const auto step = told(record_of({0, 0.1, -0.1, 0, 0.1, 0, 3, 3.1, 2.9, 3, 3.1, 3}));
    CHECK(holds(step, "It took a step: the corner opened by 0.18 ±"));
    CHECK(holds(step, "between 2026-05-31 and 2026-06-30"));  // the sixth and the seventh
    CHECK(holds(step, "OUTSIDE"));
    CHECK(holds(step, "Last good day 150 (dock/6): panels cut since may be out."));
  }

  TEST_CASE("what is smaller than the bench can measure is no news") {
    auto record = record_of({0.1, -0.1, 0.2, 0.0, 0.1, 0.0});
    record.history.change = history::Change::trend;
    record.history.trend.per_day.x = 1e-8 / 365;
    CHECK(holds(told(record), "It stands still"));
  }

  TEST_CASE("one and two checks say what they cannot") {
    CHECK(holds(told(record_of({0.1})), "One check tells nothing of how it moves; a second one tells."));
    CHECK(holds(told(record_of({0.1, 3})), "opened by 0.17 ±"));
    CHECK(holds(told(record_of({0.1, 3})), "since the check before: not chance."));
    CHECK(holds(told(record_of({0.1, 0.2})), "chart alarms: from the ninth check on."));
  }

  TEST_CASE("every reason has words") {
    using namespace history::reason;
    for (const char* code : {kNoChecks, kOneCheck, kTwoChecks, kOneDay, kFewChecks, kFewSinceStep,
                             kNoTolerance, kNotInserted, kNotWithinAYear}) {
      CAPTURE(code);
      CHECK(report::reason_words(code) != code);
    }
  }

  TEST_CASE(
      "the plot keeps to the width, is plain ASCII where it must be, and is left out for a screen reader") {
    auto record = record_of({0, 0.1, -0.1, 3});
    record.entries.front().hollow = true;
    record.history.hollow = 1;
    record.events.push_back({"knocked", 20454 + 70, "E10", "", true});
    record.event_names.push_back({"knocked", "2026-03-12"});
    for (const int width : {40, 60, 80, 200}) {
      report::TextOptions options;
      options.width = width;
      options.unicode = false;
      const std::string text = report::history_text(record, options);
      std::istringstream lines(text);
      for (std::string line; std::getline(lines, line);) {
        CAPTURE(line);
        CHECK(report::columns_of(line) <= static_cast<std::size_t>(width));
        for (const char c : line) CHECK(static_cast<unsigned char>(c) < 0x80);
      }
      CHECK(holds(text, "a  2026-03-12 knocked (E10)"));
      CHECK(holds(flat(text), "o an old result"));
    }
    report::TextOptions plain;
    plain.plain = true;
    CHECK_FALSE(holds(report::history_text(record, plain), "│"));
    CHECK(report::history_plot(record_of({0.1}), {}).empty());
  }
}
