// SPDX-License-Identifier: MIT
// The drawing is read back cell by cell and held against the setup, by hand and by station::Geometry.
#include "report/table_drawing.hpp"

#include <doctest/doctest.h>

#include <cctype>
#include <cmath>
#include <cstdlib>
#include <utility>
#include <vector>

#include "report/check_report.hpp"
#include "report/words.hpp"
#include "station/geometry.hpp"
#include "support/drawn.hpp"
#include "support/outcomes.hpp"
#include "support/tables.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using namespace quarterturn::test;

namespace {

/// A strip wider at its fence end, so a corner over 90 degrees; or its mirror image.
correct::Outcome outcome_of(const Case& table, bool over) {
  app::CheckRequest request;
  request.check = ends_check();
  if (!over) std::swap(request.check.strips[0].spots[0].readings, request.check.strips[0].spots[1].readings);
  request.station = table.station;
  request.station->shims = dock().shims;
  request.tolerance = units::parse_tolerance("0.10 over 600");
  return app::run_check(request);
}

/// The holes with what stands on them, without title and key.
std::string picture(const std::string& drawn) {
  std::string rows;
  bool begun = false;
  for (const auto& line : lines_of(drawn)) {
    begun = begun || (!line.empty() && (line.front() == ' ' || std::isdigit(line.front()) != 0));
    if (line.starts_with("You stand")) break;
    if (begun && !line.starts_with("200")) rows += line + "\n";
  }
  return rows;
}

int line_with(const Cells& cells, const std::string& mark) {
  for (int line = 0; line < static_cast<int>(cells.size()); ++line) {
    if (!columns_with(cells, line, mark).empty()) return line;
  }
  return -1;
}

/// Line of a row of holes, by its number at the left.
int line_of_row(const std::string& rows, int row) {
  const auto lines = lines_of(rows);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (std::atoi(lines[i].c_str()) == row) return static_cast<int>(i);
  }
  return -1;
}

int rail_at(const Cells& cells, int line) {
  for (const char* mark : {"║", "▒"}) {
    const auto columns = columns_with(cells, line, mark);
    if (!columns.empty()) return columns.front();
  }
  return -1;
}

int first_word(const std::string& rows, const std::string& word, int* line) {
  const auto lines = lines_of(rows);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto at = lines[i].find(word);
    if (at == std::string::npos) continue;
    *line = static_cast<int>(i);
    return static_cast<int>(cells_of_line(lines[i].substr(0, at)).size());
  }
  return -1;
}

