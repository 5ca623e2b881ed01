// SPDX-License-Identifier: MIT
// The chart of a record over widths, units and unusual records, read back against the numbers. The figures
// are invented.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/history_report.hpp"
#include "support/drawn.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using namespace quarterturn::test;

namespace {

constexpr int kAxis = 11;            ///< column of the axis
constexpr double kFirstDay = 20454;  ///< 2026-01-01

/// A check every `apart` days; mm over 600 mm.
history::Record record_of(const std::vector<double>& mm, double apart = 30) {
  history::Record record;
  record.station = "dock";
  record.setup = "crosscut";
  record.settings.tolerance_rad = 0.1 / 600;
  record.today = kFirstDay;
  for (std::size_t i = 0; i < mm.size(); ++i) {
    history::Entry entry;
    entry.date = kFirstDay + apart * static_cast<double>(i);
    entry.eta = mm[i] / 600;
    entry.u = 0.01 / 600;
    record.entries.push_back(entry);
    record.entry_names.push_back({"dock/" + std::to_string(i + 1), fmt::format("day-{:06}", i)});
  }
  record.history = history::history_of(record.entries, record.events, record.settings);
  return record;
}

void add_event(history::Record& record, double day, const std::string& name, const std::string& date) {
  record.events.push_back({"knocked", kFirstDay + day, "E10", "", false});
  record.event_names.push_back({name, date});
}

std::vector<history::Record> unusual() {
  std::vector<history::Record> all{record_of({0, 0.01, -0.01, 0.2}), record_of({0.05, 0.05}),
                                   record_of({0, 0, 25, 0}), record_of({-0.3, -0.31, -0.29})};
  std::vector<double> many;
  for (int i = 0; i < 250; ++i) many.push_back(0.08 * std::sin(i / 9.0));
  all.push_back(record_of(many, 3));
  for (int k = 0; k < 30; ++k)
    add_event(all.back(), 25.0 * (k / 3), "knocked over by the forklift",
              fmt::format("2026-{:02}-{:02}", k / 3 + 1, 1));
  auto one_day = record_of({0, 0.1}, 0);
  all.push_back(one_day);
  for (auto& record : all) {
    record.entries.front().hollow = true;
    record.history.hollow = 1;
  }
  all.push_back(record_of({0, 0.1}));
  all.back().settings.tolerance_rad.reset();
  return all;
}

int row_with(const std::vector<std::string>& lines, const std::string& label) {
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto at = lines[i].find("│");
    if (at != std::string::npos && lines[i].substr(0, at).find(label) != std::string::npos)
      return static_cast<int>(i);
  }
  return -1;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("chart: its form over widths, units, spellings and unusual records") {
    for (const auto& record : unusual()) {
      for (const int width : {40, 60, 80, 120, 200}) {
        for (const bool unicode : {true, false}) {
          for (const auto unit : {units::Unit::mm, units::Unit::inch}) {
            report::TextOptions options{.unit = unit, .unicode = unicode, .width = width};
            check_form(report::history_text(record, options), width, unicode);
            const std::string drawn = report::history_plot(record, options);
            check_drawing(unicode ? drawn : report::ascii(drawn), width, unicode);
            CHECK_FALSE(drawn.empty());
          }
        }
      }
    }
  }

  TEST_CASE("chart: each check once, at its row and column, over is up") {
    const auto record = record_of({0, 0.08, -0.08, 0.16});
    for (const int width : {40, 80, 120}) {
      report::TextOptions options{.width = width};
      const std::string drawn = report::history_plot(record, options);
      CAPTURE(drawn);
      const auto lines = lines_of(drawn);
      const Cells cells = cells_of_text(drawn);
      const int square = row_with(lines, "square"), bottom = row_with(lines, "-0.10 mm");
      REQUIRE(square >= 0);
      REQUIRE(bottom > square);
      const double row_mm = 0.10 / (bottom - square);  // the lower limit is the lowest that is drawn
      std::vector<std::pair<int, int>> dots;           // column, row
      for (int row = 0; row < static_cast<int>(cells.size()); ++row) {
        if (cell_at(cells, kAxis, row) != "│") continue;
        for (const int column : columns_with(cells, row, "●")) dots.emplace_back(column, row);
      }
      std::sort(dots.begin(), dots.end());
      REQUIRE(dots.size() == 4);
      const std::vector<double> mm{0, 0.08, -0.08, 0.16};
      for (std::size_t i = 0; i < 4; ++i)
        CHECK(std::fabs((square - dots[i].second) * row_mm - mm[i]) <= row_mm);
      for (std::size_t i = 2; i < 4; ++i)  // equal times apart
        CHECK(std::abs((dots[i].first - dots[i - 1].first) - (dots[1].first - dots[0].first)) <= 1);
      CHECK(dots[0].first == kAxis + 2);  // apart from the axis
      CHECK(row_with(lines, "allowed") < square);
    }
  }

