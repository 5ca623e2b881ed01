// SPDX-License-Identifier: MIT
// What survey says in words and draws. The tables are invented.
#include "report/survey_report.hpp"

#include <doctest/doctest.h>

#include <sstream>

#include "app/run_survey.hpp"
#include "report/amounts.hpp"
#include "support/tables.hpp"
#include "support/talk.hpp"
#include "survey/design.hpp"

using namespace quarterturn;
using quarterturn::test::count_of;
using quarterturn::test::flat;
using quarterturn::test::holds;
using station::Hole;
using survey::Taken;

namespace {

station::Station table(int columns, int rows) {
  station::Station station;
  station.name = "tour";
  station.grid.pitch = units::Length::from_mm(96);
  station.grid.columns = columns;
  station.grid.rows = rows;
  for (const char* dog : {"pin-1", "pin-2"})
    station.dogs[dog] = {dog, units::Length::from_mm(20), {}, {}, {}, {}};
  return station;
}

/// Centre distances to all four or eight neighbours, as a table with these displacements has them.
app::SurveyRequest request(const station::Station& station, bool diagonals, const survey::Displaced& at) {
  app::SurveyRequest request;
  request.station = station;
  request.hole_sd_mm = 0.1;
  request.tolerance = units::parse_tolerance("0.10 over 600");
  const auto add = [&](Hole a, Hole b) {
    if (!station.grid.has(a) || !station.grid.has(b)) return;
    files::ObservationRow row;
    row.observation = survey::distance(a, b, Taken::centre, 0, 0.01);
    row.observation.value = survey::exact_value(station, row.observation, at);
    row.at.line = static_cast<int>(request.file.rows.size()) + 2;
    request.file.rows.push_back(row);
  };
  for (int c = 1; c <= station.grid.columns; ++c) {
    for (int r = 1; r <= station.grid.rows; ++r) {
      add({c, r}, {c + 1, r});
      add({c, r}, {c, r + 1});
      if (diagonals) add({c, r}, {c + 1, r + 1});
      if (diagonals) add({c + 1, r}, {c, r + 1});
    }
  }
  return request;
}

report::TextOptions narrow(int width, bool unicode) {
  report::TextOptions options;
  options.width = width;
  options.unicode = unicode;
  return options;
}

std::string told(const app::SurveyRequest& request) {
  return flat(report::survey_text(app::run_survey(request, nullptr), {}));
}

std::size_t widest(const std::string& text) {
  std::size_t most = 0;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) most = std::max(most, report::columns_of(line));
  return most;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("survey: setups of another angle are named as passed over, in words and as JSON") {
    const test::Case mitre = test::mitre_cases()[0];
    auto asked = request(mitre.station, true, {});
    asked.station.setups.clear();
    CHECK(!holds(told(asked), "90° only"));
    for (const char* name : {"flats", "mitre", "tops"}) {
      asked.station.setups[name] = mitre.setup;
      asked.station.setups[name].name = name;
    }
    CHECK(holds(told(asked),
                "Of flats, mitre and tops a survey tells nothing: it tells of setups of 90° only."));
    asked.station.setups.erase("tops");
    asked.station.setups.erase("flats");
    CHECK(holds(told(asked), "Of mitre a survey tells nothing"));
    const std::string json = report::survey_json(app::run_survey(asked, nullptr));
    CHECK(holds(flat(json), "\"setups_passed_over\": [ \"mitre\" ]"));
  }

  TEST_CASE("survey: an exact table shows nothing, and none of its holes") {
    auto exact = request(table(6, 6), true, {});
    CHECK(told(exact).starts_with("tour: Whether the table is out of square cannot be told yet: 0.00 ± "));
    exact.tolerance = units::parse_tolerance("1 over 600");
    const std::string text = told(exact);
    CHECK(text.starts_with("tour: Nothing shows that the table is out of square: 0.00 ± "));
    CHECK(holds(text, "None is off by more than its ±"));
    CHECK(!holds(text, "does not fit the others"));
    CHECK(holds(text, "Holes scatter by 0.10 mm each way, as given"));
  }