int stated_times(const std::string& drawn) {
  const std::string text = flat(drawn), before = "drawn ";
  return std::atoi(text.c_str() + text.find(before) + before.size());
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("table from above: form, dogs, names and arrows, in every setup, width and for every move") {
    for (const auto& table : square_cases()) {
      for (const bool over : {true, false}) {
        const auto outcome = outcome_of(table, over);
        REQUIRE(outcome.advice);
        for (std::size_t move = 0; move <= outcome.advice->moves.size(); ++move) {
          for (const int width : {40, 60, 80, 120, 200}) {
            report::TextOptions options;
            options.width = width;
            const std::string drawn = report::table_drawing(outcome, move, options);
            CAPTURE(table.name);
            CAPTURE(over);
            CAPTURE(drawn);
            REQUIRE_FALSE(drawn.empty());
            check_drawing(drawn, width, true);
            const std::string rows = picture(drawn);
            CHECK(count_of(rows, "●") == 4);
            const auto& pairs = table.setup;
            for (const auto& post :
                 {pairs.rail.first, pairs.rail.second, pairs.fence.first, pairs.fence.second})
              CHECK(count_of(rows, post.hole.name()) == 1);
            std::size_t arrows = 0;
            for (const char* head : {"←", "→", "↑", "↓"}) arrows += count_of(rows, head);
            const auto* made = move < outcome.advice->moves.size() ? &outcome.advice->moves[move] : nullptr;
            const bool of_one = made != nullptr && made->dog != correct::WhichDog::none &&
                                std::hypot(made->shift_x_mm, made->shift_y_mm) > 0;
            CHECK(arrows == (of_one ? 1U : 0U));
            CHECK(count_of(rows, "▒") == (of_one && made->means == correct::Means::shim ? 1U : 0U));
            options.unicode = false;
            const std::string ascii = report::table_drawing(outcome, move, options);
            check_drawing(ascii, width, false);
            CHECK(lines_of(picture(ascii)).size() == lines_of(rows).size());
            CHECK(count_of(picture(ascii), "@") == 4);
          }
        }
      }
    }
  }

  TEST_CASE("table from above: rail on its face, panel on its side, and the corner drawn over or under") {
    for (const auto& table : square_cases()) {
      for (const bool over : {true, false}) {
        const auto outcome = outcome_of(table, over);
        for (std::size_t move = 0; move <= outcome.advice->moves.size(); ++move) {
          const std::string drawn = report::table_drawing(outcome, move, {});
          const std::string rows = picture(drawn);
          const Cells cells = cells_of_text(rows);
          CAPTURE(table.name);
          CAPTURE(drawn);
          const auto& setup = table.setup;
          // The rail touches its dogs on their face.
          for (const auto& post : {setup.rail.first, setup.rail.second}) {
            const int line = line_of_row(rows, post.hole.row), rail = rail_at(cells, line);
            CHECK(cell_at(cells, rail + (setup.rail_on_face == station::Side::right ? -1 : 1), line) == "●");
          }
          // The fence's line lies on the panel's side of its dogs, what is kept on its side of both.
          const int fence = line_with(cells, "═"), dogs = line_of_row(rows, setup.fence.first.hole.row);
          const bool before = setup.panel_side == station::PanelSide::before;
          CHECK((before ? fence > dogs : fence < dogs));
          int kept_line = 0, off_line = 0;
          const int kept = first_word(rows, "kept", &kept_line), off = first_word(rows, "off", &off_line);
          REQUIRE(kept >= 0);
          REQUIRE(off >= 0);
          CHECK((before ? kept_line > fence : kept_line < fence));
          const bool left = setup.keep == station::Side::left;
          CHECK((left ? kept < rail_at(cells, kept_line) : kept > rail_at(cells, kept_line)));
          CHECK((left ? off > rail_at(cells, off_line) : off < rail_at(cells, off_line)));
          // Seen from the corner, one leg runs along the fence to the kept part, the other along the rail
          // into the panel: over 90 degrees where they look away from each other.
          const int into = rail_at(cells, fence + (before ? 5 : -5)) - rail_at(cells, fence);
          const int along = left ? -1 : 1;
          CHECK(into * along != 0);
          CHECK((into * along < 0) == over);
          // And as large as it says, within the column that each end is rounded to.
          const auto geometry = station::geometry_of(table.station, setup);
          const auto letters = lines_of(rows).back();
          const double step = static_cast<double>(letters.find('G') - letters.find('F'));
          const int near = rail_at(cells, line_of_row(rows, setup.rail.first.hole.row));
          const int far = rail_at(cells, line_of_row(rows, setup.rail.second.hole.row));
          const double wanted =
              -outcome.eps->x * geometry.rail->baseline_mm * stated_times(drawn) / 96 * step;
          CHECK(std::fabs(far - near - wanted) <= 1.0);
          CHECK(std::fabs(wanted) > 1.0);
        }
      }
    }
  }

  TEST_CASE("table from above: the arrow points the way that makes the corner better, at its dog") {
    for (const auto& table : square_cases()) {
      for (const bool over : {true, false}) {
        const auto outcome = outcome_of(table, over);
        const auto geometry = station::geometry_of(table.station, table.setup);
        for (std::size_t move = 0; move < outcome.advice->moves.size(); ++move) {
          const auto& made = outcome.advice->moves[move];
          if (made.dog == correct::WhichDog::none || std::hypot(made.shift_x_mm, made.shift_y_mm) == 0)
            continue;
          const std::string drawn = report::table_drawing(outcome, move, {});
          const std::string rows = picture(drawn);
          const Cells cells = cells_of_text(rows);
          CAPTURE(table.name);
          CAPTURE(drawn);
          station::Vec way;
          int line = -1;
          for (const auto& [head, vector] : std::vector<std::pair<const char*, station::Vec>>{
                   {"←", {-1, 0}}, {"→", {1, 0}}, {"↑", {0, 1}}, {"↓", {0, -1}}}) {
            if (line_with(cells, head) < 0) continue;
            way = vector;
            line = line_with(cells, head);
          }
          REQUIRE(line >= 0);
          const bool rail =
              made.dog == correct::WhichDog::rail_far || made.dog == correct::WhichDog::rail_near;
          const bool second =
              made.dog == correct::WhichDog::rail_far || made.dog == correct::WhichDog::fence_right;
          const double change = rail ? station::eps_change_rail(*geometry.rail, second, way)
                                     : station::eps_change_fence(*geometry.fence, second, way);
          CHECK(change * outcome.eps->x < 0);
          const auto& pair = rail ? table.setup.rail : table.setup.fence;
          const auto& post = second ? pair.second : pair.first;
          CHECK(std::abs(line - line_of_row(rows, post.hole.row)) <= (rail ? 0 : 2));
        }
      }
    }
  }

  TEST_CASE("table from above: words where it does not fit, cannot be drawn, or is not wanted") {
    const auto outcome = outcome_of(square_cases().front(), true);
    report::TextOptions plain;
    plain.plain = true;
    const std::string words = report::table_text(outcome, 0, plain);
    CHECK(holds(words, "The rail lies against the left faces of its dogs, F2 near you and F10 far"));
    CHECK(holds(words, "fence dogs are B9 on the left and E9 on the right"));
    CHECK(holds(words, "the part left of the rail is kept"));
    CHECK(
        holds(words, "over 90°: seen from the fence the far end of the rail leans to the left, by 0.22 mm"));
    CHECK(holds(words, "The move: 0.21 mm to the left, a shim between the dog in F2 and the rail."));
    for (const char* mark : {"●", "║", "═", "┊", "·"}) CHECK_FALSE(holds(words, mark));
    report::TextOptions inch{.unit = units::Unit::inch};
    CHECK(count_of(picture(report::table_drawing(outcome, 0, inch)), "0.008 in") == 1);
    report::TextOptions narrow;
    narrow.width = 30;
    CHECK(report::table_drawing(outcome, 0, narrow).empty());
    CHECK(holds(flat(report::table_text(outcome, 0, narrow)), "leans to the left, by 0.22 mm"));
    check_drawing(report::table_text(outcome, 0, narrow), 30, true);
    // A slanting rail is told, not drawn: the mitre of a frame.
    const auto mitre = mitre_cases().front();
    app::CheckRequest frame;
    frame.check.test = check::TestKind::frame;
    frame.check.form = check::Form::separate;
    frame.check.pieces = 4;
    frame.check.strips = {ends_check().strips[0]};
    frame.check.strips[0].from_cut = frame.check.strips[0].to_cut = 0;
    for (auto& spot : frame.check.strips[0].spots) {
      for (auto& reading : spot.readings) reading.mm -= 22;
    }
    frame.station = mitre.station;
    frame.tolerance = units::parse_tolerance("0.10 over 600");
    frame.use_assumed = true;
    const auto ring = app::run_check(frame);
    CHECK(report::table_drawing(ring, 0, {}).empty());
    CHECK(holds(flat(report::table_text(ring, 0, {})), "C3 near you and I9 far from you"));
    // Without a station nothing is known of holes; without any side not even of the error.
    CHECK(report::table_text(app::run_check(ends_request()), 0, {}).empty());
  }

  TEST_CASE(
      "table from above: large tables show what lies around the dogs; an error too small is not drawn") {
    auto table = square_cases().front();
    table.station.grid.columns = 60;
    table.station.grid.rows = 80;
    auto move_pair = [](station::DogPair& pair) {
      for (auto* post : {&pair.first, &pair.second}) {
        post->hole.column += 40;
        post->hole.row += 60;
      }
    };
    auto& setup = table.station.setups.begin()->second;
    move_pair(setup.rail);
    move_pair(setup.fence);
    table.setup = setup;
    const std::string drawn = report::table_drawing(outcome_of(table, true), 0, {});
    CAPTURE(drawn);
    check_drawing(drawn, 80, true);
    CHECK(lines_of(drawn).size() < 24);
    CHECK(count_of(picture(drawn), "AT70") == 1);
    CHECK(count_of(picture(drawn), "●") == 4);

    auto request = station_request();
    request.check.strips[0].spots[1].readings = request.check.strips[0].spots[0].readings;
    const std::string square = report::table_drawing(app::run_check(request), 99, {});
    CHECK(holds(square, "too small to be drawn"));
    CHECK_FALSE(holds(square, "┊"));
  }

  TEST_CASE("table from above: wherever the dogs stand, a drawing is whole or there is none") {
    auto outcome = outcome_of(square_cases().front(), true);
    auto& setup = outcome.station->setups.begin()->second;
    outcome.station->grid.columns = 12;
    outcome.station->grid.rows = 16;
    int drawn_ones = 0, all = 0;
    for (const int column : {1, 2, 6, 12}) {
      for (const auto& rows : std::vector<std::pair<int, int>>{{1, 16}, {2, 10}, {5, 7}, {3, 4}}) {
        for (const auto& fence : std::vector<std::pair<int, int>>{{1, 4}, {2, 3}, {5, 7}, {7, 12}}) {
          for (const int row : {1, 5, 9, 16}) {
            for (int sides = 0; sides < 8; ++sides) {
              setup.rail.first.hole = {column, rows.first};
              setup.rail.second.hole = {column, rows.second};
              setup.fence.first.hole = {fence.first, row};
              setup.fence.second.hole = {fence.second, row};
              setup.keep = sides % 2 != 0 ? station::Side::left : station::Side::right;
              setup.rail_on_face = sides / 2 % 2 != 0 ? station::Side::left : station::Side::right;
              setup.panel_side = sides / 4 != 0 ? station::PanelSide::before : station::PanelSide::beyond;
              const std::size_t move = static_cast<std::size_t>(all) % (outcome.advice->moves.size() + 1);
              const int width = all % 3 == 0 ? 40 : 80;
              report::TextOptions options{.width = width};
              ++all;
              const std::string drawn = report::table_drawing(outcome, move, options);
              if (drawn.empty()) continue;
              ++drawn_ones;
              CAPTURE(drawn);
              check_drawing(drawn, width, true);
              const std::string rows_drawn = picture(drawn);
              CHECK(count_of(rows_drawn, "●") == 4);
              for (const auto* post :
                   {&setup.rail.first, &setup.rail.second, &setup.fence.first, &setup.fence.second})
                CHECK(count_of(rows_drawn, post->hole.name()) >= 1);
              CHECK(count_of(rows_drawn, "kept") == 1);
            }
          }
        }
      }
    }
    CHECK(drawn_ones > all / 8);  // half of these have their fence where nothing is kept
  }

  TEST_CASE("table from above: colour takes nothing away and adds no word") {
    const auto outcome = outcome_of(square_cases().front(), true);
    report::TextOptions color;
    color.color = true;
    const std::string inked = report::table_drawing(outcome, 0, color);
    CHECK(holds(inked, "\x1b[35m"));
    CHECK(without_color(inked) == report::table_drawing(outcome, 0, {}));
  }
}
