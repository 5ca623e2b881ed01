// SPDX-License-Identifier: MIT
#include "report/check_report.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "report/amounts.hpp"
#include "report/drawing.hpp"
#include "report/words.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"

using namespace quarterturn;
using quarterturn::test::near;
using Json = nlohmann::json;

namespace {
bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}
}  // namespace

TEST_SUITE("report") {
  TEST_CASE("text opens with the answer in one sentence") {
    const auto outcome = app::run_check(test::station_request());
    const std::string first = report::answer_sentence(outcome, {});
    CHECK(first.starts_with("OUTSIDE (provisional): the corner is over 90° by 0.17 ± "));
    CHECK(holds(first, " over 600 mm ("));
    CHECK(holds(first, "; allowed 0.10 mm."));
    CHECK(report::check_text(outcome, {}).starts_with(report::verdict_words(*outcome.verdict)));
    report::TextOptions inch;
    inch.unit = units::Unit::inch;
    CHECK(holds(report::answer_sentence(outcome, inch), "by 0.007 ± 0.00"));
    CHECK(holds(report::answer_sentence(outcome, inch), "over 23.6 in"));
  }

  TEST_CASE("the advised move names dog, hole, face and what it leaves") {
    const auto outcome = app::run_check(test::station_request());
    const std::string text = report::to_do_text(outcome, {});
    CHECK(holds(text, "3 layers of foil tape on the FAR rail dog (E10), right face"));
    CHECK(holds(text, "One layer does 0.055 mm"));
    CHECK(holds(text, "Leaves 0.01 ± "));
    const std::string expect = report::expect_text(outcome, report::advised_move(outcome), {});
    CHECK(holds(expect, "0.03 mm wider"));
    CHECK(holds(expect, "it was 0.60 mm wider"));
    CHECK(holds(expect, "1.17 mm wider"));
  }

  TEST_CASE("where something must be cleared up first, no move is told, by any door") {
    auto request = test::station_request();
    // A second panel whose strip mirrors the first: F on the wrong end of one of them.
    auto strip = request.check.strips[0];
    strip.panel = 2;
    std::swap(strip.spots[0].readings, strip.spots[1].readings);
    request.check.strips.push_back(strip);
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.settle_first);
    REQUIRE(outcome.advice);
    CHECK(outcome.advice->decision.correct != correct::Correct::yes);
    const std::string text = report::check_text(outcome, {});
    CHECK(holds(text, "First clear this up: "));
    CHECK(holds(text, "Then check again, before anything is moved."));
    for (const char* none : {"If it stays so", "Do this", "foil", "seats so unevenly", "wo more cuts"}) {
      CAPTURE(none);
      CHECK(!holds(text, none));
    }
    CHECK(!holds(report::ways_text(outcome, {}), "(advised)"));
    const auto json = Json::parse(report::check_json(outcome));
    for (const auto& way : json.at("corrections")) CHECK(way.at("advised") == false);
  }

  TEST_CASE("where more is to be measured first, the move is named as a maybe and nothing is advised") {
    auto request = test::station_request();
    request.use_assumed = false;
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.advice->decision.correct == correct::Correct::unclear);
    CHECK(holds(report::to_do_text(outcome, {}), "If it stays so: 3 layers of foil tape"));
    CHECK(!holds(report::ways_text(outcome, {}), "(advised)"));
    CHECK(report::advised_move(outcome) == outcome.advice->moves.size());
  }

  TEST_CASE("how sure: what is assumed is told as it is assumed, and what does not show is no size") {
    auto request = test::station_request();
    CHECK(holds(report::how_sure_text(app::run_check(request), {}),
                "a usual size is ASSUMED (0.020 mm). The ± holds up to 1.6 times that (0.032 mm)."));
    // A second panel that reads the same: the blend is smaller, the assumption is not.
    auto strip = request.check.strips[0];
    strip.panel = 2;
    request.check.strips.push_back(strip);
    const auto outcome = app::run_check(request);
    const std::string two = report::how_sure_text(outcome, {});
    CHECK(holds(
        two,
        "ASSUMED (0.020 mm). The ± holds up to 1.6 times that (0.032 mm). With what was read it makes "));
    CHECK(holds(report::check_text(outcome, {}), "from these readings and the caliper"));
    // Four alike: fitted as nothing.
    for (int panel = 3; panel <= 4; ++panel) {
      strip.panel = panel;
      request.check.strips.push_back(strip);
    }
    const std::string four = report::check_text(app::run_check(request), {});
    CHECK(holds(four, "Seating does not show above the"));
    CHECK(!holds(four, "0.000"));
  }

  TEST_CASE("no text leaves a place unfilled or shows a number of no kind") {
    for (auto request : {test::station_request(), test::ends_request()}) {
      for (const bool assumed : {true, false}) {
        request.use_assumed = assumed;
        const auto outcome = app::run_check(request);
        for (const auto& text :
             {report::check_text(outcome, {}), report::ways_text(outcome, {}), report::why_text(outcome, {}),
              report::check_summary(outcome, {}), report::correction_text(outcome, 0, {})}) {
          CHECK(text.find_first_of("{}") == std::string::npos);
          CHECK(!holds(text, "nan"));
          CHECK(!holds(text, "inf"));
        }
      }
    }
  }

  TEST_CASE("lines keep to the width; plain has no drawing") {
    const auto outcome = app::run_check(test::station_request());
    report::TextOptions options;
    options.width = 60;
    const std::string text = report::check_text(outcome, options);
    for (std::size_t at = 0; at < text.size();) {
      const auto end = std::min(text.find('\n', at), text.size());
      const auto line = text.substr(at, end - at);
      const auto columns = std::count_if(
          line.begin(), line.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; });
      CHECK_MESSAGE(columns <= 60, line);
      at = end + 1;
    }
    options.plain = true;
    CHECK(!holds(report::check_text(outcome, options), "●"));
    options.unicode = false;
    for (const char c : report::check_text(outcome, options)) CHECK(static_cast<unsigned char>(c) < 0x80);
  }

  TEST_CASE(
      "in a wide window lines of text end where they can be read, and a strip is drawn over all of it") {
    const auto outcome = app::run_check(test::station_request());
    report::TextOptions options{.width = 110, .window = 200};
    const std::string text = report::finished(
        report::strip_drawing(outcome, 0, options) + report::check_summary(outcome, options), options);
    std::size_t widest_drawn = 0, widest_text = 0;
    for (std::size_t at = 0; at < text.size();) {
      const auto end = std::min(text.find('\n', at), text.size());
      const auto line = text.substr(at, end - at);
      auto& widest = holds(line, "│") || line.starts_with("            F") ? widest_drawn : widest_text;
      widest = std::max(widest, report::columns_of(line));
      at = end + 1;
    }
    CHECK(widest_drawn > 190);
    CHECK(widest_drawn <= 200);
    CHECK(widest_text <= 110);
  }

  TEST_CASE("of a corner that is within, though it moved, nobody is told that a correction waits") {
    auto request = test::station_request();
    for (auto& reading : request.check.strips[0].spots[0].readings) reading.mm -= 0.57;  // about square
    REQUIRE(app::run_check(request).verdict->setup == check::Answer::within);
    request.last = correct::LastCheck{3e-4, 1e-5, false};
    const auto outcome = app::run_check(request);
    REQUIRE(outcome.advice->decision.find_first);
    const std::string text = report::to_do_text(outcome, {});
    CHECK(holds(text, "Leave the dogs alone."));
    CHECK(holds(text, "'find'"));
    CHECK(!holds(text, "Do NOT correct"));
    request = test::station_request();
    request.last = correct::LastCheck{0, 1e-5, false};
    CHECK(holds(report::to_do_text(app::run_check(request), {}), "Do NOT correct yet"));
  }

  TEST_CASE("the drawing of the cuts shows edge, X, F and turns with the side that is kept") {
    const std::string left = report::turn_drawing(1, 5, true, true);
    CHECK(holds(left, "cut 5"));
    CHECK(holds(left, "───4───║F"));
    CHECK(holds(report::turn_drawing(5, 5, false, true), "F║───4───"));
    CHECK(report::turn_drawing(5, 5, true, false).find("═══") >
          report::turn_drawing(5, 5, true, false).find("X"));
  }

  TEST_CASE("JSON: the keys that programs rely on") {
    const auto outcome = app::run_check(test::station_request());
    const auto json = Json::parse(report::check_json(outcome));
    CHECK(json.at("schema") == "quarterturn/check/1");
    CHECK(json.at("station") == "dock");
    CHECK(json.at("setup") == "crosscut");
    CHECK(json.at("test") == "five-cut");
    CHECK(!json.contains("date"));
    for (const char* error : {"corner_error", "squareness_error"}) {
      const auto& estimate = json.at(error);
      CHECK(near(estimate.at("estimate_rad").get<double>(), 0.60 / 525 / 4, 1e-9, 0));
      CHECK(estimate.at("standard_uncertainty_rad").get<double>() > 0);
      CHECK(estimate.at("dof").get<double>() >= 1);
      CHECK(estimate.at("confidence") == 0.95);
      CHECK(estimate.at("interval_rad").at(0).get<double>() <
            estimate.at("interval_rad").at(1).get<double>());
    }
    for (const char* part : {"reading_mm", "saw_marks_mm", "seating_mm", "seating_rad"})
      CHECK(json.at("scatter").at(part).contains("source"));
    CHECK(json.at("scatter").at("seating_mm").at("source") == "assumed");
    CHECK(!json.at("scatter").at("saw_marks_mm").contains("estimate"));
    CHECK(json.at("tapers").at(0).at("to_cut") == 5);
    CHECK(json.at("warnings").is_array());
    CHECK(json.at("warnings").at(0).contains("where"));
    CHECK(json.at("verdict").at("setup") == "outside");
    CHECK(json.at("verdict").at("provisional") == true);
    CHECK(!json.at("verdict").contains("next_panel"));
    CHECK(json.at("decision").at("find_first") == false);
    int shifts = 0;
    for (const auto& move : json.at("corrections")) {
      shifts += move.at("means") == "shift" ? 1 : 0;
      CHECK(move.contains("text"));
      CHECK(move.contains("minutes"));
      CHECK(move.contains("undoable"));
    }
    CHECK(shifts == 4);
  }

  TEST_CASE("JSON: unbounded degrees of freedom are null, no interval without seating") {
    auto outcome = app::run_check(test::station_request());
    outcome.fit.eta.dof = check::kUnbounded;
    CHECK(Json::parse(report::check_json(outcome)).at("corner_error").at("dof").is_null());
    auto request = test::station_request();
    request.use_assumed = false;
    const auto json = Json::parse(report::check_json(app::run_check(request)));
    CHECK(json.at("corner_error").at("unknown") == "seating-unseen");
    CHECK(!json.at("corner_error").contains("interval_rad"));
    CHECK(!json.at("decision").contains("probability_improves"));
  }

  TEST_CASE("every finding can be said when its numbers are there") {
    for (const auto& row : check::finding_rows()) {
      CAPTURE(std::string(row.code));
      check::Finding finding{std::string(row.code), {1, 1, 5, 7, 250.0}, {}, {}};
      for (const auto pattern : {row.sentence, row.advice}) {
        for (auto open = pattern.find('{'); open != std::string_view::npos;
             open = pattern.find('{', open + 1)) {
          std::string name(pattern.substr(open + 1, pattern.find('}', open) - open - 1));
          if (name.ends_with('$'))
            finding.words[name.substr(0, name.size() - 1)] = "word";
          else
            finding.numbers[name.substr(0, name.find(':'))] = 1.5;
        }
      }
      const std::string text = report::finding_text(finding, units::Unit::mm);
      CHECK(!text.empty());
      CHECK(text.find_first_of("{}|") == std::string::npos);
    }
    CHECK_THROWS_AS(report::finding_text({"inch-or-mm", {}, {}, {}}, units::Unit::mm), std::logic_error);
  }
}