  TEST_CASE("survey: which corner is over 90 degrees, and by how much") {
    survey::Displaced leaning;  // upper rows to the left: the angle at A1 opens
    for (int c = 1; c <= 6; ++c)
      for (int r = 1; r <= 6; ++r) leaning.holes[{c, r}] = {-1e-3 * 96 * (r - 1), 0};
    const std::string text = told(request(table(6, 6), true, leaning));
    CHECK(holds(text, "The table is built out of square by 0.60 ± "));
    CHECK(holds(text, "the corner at A1 is over 90°"));
    for (auto& [hole, way] : leaning.holes) way.x = -way.x;
    CHECK(holds(told(request(table(6, 6), true, leaning)), "the corner at A1 is under 90°"));
  }

  TEST_CASE("survey: without a diagonal the answer is that it cannot be told, and why") {
    const std::string text = told(request(table(6, 6), false, {}));
    CHECK(text.starts_with(
        "tour: Whether the table is out of square cannot be told from these: no diagonal connects rows and "
        "columns."));
    CHECK(holds(text, "No pair of holes can be foretold: these leave open rows against columns."));
    CHECK(holds(text, "To know better whether the table is square (not known now), measure next"));
  }

  TEST_CASE("survey: a hole far off is named with its way, and a slipped reading with its line") {
    survey::Displaced off;
    off.holes[{3, 4}] = {0.8, -0.5};
    const auto result = app::run_survey(request(table(6, 6), true, off), nullptr);
    const std::string text = flat(report::survey_text(result, {}));
    CHECK(holds(text, "C4 is not where its neighbours say"));
    CHECK(holds(text, " to the right and 0."));
    CHECK(holds(text, "towards you of where it should"));
    const std::string map = report::survey_map(result, {});
    CHECK(count_of(map, "↘!") == 1);
    std::istringstream lines(map);
    std::string line;
    std::getline(lines, line);
    std::getline(lines, line);
    std::getline(lines, line);  // rows 6, 5, 4
    CHECK(line.starts_with("4 "));
    CHECK(line.find("↘!") == 2 + 2 * 3);
    CHECK(holds(report::survey_map(result, narrow(80, false)), "v>!"));

    auto slipped = request(table(6, 6), true, {});
    slipped.file.rows[40].observation.value += 0.4;
    slipped.hole_sd_mm = 0.02;
    CHECK(holds(told(slipped), "Line 42, distance "));
  }

  TEST_CASE("survey: the map is cut into blocks, and nothing is wider than the screen") {
    auto wide = request(table(30, 3), true, {});
    wide.pairs = wide.next = 0;
    const auto result = app::run_survey(wide, nullptr);
    for (const int width : {40, 60, 100}) {
      for (const bool unicode : {true, false}) {
        INFO(width);
        const std::string text = report::survey_text(result, narrow(width, unicode));
        CHECK(widest(text) <= static_cast<std::size_t>(width));
        const std::string map = report::survey_map(result, narrow(width, unicode));
        CHECK(count_of(map, "o") == 90);
        CHECK(holds(map, "AD"));
        if (!unicode) CHECK(report::ascii(text) == text);
      }
    }
    report::TextOptions plain;
    plain.plain = true;
    const std::string words = report::survey_text(result, plain);
    CHECK(!holds(words, "From above"));
    CHECK(holds(words, "- Within their ±: 90 of 90 measured holes.\n- Every hole was measured.\n"));
  }

  TEST_CASE("survey: offsets in words") {
    CHECK(report::offset_words({0.6, -0.45}, units::Unit::mm) ==
          "0.60 mm to the right and 0.45 mm towards you");
    CHECK(report::offset_words({-0.1, 0.001}, units::Unit::mm) == "0.10 mm to the left");
    CHECK(report::offset_words({0, 0.254}, units::Unit::inch) == "0.010 in away from you");
    CHECK(report::offset_words({0.001, 0}, units::Unit::mm) == "less than 0.01 mm");
    CHECK(report::undetermined_words({{"shear"}}) == "these leave open rows against columns");
    CHECK(
        report::undetermined_words({{"pitch-x", "pitch-y", "pin-1"}}) ==
        "these do not part the pitch along the rows, the pitch along the columns and the size of dog pin-1");
  }
}
