// SPDX-License-Identifier: MIT
// What plan says in words: each kind of answer, narrow and plain. The figures are invented.
#include "report/plan_report.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

#include <sstream>

#include "report/amounts.hpp"
#include "report/plan_words.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::flat;
using quarterturn::test::holds;

namespace {

plan::Row row(plan::Design design, double mm, double within, double outside, bool provisional = false) {
  plan::Row row;
  row.design = design;
  row.minutes = design.minutes();
  row.side_after_mm = check::shorter_side_after({600, 600, {}}, design.cuts);
  row.half_width = mm / 600;
  row.half_width_low = 0.8 * mm / 600;
  row.half_width_high = 1.4 * mm / 600;
  row.within = within;
  row.outside = outside;
  row.settles = within >= 0.8 && outside >= 0.8;
  row.provisional = provisional;
  return row;
}

plan::Result three_rows() {
  plan::Result result;
  result.bench.sizes = {0.012, 0, 0.02};
  result.bench.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
  result.aim = plan::Aim{0.10 / 600};
  result.span_mm = 384;
  result.most_cuts = 30;
  result.least_mm = 300;
  result.plan.most_cuts_on_panel = 20;
  result.plan.rows = {row({1, 5}, 0.07, 0.7, 0.99, true), row({1, 8}, 0.05, 0.85, 0.99),
                      row({2, 5}, 0.04, 0.98, 1, true)};
  result.plan.rows[0].unseen = {"seating-unseen", plan::kEndsUnseen, "slips-not-seen"};
  result.plan.cheapest = 1;
  return result;
}

std::string told(const plan::Result& result) {
  return flat(report::plan_text(result, {}));
}

plan::Settling settling() {
  plan::Settling s;
  s.further.now = check::Answer::cannot_tell;
  s.further.eta_rad = -0.06 / 600;
  s.further.tolerance_rad = 0.10 / 600;
  s.panel_known = true;
  plan::FurtherStep two;
  two.cuts = 2;
  two.minutes = 5;
  two.side_after_mm = 516;
  two.chance = 0.4;
  two.half_width = 0.06 / 600;
  two.provisional = true;
  plan::FurtherStep four = two;
  four.cuts = 4;
  four.minutes = 10;
  four.side_after_mm = 488;
  four.chance = 0.83;
  four.provisional = false;
  s.further.steps = {two, four};
  s.further.cheapest = 1;
  return s;
}

std::string told(const plan::Settling& s) {
  return flat(report::settle_text(s, {}));
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("plan: the sentence, whichever way it comes out") {
    auto result = three_rows();
    CHECK(holds(told(result), "takes 8 cuts on one panel (25 min)."));
    result.plan.cheapest_provisional = 2;
    CHECK(holds(
        told(result),
        "With the usual seating assumed, 2 panels of 5 cuts (30 min) would do for a provisional verdict."));
    result.plan.cheapest_provisional.reset();
    result.plan.cheapest = 0;
    CHECK(holds(told(result), "That settles 0.10 mm in 4 of 5 tests."));
    result.plan.cheapest.reset();
    CHECK(
        holds(told(result),
              "No test of up to 30 cuts settles 0.10 mm in 4 of 5 tests; 8 cuts on one panel (25 min) comes "
              "nearest."));
    result.aim.reset();
    CHECK(holds(told(result), "nothing is said of a verdict"));
    result.plan.rows[0].unknown = "seating-unseen";
    CHECK(holds(told(result), "gives no ±: one strip does not show how the panel seats."));
    result.plan.rows[0].unknown = "no-scatter";
    CHECK(holds(told(result), "gives no ±: nothing tells how a reading scatters."));
  }

  TEST_CASE("plan: where each size comes from is said") {
    auto result = three_rows();
    CHECK(holds(told(result), "Saw marks: not known, none are counted."));
    CHECK(holds(told(result), "One reading: 0.012 mm, caliper digital."));
    result.seating = result.saw_marks = result.reading = plan::From::log;
    result.log.checks = 1;
    CHECK(holds(told(result), "from your earlier check; that assumes that the panel seats as it did then."));
    result.log.checks = 6;
    CHECK(holds(told(result), "from your 6 earlier checks and the caliper."));
    result.reading = plan::From::assumed;
    CHECK(holds(told(result), "a usual size, as this caliper states none."));
    result.bench.caliper->name = "a\x1b[31mb";
    result.reading = plan::From::caliper;
    CHECK(!holds(report::plan_text(result, {}), "\x1b"));
  }

  TEST_CASE("plan: only what sees a slipped cut is named for it") {
    CHECK(holds(told(three_rows()), "A single slipped cut is seen only by: 8 cuts; 2 panels, 5 cuts each."));
    auto result = three_rows();
    for (auto& r : result.plan.rows) r.unseen = {"slips-not-seen"};
    CHECK(holds(told(result), "A single slipped cut is seen by none of these."));
  }

  TEST_CASE("plan: sentences in place of columns where there is no room") {
    for (const int width : {40, 60, 80}) {
      report::TextOptions options;
      options.width = width;
      const std::string text = report::plan_text(three_rows(), options);
      std::istringstream lines(text);
      std::string line;
      while (std::getline(lines, line)) {
        CAPTURE(line);
        CHECK(report::columns_of(line) <= static_cast<std::size_t>(width));
      }
      CHECK(holds(text, "the test") == (width == 80));
      if (width == 40)
        CHECK(holds(flat(text), "- 8 cuts, 25 min: ± 0.05 mm; within 85 %, outside 99 %; 488 mm left"));
    }
  }

  TEST_CASE("shares of tests in small numbers") {
    CHECK(report::out_of_words(0.5) == "1 of 2 tests");
    CHECK(report::out_of_words(0.8) == "4 of 5 tests");
    CHECK(report::out_of_words(0.9) == "9 of 10 tests");
    CHECK(report::out_of_words(0.95) == "19 of 20 tests");
    CHECK(report::out_of_words(0.87) == "87 of 100 tests");
    CHECK(report::out_of_words(0.875) == "88 of 100 tests");
  }

  TEST_CASE("settle: the sentence, whichever way it comes out") {
    auto s = settling();
    CHECK(holds(
        told(s),
        "It cannot tell yet. 4 more cuts on this panel (10 min) settle it in 4 of 5 tests, if the corner is "
        "off by 0.06 mm (allowed 0.10 mm over 600 mm), as measured; about 488 mm of it would be left."));
    CHECK(holds(told(s), "* still rests on the usual seating of 0.020 mm, which is assumed."));
    s.further.cheapest_provisional = 0;
    CHECK(holds(told(s),
                "For a verdict that is still provisional, 2 more cuts on this panel (5 min) are enough."));
    s.check = "dock/3";
    CHECK(told(s).starts_with("dock/3: It cannot tell yet."));
    s.further.cheapest.reset();
    s.further.cheapest_provisional.reset();
    CHECK(holds(told(s), "Even 4 more cuts on this panel (10 min) would settle it in only 83 % of tests"));
    s.further.steps.clear();
    CHECK(holds(told(s), "take a larger one"));
    s.further.at_tolerance = true;
    CHECK(holds(told(s), "No number of cuts will settle it"));
    s.further.settled = true;
    s.further.now = check::Answer::within;
    CHECK(holds(told(s), "It is settled: WITHIN. No more cuts are needed."));
  }

  TEST_CASE("settle: the line beside a verdict that is told already") {
    auto s = settling();
    const auto line = [&] { return report::settling_line(s, {}); };
    CHECK(line() ==
          "4 more cuts on this panel (10 min) settle it in 4 of 5 tests, if the corner is as measured; about "
          "488 "
          "mm of it would be left.");
    s.panel_known = false;
    s.further.steps[1].side_after_mm.reset();
    CHECK(line().ends_with("as measured. Stop before the panel gets under 300 mm."));
    s.further.steps[1].fresh_panels = 1;
    CHECK(line().starts_with("More cuts on this panel are not enough. A fresh panel with 4 cuts (10 min)"));
    CHECK(!holds(line(), "Stop before"));
    s.further.used_up = true;
    CHECK(line().starts_with("This panel is used up. A fresh panel with 4 cuts"));
    s.further.cheapest.reset();
    s.further.used_up = false;
    s.further.steps[1].fresh_panels = 0;
    s.further.steps[1].chance = 0.41;
    CHECK(
        line() ==
        "Even 4 more cuts on this panel (10 min) would settle it in only 41 % of tests, if the corner is as "
        "measured.");
    s.further.at_tolerance = true;
    CHECK(line() ==
          "No number of cuts will settle it if the corner is as measured: that is right at what is allowed.");
    s.further.at_tolerance = false;
    s.further.steps.clear();
    CHECK(holds(line(), "take a larger one"));
    s.further.strict = true;
    CHECK(holds(told(s), "Strict: it says either only when the whole ± lies there."));
  }

  TEST_CASE("plan: the line before the first cut") {
    auto result = three_rows();
    const auto line = [&] { return report::plan_line(result, {}); };
    CHECK(line() ==
          "One strip will tell to about ± 0.07 mm over 600 mm, if panels seat as usual; to settle 0.10 mm in "
          "4 of "
          "5 tests takes 8 cuts on one panel (25 min): 'plan'.");
    result.plan.rows[0].provisional = false;
    result.plan.cheapest = 0;
    CHECK(line() ==
          "One strip will tell to about ± 0.07 mm over 600 mm, which settles 0.10 mm in 4 of 5 tests.");
    result.plan.cheapest.reset();
    CHECK(holds(line(), "; no test of up to 30 cuts is likely to settle 0.10 mm: 'plan'."));
    result.plan.rows[0].unknown = "seating-unseen";
    CHECK(line().starts_with("One strip will give no ±; "));
  }

  TEST_CASE("settle: a fresh panel, an unknown one, a mistake to clear up first") {
    auto s = settling();
    s.further.used_up = true;
    s.further.steps[1].fresh_panels = 1;
    s.further.steps[1].cuts = 8;
    CHECK(holds(told(s), "This panel is used up. A fresh panel with 8 cuts (10 min) settles it"));
    s.further.steps[1].fresh_panels = 2;
    CHECK(holds(told(s), "2 fresh panels with 8 cuts each (10 min) settle it"));
    s.panel_known = false;
    for (auto& step : s.further.steps) step.side_after_mm.reset();
    CHECK(holds(told(s), "The panel's size is not known"));
    s.settle_first = true;
    CHECK(told(s).starts_with("First clear up"));
  }

  TEST_CASE("plan and settle as JSON: the same numbers, null for nothing") {
    const auto json = nlohmann::json::parse(report::plan_json(three_rows()));
    CHECK(json.at("schema") == "quarterturn/plan/1");
    CHECK(json.at("designs").size() == 3);
    CHECK(json.at("cheapest") == 1);
    CHECK(!json.contains("cheapest_provisional"));
    CHECK(!json.contains("station"));
    CHECK(json.at("designs").at(0).at("unseen").size() == 3);
    const auto settle = nlohmann::json::parse(report::settle_json(settling()));
    CHECK(settle.at("steps").at(1).at("cuts") == 4);
    CHECK(settle.at("settle").at("estimate_rad") == -0.06 / 600);
  }
}
