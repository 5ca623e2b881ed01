// SPDX-License-Identifier: MIT
// Drawings of reports: what stands where is read back from the SVG by the numbers at its axes and held
// against the outcome, never by the scale that drew it.
#include "report/pictures.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "report/words.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/strict_markup.hpp"

using namespace quarterturn;
using quarterturn::test::Element;
using quarterturn::test::near;
using quarterturn::test::StrictMarkup;
using units::Unit;

namespace {

double number(const Element& element, const std::string& attribute) {
  return std::stod(element.attributes.at(attribute));
}

/// User units to values, from two numbers at an axis.
struct Axis {
  double at0 = 0, value0 = 0, per_unit = 0;
  double operator()(double at) const { return value0 + (at - at0) * per_unit; }
};

/// From the texts that are numbers: level ones are anchored in the middle, upright ones at their end.
Axis axis_of(const StrictMarkup& svg, bool upright, double from_y = 0, double to_y = 1e9) {
  std::vector<std::pair<double, double>> marks;
  for (const auto* text : svg.named("text")) {
    const bool numeric = text->text.find_first_not_of("-0123456789.") == std::string::npos;
    const bool of_axis = text->attributes.at("text-anchor") == (upright ? "end" : "middle");
    const double y = number(*text, "y");
    if (numeric && of_axis && y >= from_y && y <= to_y)
      marks.emplace_back(number(*text, upright ? "y" : "x") - (upright ? 4.0 : 0.0), std::stod(text->text));
  }
  REQUIRE(marks.size() >= 2);
  const auto &a = marks.front(), &b = marks.back();
  return {a.first, a.second, (b.second - a.second) / (b.first - a.first)};
}

bool overlap_free(const report::Drawing& drawing) {
  const auto& texts = drawing.texts();
  for (std::size_t i = 0; i < texts.size(); ++i) {
    if (texts[i].left < -1 || texts[i].right > drawing.width() + 1) return false;
    for (std::size_t k = i + 1; k < texts.size(); ++k) {
      if (texts[i].overlaps(texts[k])) return false;
    }
  }
  return true;
}

/// The dock's table in one of its mirror images.
app::CheckRequest mirrored(station::Side keep, station::PanelSide panel, station::Side face, bool over) {
  auto request = test::station_request();
  auto& setup = request.station->setups.at("crosscut");
  const bool left = keep == station::Side::left, before = panel == station::PanelSide::before;
  setup.keep = keep;
  setup.panel_side = panel;
  setup.rail_on_face = face;
  const std::string row = before ? "9" : "3";
  setup.fence = {{station::parse_hole((left ? "A" : "F") + row), "low-1"},
                 {station::parse_hole((left ? "D" : "I") + row), "low-2"}};
  if (!over) {
    auto& spots = request.check.strips[0].spots;
    std::swap(spots.front().readings, spots.back().readings);
  }
  return request;
}

double folded(double rad) {  // a line has no direction: to (-pi/2, pi/2]
  while (rad > std::numbers::pi / 2) rad -= std::numbers::pi;
  while (rad <= -std::numbers::pi / 2) rad += std::numbers::pi;
  return rad;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("ticks are round, few, and inside") {
    const auto ticks = report::ticks(-0.283, 0.283, 5);
    REQUIRE(ticks.at.size() == 3);
    CHECK(near(ticks.at[0], -0.2, 1e-12, 0));
    CHECK(ticks.decimals == 1);
    CHECK(report::ticks(24.9, 25.7, 4).decimals == 1);
    CHECK(report::ticks(0, 1000, 4).decimals == 0);
    CHECK(report::ticks(1, 1, 4).at.empty());
  }

  TEST_CASE("texts are cut and broken to the room there is") {
    for (const std::string text : {"three layers of foil tape", "ÄÖÜäöü ± 0.17°", "x"}) {
      CHECK(report::text_width(report::fitted(text, 60, 12), 12) <= 60);
      for (const auto& line : report::broken(text, 60, 12)) CHECK(report::text_width(line, 12) <= 60);
    }
    CHECK(report::fitted("short", 300, 12) == "short");
  }

  TEST_CASE("the interval stands where its numbers say, in mm and in inches") {
    const auto outcome = app::run_check(test::station_request());
    for (const Unit unit : {Unit::mm, Unit::inch}) {
      const auto drawing = report::interval_picture(outcome, unit);
      REQUIRE(drawing);
      CHECK(overlap_free(*drawing));
      const StrictMarkup svg(drawing->file());
      const Axis x = axis_of(svg, false);
      const double per_unit = unit == Unit::mm ? 1 : 25.4;
      const double reach = 0.002 / per_unit;
      const auto dots = svg.of_class("q-dot");
      REQUIRE(dots.size() == 2);  // together, and the one strip
      CHECK(near(x(number(*dots[0], "cx")), outcome.fit.eta.x * 600 / per_unit, 0, reach));
      const auto bars = svg.of_class("q-fit");
      CHECK(near(x(number(*bars[0], "x1")), outcome.fit.eta.low() * 600 / per_unit, 0, reach));
      CHECK(near(x(number(*bars[0], "x2")), outcome.fit.eta.high() * 600 / per_unit, 0, reach));
      const auto limits = svg.of_class("q-limit");
      REQUIRE(limits.size() == 2);
      CHECK(near(x(number(*limits[0], "x1")), -0.1 / per_unit, 0, reach));
      CHECK(near(x(number(*limits[1], "x1")), 0.1 / per_unit, 0, reach));
    }
  }

  TEST_CASE("a strip's readings and line stand where its numbers say") {
    const auto outcome = app::run_check(test::station_request());
    const auto drawing = report::strips_picture(outcome, Unit::mm);
    CHECK(overlap_free(drawing));
    const StrictMarkup svg(drawing.file());
    const Axis y = axis_of(svg, true);
    std::vector<double> read;
    for (const auto* dot : svg.of_class("q-dot")) read.push_back(y(number(*dot, "cy")));
    const std::vector<double> typed{22.74, 22.73, 22.75, 22.14, 22.13, 22.15};
    REQUIRE(read.size() == typed.size());
    for (std::size_t k = 0; k < read.size(); ++k) CHECK(near(read[k], typed[k], 0, 0.004));
    REQUIRE(svg.of_class("q-fit").size() == 1);
    const std::string ends = svg.of_class("q-fit")[0]->attributes.at("points");
    const double at_fence = y(std::stod(ends.substr(ends.find(',') + 1)));
    CHECK(near(at_fence, 22.74, 0, 0.005));
  }

  TEST_CASE("the band of a strip's line is that of a line through two means") {
    // Two places with three readings each, their means' standard uncertainty s/sqrt(3): at an end the line
    // has that of its mean, and the taper sqrt(2) of it over the distance.
    const auto outcome = app::run_check(test::station_request());
    const auto& strip = outcome.check.strips[0];
    const auto line = report::fitted_line(strip, outcome.fit.tapers[0], outcome.fit);
    const double apart = 525, u_mean = outcome.fit.tapers[0].u_rad * apart / std::sqrt(2.0);
    CHECK(near(line.u_at(strip.spots[0].position_mm), u_mean, 1e-9, 0));
    CHECK(near(line.u_at(strip.spots[0].position_mm + apart / 2), u_mean / std::sqrt(2.0), 1e-9, 0));
    CHECK(near(line.at(strip.spots[0].position_mm), 22.74, 0, 1e-9));
  }

  TEST_CASE("the table: kept part, cut and rail lie as they do on the bench, in every mirror image") {
    using station::PanelSide;
    using station::Side;
    for (const Side keep : {Side::left, Side::right}) {
      for (const PanelSide panel : {PanelSide::before, PanelSide::beyond}) {
        for (const Side face : {Side::left, Side::right}) {
          for (const bool over : {true, false}) {
            CAPTURE(static_cast<int>(keep));
            CAPTURE(static_cast<int>(panel));
            CAPTURE(static_cast<int>(face));
            CAPTURE(over);
            const auto outcome = app::run_check(mirrored(keep, panel, face, over));
            REQUIRE((outcome.fit.eta.x > 0) == over);
            const auto drawing = report::table_picture(outcome, Unit::mm);
            REQUIRE(drawing);
            CHECK(overlap_free(*drawing));
            const StrictMarkup svg(drawing->file());

            // The cut is the rail's direction turned counter-clockwise by the error of the table, times over.
            const auto shown = report::shown_corner(outcome, *outcome.geometry);
            const double eps = station::corner_sign(keep, panel) * outcome.fit.eta.x;
            const auto* cut = svg.of_class("q-cut").at(0);
            const double dx = number(*cut, "x2") - number(*cut, "x1");
            const double dy = number(*cut, "y1") - number(*cut, "y2");
            CHECK(near(folded(std::atan2(dy, dx) - (std::numbers::pi / 2 + shown.times * eps)), 0, 0, 3e-4));
            CHECK(shown.times * std::fabs(eps) > 0.02);  // it can be seen

            // The kept part is on its sides of cut and fence; the rail on its face of the dogs.
            const auto dogs = svg.of_class("q-dog");
            REQUIRE(dogs.size() == 4);
            const double near_x = number(*dogs[0], "cx"), fence_y = number(*dogs[2], "cy");
            CHECK(number(*dogs[0], "cy") > number(*dogs[1], "cy"));  // the near dog is lower
            std::vector<double> xs, ys;
            const std::string points = svg.of_class("q-wood").at(0)->attributes.at("points");
            for (std::size_t from = 0; from < points.size();) {
              const std::size_t comma = points.find(',', from),
                                end = std::min(points.find(' ', from), points.size());
              xs.push_back(std::stod(points.substr(from, comma - from)));
              ys.push_back(std::stod(points.substr(comma + 1, end - comma - 1)));
              from = end + 1;
            }
            REQUIRE(xs.size() == 4);
            CHECK((xs[1] < xs[0]) == (keep == Side::left));
            CHECK(((ys[0] + ys[1] + ys[2] + ys[3]) / 4 > fence_y) == (panel == PanelSide::before));
            const std::string rail = svg.of_class("q-steel").at(0)->attributes.at("points");
            CHECK((std::stod(rail) > near_x) == (face == Side::right));

            // Its corner opens where it is over 90 degrees.
            const double ax = xs[1] - xs[0], ay = ys[1] - ys[0], bx = xs[3] - xs[0], by = ys[3] - ys[0];
            const double corner = std::acos((ax * bx + ay * by) / (std::hypot(ax, ay) * std::hypot(bx, by)));
            CHECK(near(corner - std::numbers::pi / 2, shown.times * outcome.fit.eta.x, 0.02, 3e-4));
          }
        }
      }
    }
  }

  TEST_CASE("the move that is advised is drawn at its dog, the way it goes") {
    const auto outcome = app::run_check(test::station_request());
    const auto& move = outcome.advice->moves.at(report::advised_move(outcome));
    REQUIRE(move.hole->name() == "E10");
    const StrictMarkup svg(report::table_picture(outcome, Unit::mm)->file());
    const auto* arrow = svg.of_class("q-move").at(0);
    const auto* far = svg.of_class("q-dog").at(1);
    CHECK(near(number(*arrow, "x1"), number(*far, "cx"), 0, 0.01));
    CHECK(near(number(*arrow, "y1"), number(*far, "cy"), 0, 0.01));
    // Foil on the right face pushes the rail to the right.
    CHECK(number(*arrow, "x2") > number(*arrow, "x1") + 20);
    CHECK(near(number(*arrow, "y2"), number(*arrow, "y1"), 0, 0.01));
    CHECK(svg.of_class("q-act").at(0)->text == "0.21 mm");
  }

  TEST_CASE("every drawing has a title and says in words what it shows") {
    const auto outcome = app::run_check(test::station_request());
    for (const auto& drawing :
         {report::strips_picture(outcome, Unit::mm), *report::interval_picture(outcome, Unit::mm),
          *report::table_picture(outcome, Unit::mm)}) {
      const StrictMarkup svg(drawing.on_page("c1").whole());
      CHECK(svg.elements()[0].attributes.at("role") == "img");
      CHECK(svg.elements()[0].attributes.at("aria-labelledby") == "c1-t c1-d");
      REQUIRE(svg.named("title").size() == 1);
      CHECK(svg.named("title")[0]->attributes.at("id") == "c1-t");
      CHECK(svg.named("desc").at(0)->text.size() > 60);
    }
    auto bare = app::run_check(test::ends_request());
    CHECK(!report::table_picture(bare, Unit::mm));
    CHECK(report::interval_picture(bare, Unit::mm));
  }

  TEST_CASE("the record: checks by date and size, events by letters, many of both") {
    history::Record record;
    record.station = "dock";
    record.setup = "crosscut";
    record.settings.tolerance_rad = 0.1 / 600;
    record.today = 20600;
    for (int k = 0; k < 6; ++k) {
      history::Entry entry;
      entry.date = 20000 + 100 * k;
      entry.eta = (k - 2) * 5e-5;
      entry.u = 2e-5;
      record.entries.push_back(entry);
      record.entry_names.push_back({"dock/" + std::to_string(k + 1), "2025-01-01"}, "id" + std::to_string(k));
    }
    for (int k = 0; k < 30; ++k) {
      record.events.push_back({"knocked", 20000.0 + k, "a name with <b> & more", "", true});
      record.event_names.push_back({"knocked", "2025-01-01"});
    }
    const auto drawing = report::history_picture(record, Unit::mm, report::kPictureWidth, "id3");
    CHECK(overlap_free(drawing));
    const StrictMarkup svg(drawing.file());
    const Axis y = axis_of(svg, true);
    const auto dots = svg.of_class("q-dot");
    REQUIRE(dots.size() == 6);
    for (int k = 0; k < 6; ++k)
      CHECK(near(y(number(*dots[static_cast<std::size_t>(k)], "cy")), (k - 2) * 5e-5 * 600, 0, 0.002));
    const double step = number(*dots[1], "cx") - number(*dots[0], "cx");
    CHECK(step > 10);
    CHECK(near(number(*dots[5], "cx") - number(*dots[4], "cx"), step, 0, 0.02));
    CHECK(svg.of_class("q-event").size() == 26);
    CHECK(svg.read().find("and 4 further events") != std::string::npos);
    CHECK(svg.read().find("this one") != std::string::npos);

    for (int k = 0; k < 5000; ++k) {
      history::Entry entry = record.entries.back();
      entry.date += 1;
      record.entries.push_back(entry);
      record.entry_names.push_back({"dock/9", "2025-01-01"});
    }
    const auto crowded = report::history_picture(record, Unit::mm);
    CHECK(crowded.file().size() < 100'000);
    CHECK(overlap_free(crowded));
  }
}
