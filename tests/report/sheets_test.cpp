// SPDX-License-Identifier: MIT
// The wall card is held against the program itself: what its table says must be what a check with such a
// strip is advised, in every mirror image of the table.
#include "report/sheets.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "files/readings_file.hpp"
#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "report/words.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/strict_markup.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::holds;
using quarterturn::test::near;
using quarterturn::test::StrictMarkup;

namespace {

/// The dock's table with these sides, and a five-cut whose strip differs by so much, F end minus free end.
app::CheckRequest differing_by(double mm, station::Side keep, station::PanelSide panel, station::Side face) {
  auto request = test::station_request();
  auto& setup = request.station->setups.at("crosscut");
  setup.keep = keep;
  setup.panel_side = panel;
  setup.rail_on_face = face;
  auto& spots = request.check.strips[0].spots;
  for (auto& reading : spots.front().readings) reading.mm = 25 + mm + (reading.mm - 22.74);
  for (auto& reading : spots.back().readings) reading.mm = 25 + (reading.mm - 22.14);
  return request;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("the card's layers and dog are those a check is advised, in every mirror image") {
    using correct::WhichDog;
    using station::PanelSide;
    using station::Side;
    for (const Side keep : {Side::left, Side::right}) {
      for (const PanelSide panel : {PanelSide::before, PanelSide::beyond}) {
        for (const Side face : {Side::left, Side::right}) {
          for (const double side : {1.0, -1.0}) {
            CAPTURE(static_cast<int>(keep));
            CAPTURE(static_cast<int>(panel));
            CAPTURE(static_cast<int>(face));
            CAPTURE(side);
            const auto station = differing_by(0, keep, panel, face).station;
            const auto geometry = station::geometry_of(*station, station->setup(""));
            const auto table = report::layer_table(geometry, station->shims[0], 525);
            REQUIRE(table.rows.size() == 5);
            const auto& row = table.rows[2];
            CHECK(near(row.difference_mm, 4 * 3 * 0.07 / 768 * 525, 1e-12, 0));
            const auto outcome = app::run_check(differing_by(side * row.difference_mm, keep, panel, face));
            REQUIRE(outcome.advice);
            // Of the ways with shims at a rail dog: the one that leaves least has the card's layers.
            const correct::Move* best = nullptr;
            for (const auto& move : outcome.advice->moves) {
              const bool at_rail = move.dog == WhichDog::rail_far || move.dog == WhichDog::rail_near;
              if (move.means != correct::Means::shim || !at_rail) continue;
              if (best == nullptr || std::fabs(move.remaining_rad) < std::fabs(best->remaining_rad))
                best = &move;
            }
            REQUIRE(best != nullptr);
            CHECK((best->dog == WhichDog::rail_far) == (table.far_when_wider == (side > 0)));
            REQUIRE(best->parts.size() == 1);
            CHECK(best->parts[0].layers == 3);
            CHECK(best->face == (face == Side::right ? "right" : "left"));
          }
        }
      }
    }
  }

  TEST_CASE("the card: last result, next check, its table, lines to write on; names stay names") {
    report::CardShown shown;
    shown.station = test::dock();
    shown.setup = "crosscut";
    shown.last_date = "2026-03-14";
    shown.last_result = "over 90° by 0.01 ± 0.09 mm over 600 mm";
    shown.last_verdict = "WITHIN (provisional)";
    shown.due = "2026-06-12";
    const std::string page = report::card_page(shown, "2026-03-15");
    const StrictMarkup read(page);
    const std::string text = read.read();
    for (const char* part :
         {"dock", "WITHIN (provisional)", "0.01 ± 0.09 mm", "Next check: 2026-06-12", "525 mm apart",
          "WIDER at F: FAR rail dog (E10), right face", "NARROWER at F: NEAR rail dog (E2), right face",
          "up to 0.35 mm", "0.38 mm", "2 layers", "0.96 mm", "5 layers", "initials", "Unplug the saw",
          "certifies nothing"})
      CHECK_MESSAGE(holds(text, part), part);
    CHECK(!holds(text, "1 layer\n"));  // it lies within what is allowed
    shown.station.name = "<script>x</script>";
    shown.station.shims.clear();
    const std::string bare = report::card_page(shown, "2026-03-15");
    CHECK(StrictMarkup(bare).named("script").empty());
    CHECK(holds(bare, "the thickness stands in place of layers"));
  }

  TEST_CASE("a card of a mitre tells that strips do not test it") {
    auto geometry = station::geometry_of(test::dock(), test::dock().setup(""));
    geometry.nominal_rad = 0.785;
    CHECK(report::layer_table(geometry, test::dock().shims[0], 525).rows.empty());
  }

  TEST_CASE("the bench sheet of gaps: steps, picture, boxes in the order in which readings are typed") {
    using Kind = report::GapTestShown::Kind;
    for (const Kind kind : {Kind::pair, Kind::halves, Kind::frame, Kind::rail}) {
      CAPTURE(kind);
      report::BenchSheetShown shown;
      shown.gaps = report::GapTestShown{};
      shown.gaps->kind = kind;
      const StrictMarkup read(report::bench_sheet_page(shown));
      const std::string text = read.read();
      const bool rail = kind == Kind::rail;
      CHECK(read.named("table").size() == (rail ? 1 : 2));
      CHECK(read.named("pre").size() == report::gap_test_pictures(*shown.gaps).size());
      const auto steps = report::gap_test_step_lines(*shown.gaps);
      std::size_t at = text.find(report::gap_test_heading(*shown.gaps));
      for (const auto& step : steps) {
        CAPTURE(step);
        const auto next = text.find(step.substr(0, 20), at);
        REQUIRE(next != std::string::npos);
        at = next;
      }
      at = text.find("reading 1", at);
      for (const char* place : rail ? std::array{"near end", "middle", "far end", "distance"}
                               : kind == Kind::frame
                                   ? std::array{"outer end (F)", "inner end", "middle", "distance"}
                                   : std::array{"F end", "free end", "middle", "distance"}) {
        CAPTURE(place);
        const auto next = text.find(place, at);
        REQUIRE(next != std::string::npos);
        at = next;
      }
      CHECK(holds(text, "Feeler leaves are sharp"));
    }
  }

  TEST_CASE("the bench sheet: boxes in the order in which readings are typed, turns as they are") {
    report::BenchSheetShown shown;
    shown.station = "dock";
    shown.sides_known = true;
    const StrictMarkup read(report::bench_sheet_page(shown));
    const std::string text = read.read();
    const auto fence = text.find("F end"), free_end = text.find("free end", fence),
               middle = text.find("middle", free_end);
    CHECK(fence < free_end);
    CHECK(free_end < middle);
    CHECK(middle < text.find("between F end and free end"));
    CHECK(holds(text, "turn the panel a quarter to the left"));
    CHECK(read.named("svg").size() == 1);
    CHECK(read.named("table").size() == 3);
    // The edge at the rail's right end of the kept part comes to a fence away from you by a turn to the left.
    CHECK(std::string(report::turn_word(true, true)) == "left");
    CHECK(std::string(report::turn_word(false, true)) == "right");
    CHECK(std::string(report::turn_word(true, false)) == "right");
    CHECK(std::string(report::turn_word(false, false)) == "left");
    for (const bool keep_left : {true, false}) {
      for (const bool before : {true, false}) {
        const StrictMarkup svg(report::turns_picture(5, keep_left, before).file());
        const auto panel = svg.of_class("q-wood").at(0);
        const auto fence_line = svg.of_class("q-fence").at(0), rail = svg.of_class("q-cut").at(0);
        const auto at = [](const test::Element* e, const char* name) {
          return std::stod(e->attributes.at(name));
        };
        const double middle_x = at(panel, "x") + at(panel, "width") / 2,
                     middle_y = at(panel, "y") + at(panel, "height") / 2;
        CHECK((at(rail, "x1") > middle_x) == keep_left);     // the strip falls off on the other side
        CHECK((at(fence_line, "y1") < middle_y) == before);  // the fence is away from you
      }
    }
  }

  TEST_CASE("the client's sheet: who, when, readings, the rule, whether provisional, a place to sign") {
    report::CheckShown shown;
    auto request = test::station_request();
    request.check.by = "Lea <lea@example>";
    request.check.date = "2026-03-14";
    shown.outcome = app::run_check(request);
    shown.name = "dock/1";
    shown.readings = files::write_readings(request.check);
    const std::string page = report::client_page(shown, false, "2026-03-15");
    const std::string text = StrictMarkup(page).read();
    for (const char* part :
         {"OUTSIDE (provisional)", "Lea <lea@example>", "2026-03-14", "caliper last compared on",
          "22.74  22.73  22.75", "95 % or more", "PROVISIONAL", "signed", "certifies nothing", "SHA-256"})
      CHECK_MESSAGE(holds(text, part), part);
    CHECK(holds(report::client_page(shown, true, "2026-03-15"), "the whole ± lies inside"));
    shown.lines.compared = "2026-03-01, with a 25 mm block: reads 25.00";
    const std::string noted = StrictMarkup(report::client_page(shown, false, "2026-03-15")).read();
    CHECK(holds(noted, "reads 25.00"));
    CHECK(!holds(noted, "caliper last compared on"));
  }

  TEST_CASE("the card of a mitre speaks of rings, not of strips") {
    report::CardShown shown;
    shown.station = files::parse_station(files::read_text(QUARTERTURN_ROOT "/examples/stations/tour.json"));
    shown.setup = "mitre";
    const std::string text = StrictMarkup(report::card_page(shown, "2026-03-15")).read();
    for (const char* part : {"a new ring", "gap at the last joint", "True within"})
      CHECK_MESSAGE(holds(text, part), part);
    for (const char* part : {"five new cuts", "wider / narrower", "Square within"})
      CHECK_MESSAGE(!holds(text, part), part);
  }
}
