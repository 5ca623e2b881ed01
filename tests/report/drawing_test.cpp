// SPDX-License-Identifier: MIT
// Drawings of a check and of cuts, over widths, units, spellings and unusual data. What stands where is
// derived here from the readings, not from the code that draws.
#include "report/drawing.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "check/check.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "support/drawn.hpp"
#include "support/outcomes.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using namespace quarterturn::test;

namespace {

constexpr int kLabelColumns = 11;  ///< before the axis of a strip's drawing

check::Spot spot(double position, std::initializer_list<double> readings) {
  check::Spot made;
  made.position_mm = position;
  for (const double mm : readings) {
    check::Reading reading;
    reading.mm = mm;
    made.readings.push_back(reading);
  }
  return made;
}

/// \param widths  of three spots, 20, 270 and 520 mm from the fence end
correct::Outcome outcome_of(int strips, const std::function<check::Strip(int)>& strip) {
  app::CheckRequest request;
  request.check.test = check::TestKind::progressive;
  for (int i = 0; i < strips; ++i) request.check.strips.push_back(strip(i));
  request.station = dock();
  request.check.caliper = check::Caliper{};
  request.check.caliper->repeatability_mm = 0.01;
  return app::run_check(request);
}

check::Strip strip_of(int number, std::initializer_list<check::Spot> spots) {
  check::Strip strip;
  strip.from_cut = number + 1;
  strip.to_cut = number + 5;
  strip.spots = spots;
  return strip;
}

correct::Outcome tapering(double end_mm) {
  return outcome_of(1, [&](int i) {
    return strip_of(i, {spot(20, {22, 22}), spot(270, {22 + end_mm / 2, 22 + end_mm / 2}),
                        spot(520, {22 + end_mm, 22 + end_mm})});
  });
}

struct Named {
  const char* name;
  correct::Outcome outcome;
};

std::vector<Named> unusual() {
  std::vector<Named> all;
  all.push_back({"one strip", app::run_check(station_request())});
  all.push_back({"identical", tapering(0)});
  all.push_back({"wide at the free end", tapering(0.3)});
  all.push_back({"forty strips", outcome_of(40, [](int i) {
                   const double off = 0.01 * (i % 3);
                   return strip_of(i, {spot(20, {22.5, 22.51}), spot(270, {22.45, 22.46}),
                                       spot(520, {22.4 + off, 22.41 + off})});
                 })});
  all.push_back({"huge outlier", outcome_of(3, [](int i) {
                   const double slip = i == 1 ? 8.0 : 0.0;
                   return strip_of(i, {spot(20, {22.5, 22.51, 22.5}), spot(270, {22.45, 22.46 + slip, 22.45}),
                                       spot(520, {22.4, 22.41, 22.4})});
                 })});
  auto bare = station_request();
  bare.check.tolerance.reset();
  bare.station.reset();
  bare.use_assumed = false;
  all.push_back({"nothing known but readings", app::run_check(bare)});
  return all;
}

/// Row of the drawing's strip (0 at the top) at which the fitted line stands in a column.
int line_row(const Cells& cells, int column) {
  for (int row = 1; row <= 7; ++row) {
    if (cell_at(cells, column, row) == "─") return row - 1;
  }
  return -1;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("drawings of a check keep their form over widths, units, spellings and unusual data") {
    for (const auto& named : unusual()) {
      const auto& outcome = named.outcome;
      for (const int width : {40, 60, 80, 120, 200}) {
        for (const bool unicode : {true, false}) {
          for (const auto unit : {units::Unit::mm, units::Unit::inch}) {
            CAPTURE(named.name);
            report::TextOptions options{.unit = unit, .unicode = unicode, .width = width};
            check_form(report::check_text(outcome, options), width, unicode);
            for (const auto& drawn :
                 {report::strip_drawing(outcome, 0, options), report::strips_drawing(outcome, options),
                  report::interval_drawing(outcome, options)}) {
              check_drawing(report::finished(drawn, options), width, unicode);
              // Only the title is a sentence that may be broken: the rows fit as they are.
              const auto rows = lines_of(drawn);
              for (std::size_t i = 1; i < rows.size(); ++i)
                CHECK(static_cast<int>(cells_of_line(rows[i]).size()) <= width);
            }
          }
        }
      }
    }
  }

  TEST_CASE("the fitted line stands at both ends where its numbers say, between labels that differ") {
    for (const double end_mm : {-0.3, 0.3, -0.06, 0.12}) {
      const auto outcome = tapering(end_mm);
      for (const int width : {40, 80, 200}) {
        report::TextOptions options{.width = width};
        const Cells cells = cells_of_text(report::strip_drawing(outcome, 0, options));
        const int columns = std::clamp(width - 14, 24, 186);
        const int left = line_row(cells, kLabelColumns + 2),
                  right = line_row(cells, kLabelColumns + columns - 1);
        CAPTURE(width);
        CAPTURE(end_mm);
        // Readings lie on the line: seven rows from the widest at the top to the narrowest.
        CHECK(left == (end_mm < 0 ? 0 : 6));
        CHECK(right == (end_mm < 0 ? 6 : 0));
        // The readings themselves cover the line at its ends and in the middle.
        CHECK(cell_at(cells, kLabelColumns + 1, 1 + left) == "●");
        CHECK(cell_at(cells, kLabelColumns + columns, 1 + right) == "●");
        CHECK(count_of(report::strip_drawing(outcome, 0, options), "●") == 4);  // one in the title
      }
    }
    for (const auto unit : {units::Unit::mm, units::Unit::inch}) {
      report::TextOptions options{.unit = unit};
      const auto rows = lines_of(report::strip_drawing(tapering(0), 0, options));
      const std::string high = rows[1].substr(0, 10), low = rows[7].substr(0, 10);
      CHECK(high != low);
      CHECK(line_row(cells_of_text(report::strip_drawing(tapering(0), 0, options)), 20) == 3);
    }
  }

  TEST_CASE("a reading that a finding names is a ring, is named in the title and in words") {
    const auto outcome = unusual()[4].outcome;
    const std::string drawn = report::strip_drawing(outcome, 1, {});
    CAPTURE(drawn);
    CHECK(count_of(drawn, "○") == 2);
    CHECK(holds(drawn, ", ○ one to look at,"));
    CHECK(count_of(report::strip_drawing(outcome, 0, {}), "○") == 0);
    const std::string words = report::strip_words(outcome, 1, {});
    CHECK(holds(words, "One to look at: 30.46 mm at 270 mm from the fence end."));
    // Of many strips only that one is drawn.
    const auto many = outcome_of(6, [](int i) {
      const double slip = i == 4 ? 3.0 : 0.0;
      return strip_of(i, {spot(20, {22.5, 22.51, 22.5}), spot(270, {22.45, 22.46 + slip, 22.45}),
                          spot(520, {22.4, 22.41, 22.4})});
    });
    const std::string text = report::check_text(many, {});
    CHECK(holds(text, "Strip 5-9: width along it"));
    CHECK_FALSE(holds(text, "Strip 4-8: width along it"));
  }

  TEST_CASE("interval: its ends, the tolerance and the thick part stand where the numbers say") {
    const auto outcome = app::run_check(station_request());
    const double x = outcome.fit.eta.x * 600, half = outcome.fit.eta.half_width * 600;
    for (const int width : {40, 60, 80, 120, 200}) {
      report::TextOptions options{.width = width};
      const std::string drawn = report::interval_drawing(outcome, options);
      const Cells cells = cells_of_text(drawn);
      CAPTURE(drawn);
      const auto zero = columns_with(cells, 2, "┼"), marks = columns_with(cells, 2, "│");
      REQUIRE(zero.size() == 1);
      REQUIRE(marks.size() == 2);
      CHECK(marks[1] - zero[0] == zero[0] - marks[0]);
      const double column_mm = 0.10 / (marks[1] - zero[0]);
      const auto at = [&](const char* mark) { return (columns_with(cells, 1, mark).front() - zero[0]); };
      const double near_mm = column_mm * (0.51 + 0.51 * x / 0.10);  // both are rounded to a column
      CHECK(std::fabs(at("●") * column_mm - x) < near_mm);
      CHECK(std::fabs(at("├") * column_mm - (x - half)) < near_mm);
      CHECK(std::fabs(at("┤") * column_mm - (x + half)) < near_mm * 1.5);
      for (const int column : columns_with(cells, 1, "━")) CHECK(column > marks[1]);
      for (const int column : columns_with(cells, 1, "─")) CHECK(column <= marks[1]);
      CHECK(holds(drawn, "allowed"));
    }
    for (int width = 40; width <= 110; ++width) {  // never cut short
      report::TextOptions options{.width = width};
      const auto small = tapering(0.0);
      const auto rows = lines_of(report::interval_drawing(small, options));
      CHECK(count_of(rows.back(), "allowed") == (rows.back().size() > 20 ? 2U : 1U));
      CHECK(flat(rows.back()).find_first_not_of(" allowed") == std::string::npos);
    }
  }

  TEST_CASE("strips: one row each on one scale, the angle to be seen in every row") {
    const auto all = unusual();
    for (const auto& named : all) {
      const auto& outcome = named.outcome;
      const std::string drawn = report::strips_drawing(outcome, {});
      const Cells cells = cells_of_text(drawn);
      CAPTURE(drawn);
      REQUIRE(cells.size() >= outcome.fit.tapers.size());
      const std::size_t title = cells.size() - outcome.fit.tapers.size();
      int middle = -1;
      for (std::size_t i = 0; i < outcome.fit.tapers.size(); ++i) {
        const int row = static_cast<int>(title + i);
        const auto dots = columns_with(cells, row, "●");
        REQUIRE(dots.size() == 1);
        for (const char* mark : {"┊", "┼"}) {
          for (const int column : columns_with(cells, row, mark)) middle = column;
        }
        const double corner = outcome.fit.tapers[i].corner_rad();
        if (middle < 0) continue;  // the dot itself lies there
        if (dots[0] != middle) CHECK((dots[0] > middle) == (corner > 0));
        CHECK(columns_with(cells, row, "┊").size() + columns_with(cells, row, "┼").size() +
                  (std::abs(dots[0] - middle) <= 1 ? 1 : 0) >=
              1);
      }
    }
  }

  TEST_CASE("in words: interval and strips tell the same, without a drawing") {
    const auto outcome = app::run_check(station_request());
    CHECK(report::strip_words(outcome, 0, {}) ==
          "Strip 1-5: 0.60 mm wider at the fence end over 525 mm; its 6 readings lie within 0.01 mm of the "
          "line.\n");
    CHECK(holds(report::strip_words(tapering(0.3), 0, {}), "0.30 mm wider at the free end over 500 mm"));
    CHECK(holds(report::strip_words(tapering(0), 0, {}), "as wide at both ends over 500 mm"));
    const std::string interval = report::interval_words(outcome, {});
    CHECK(holds(interval,
                "The corner over 600 mm: 0.17 mm over, with its ± from 0.08 mm over to 0.26 mm over."));
    CHECK(
        holds(interval, "Allowed is 0.10 mm to either side. It reaches beyond what is allowed on the over"));
    report::TextOptions plain{.plain = true};
    const std::string text = report::check_text(outcome, plain);
    CHECK(holds(text, interval));
    CHECK(holds(text, report::strip_words(outcome, 0, plain)));
    for (const char* mark : {"●", "─", "│", "┼", "═", "║"}) CHECK_FALSE(holds(text, mark));
  }

  TEST_CASE("the drawing of the cuts keeps to the width: all five, three of them, or none") {
    for (int width = 20; width <= 110; ++width) {
      for (const bool left : {true, false}) {
        const std::string drawn = report::turn_drawing(1, 5, left, true, width);
        check_drawing(drawn, width, true);
        check_drawing(report::ascii(drawn), width, false);
        CHECK(drawn.empty() == (width < 42));
        CHECK(holds(drawn, "cut 3") == (width >= 70));
        CHECK(holds(drawn, "cut 5") == (width >= 42));
        CHECK(holds(flat(drawn), "cuts 3 to 4 go like cut 2") == (width >= 42 && width < 70));
        // What is shown is not broken again on its way to the screen.
        report::TextOptions options{.width = width};
        CHECK(report::finished(drawn, options) == drawn);
      }
    }
    CHECK(holds(report::turn_drawing(7, 7, true, true, 40), "───6───║F"));
  }

  TEST_CASE("the cuts in words: a quarter turn the way that brings the edge just cut to the fence") {
    // By hand: the fence away from the person and the kept part on the left of the cut: the cut edge is the
    // panel's right one, and a turn to the left carries right to far.
    CHECK(holds(report::turn_words(1, 5, true, true), "Turned a quarter turn to the left"));
    CHECK(holds(report::turn_words(1, 5, false, true), "Turned a quarter turn to the right"));
    CHECK(holds(report::turn_words(1, 5, true, false), "Turned a quarter turn to the right"));
    CHECK(holds(report::turn_words(1, 5, false, false), "Turned a quarter turn to the left"));
    CHECK(holds(report::turn_words(1, 5, true, true),
                "the edge of cut 4 in cut 5. F stands on the strip of cut 5"));
    CHECK(holds(report::turn_words(7, 7, true, false), "In cut 7 the edge of cut 6 lies on the fence."));
    CHECK(holds(report::turn_words(7, 7, false, false), "the fence lies on your side of the panel"));
    CHECK(holds(report::turn_words(7, 7, false, false), "the part to its right is kept"));
  }
}