  TEST_CASE("chart: every event has its letter under its day, none hides another") {
    auto record = record_of({0, 0.01, 0.02, 0.01});
    for (const double day : {-20.0, 45.0, 45.0, 45.0, 120.0})
      add_event(record, day, "knocked", fmt::format("2026-02-{:02}", record.events.size() + 10));
    record.event_names.front().date = "2025-12-12";
    record.event_names.back().date = "2026-05-01";
    for (const int width : {40, 80, 200}) {
      report::TextOptions options{.width = width};
      const std::string drawn = report::history_plot(record, options);
      CAPTURE(drawn);
      const auto lines = lines_of(drawn);
      std::size_t below = 0;
      while (below < lines.size() && lines[below].find("2025-12-12") == std::string::npos) ++below;
      REQUIRE(below < lines.size());
      CHECK(holds(lines[below], "2026-05-01"));  // the chart reaches to the last event
      std::string letters;
      for (std::size_t i = below + 1; i < below + 4; ++i) letters += lines[i];
      for (const char* letter : {"a", "b", "c", "d", "e"}) CHECK(count_of(letters, letter) == 1);
      const auto at = [&](const char* letter, std::size_t line) { return lines[below + line].find(letter); };
      CHECK(at("b", 1) == at("c", 2));
      CHECK(at("c", 2) == at("d", 3));
      CHECK(at("a", 1) < at("b", 1));
      CHECK(at("b", 1) < at("e", 1));
      CHECK(holds(drawn, "  e  2026-05-01 knocked (E10)"));
    }
    const auto many = unusual()[4];
    const std::string drawn = report::history_plot(many, {});
    CHECK(holds(drawn, "and 4 earlier events"));
    CHECK(holds(flat(drawn), "x-z 2026-10-01 knocked over by the forklift (E10)"));
  }

  TEST_CASE("chart: colour marks what lies beyond what is allowed, and takes nothing away") {
    const auto record = record_of({0, 0.01, 0.3});
    report::TextOptions color{.color = true};
    const std::string inked = report::history_plot(record, color);
    CHECK(count_of(inked, "\x1b[35m●") == 1);
    CHECK(without_color(inked) == report::history_plot(record, {}));
    CHECK(without_color(report::history_text(record, color)) == report::history_text(record, {}));
    CHECK(holds(report::history_text(record, color), "OUTSIDE\x1b[0m"));
  }

  TEST_CASE("chart in words: each check, of many the outstanding ones, and what happened") {
    report::TextOptions plain{.plain = true};
    auto record = record_of({0, 0.05, -0.12});
    add_event(record, 40, "knocked", "2026-02-10");
    const std::string words = report::history_plot_words(record, plain);
    CHECK(holds(words, "- day-000000 0.00 ± 0.02 mm\n"));  // no side
    CHECK(holds(words, "allowed 0.10 mm either way, 1 of 3 beyond it:"));
    CHECK(holds(words, "- day-000001 0.05 ± 0.02 mm over\n"));
    CHECK(holds(words, "- day-000002 0.12 ± 0.02 mm under\n"));
    CHECK(holds(words, "- 2026-02-10 knocked (E10)\n"));
    const std::string text = report::history_text(record, plain);
    CHECK(holds(text, words));
    for (const char* mark : {"●", "│", "─"}) CHECK_FALSE(holds(text, mark));
    const auto many = unusual()[4];
    const std::string few = report::history_plot_words(many, plain);
    CHECK(count_of(few, " mm ") < 12);
    CHECK(holds(few, "- most: day-000014 0.08 ±"));  // sin(14 / 9) is the first crest
    CHECK(holds(few, "- least: day-000"));
    CHECK(count_of(few, "knocked over by the forklift") == 10);  // ten days, three alike on each
    CHECK(report::history_plot_words(record_of({0.1}), plain).empty());
  }
}
