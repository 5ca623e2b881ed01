// SPDX-License-Identifier: MIT
#include "report/gap_test_words.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <sstream>

#include "report/amounts.hpp"
#include "report/words.hpp"

using namespace quarterturn;
using report::GapTestShown;
using Kind = report::GapTestShown::Kind;
using Grid = std::vector<std::vector<std::string>>;

namespace {

constexpr std::array kKinds{Kind::pair, Kind::halves, Kind::frame, Kind::rail};

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::istringstream in(text);
  std::vector<std::string> lines;
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

/// One line without the blanks at which a width breaks it.
std::string in_one_line(const std::string& text) {
  std::istringstream words(text);
  std::string line;
  for (std::string word; words >> word;) line += (line.empty() ? "" : " ") + word;
  return line;
}

GapTestShown shown_as(Kind kind, bool keep_left = true, bool before = true) {
  GapTestShown shown;
  shown.kind = kind;
  shown.keep_left = keep_left;
  shown.before = before;
  return shown;
}

/// Every way a test can lie on a station.
std::vector<GapTestShown> all_ways() {
  std::vector<GapTestShown> ways;
  for (const Kind kind : kKinds) {
    for (int sides = 0; sides < 16; ++sides) {
      GapTestShown shown = shown_as(kind, (sides & 1) != 0, (sides & 2) != 0);
      shown.outer_at_fence = (sides & 4) != 0;
      shown.rail_over_kept = (sides & 8) != 0;
      for (const int pieces : {3, 4, 5, 6, 8, 12}) {
        shown.pieces = pieces;
        ways.push_back(shown);
        if (kind != Kind::frame) break;
      }
    }
  }
  return ways;
}

Grid grid_of(const report::Picture& picture) {
  Grid grid;
  for (const auto& row : picture.rows) {
    grid.emplace_back();
    for (const char c : row) {
      if ((static_cast<unsigned char>(c) & 0xC0U) != 0x80U) grid.back().emplace_back();
      grid.back().back() += c;
    }
  }
  return grid;
}

/// Column (or row) of the only cell that holds `mark`; -1 when there is none or more than one.
struct Spot {
  int column = -1, row = -1;
};
Spot only(const Grid& grid, const std::string& mark, int from_column = 0, int to_column = 1000) {
  Spot found;
  int times = 0;
  for (std::size_t r = 0; r < grid.size(); ++r) {
    for (std::size_t c = 0; c < grid[r].size(); ++c) {
      const int column = static_cast<int>(c);
      if (grid[r][c] != mark || column < from_column || column >= to_column) continue;
      found = {column, static_cast<int>(r)};
      ++times;
    }
  }
  return times == 1 ? found : Spot{};
}

int fence_row(const Grid& grid) {
  for (std::size_t r = 0; r < grid.size(); ++r) {
    if (grid[r].front() == "═") return static_cast<int>(r);
  }
  return -1;
}
/// The panel's row beside the fence, and the one farthest from it.
int near_row(const Grid& grid) {
  return fence_row(grid) == 0 ? 1 : fence_row(grid) - 1;
}
int far_row(const Grid& grid) {
  return fence_row(grid) == 0 ? static_cast<int>(grid.size()) - 1 : 0;
}

/// Blank cells of a row between the last cell of the left piece and the first of the right one.
int gap_in_row(const Grid& grid, int row) {
  const auto& cells = grid[static_cast<std::size_t>(row)];
  const int half = static_cast<int>(cells.size()) / 2;
  int gap = 0;
  for (int c = half; cells[static_cast<std::size_t>(c)] == " "; ++c) ++gap;
  for (int c = half - 1; cells[static_cast<std::size_t>(c)] == " "; --c) ++gap;
  return gap;
}

/// What a mark looks like in a mirror that exchanges left and right, or up and down.
std::string in_mirror(const std::string& mark, bool left_right) {
  static const std::vector<std::array<std::string, 3>> pairs{{{"┌", "┐", "└"}},   {{"┐", "┌", "┘"}},
                                                             {{"└", "┘", "┌"}},   {{"┘", "└", "┐"}},
                                                             {{"/", "\\", "\\"}}, {{"\\", "/", "/"}}};
  for (const auto& row : pairs) {
    if (mark == row[0]) return left_right ? row[1] : row[2];
  }
  return mark;
}

/// Letters that make a word read forward in any mirror: one letter stands for all of them.
std::string without_word(const std::string& mark) {
  return mark == "o" || mark == "u" || mark == "t" ? "o" : mark;
}

void check_mirrored(const report::Picture& one, const report::Picture& other, bool left_right) {
  const Grid a = grid_of(one), b = grid_of(other);
  CHECK(one.title == other.title);
  REQUIRE(a.size() == b.size());
  for (std::size_t r = 0; r < a.size(); ++r) {
    const auto& row = b[left_right ? r : b.size() - 1 - r];
    REQUIRE(a[r].size() == row.size());
    for (std::size_t c = 0; c < a[r].size(); ++c) {
      const auto& cell = row[left_right ? row.size() - 1 - c : c];
      CHECK_MESSAGE(without_word(in_mirror(a[r][c], left_right)) == without_word(cell), one.rows[r]);
    }
  }
}

std::string exchanged(const std::string& text, const std::string& one, const std::string& other) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const bool first = text.compare(i, one.size(), one) == 0;
    const bool second = text.compare(i, other.size(), other) == 0;
    if (first || second) {
      out += first ? other : one;
      i += first ? one.size() : other.size();
    } else {
      out += text[i++];
    }
  }
  return out;
}

std::string steps_in_one_line(const GapTestShown& shown) {
  return in_one_line(report::gap_test_steps(shown, report::TextOptions{}));
}

/// Everything a test says, as a narrow or a plain terminal gets it.
std::string all_of(const GapTestShown& shown, const report::TextOptions& options) {
  return report::gap_test_steps(shown, options) +
         report::finished(report::gap_test_drawing(shown, options.width) + report::gap_test_spoken(shown) +
                              report::gap_test_cautions(shown) + report::gap_test_blind(shown),
                          options);
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("gap tests: what is kept right is drawn as the mirror image of left, beyond as that of before") {
    for (const Kind kind : {Kind::pair, Kind::halves, Kind::frame}) {
      const auto left = report::gap_test_pictures(shown_as(kind));
      const auto right = report::gap_test_pictures(shown_as(kind, false));
      const auto beyond = report::gap_test_pictures(shown_as(kind, true, false));
      REQUIRE(left.size() == right.size());
      REQUIRE(left.size() == beyond.size());
      for (std::size_t i = 0; i < left.size(); ++i) {
        if (fence_row(grid_of(left[i])) < 0) continue;  // a ring lies anywhere
        check_mirrored(left[i], right[i], true);
        check_mirrored(left[i], beyond[i], false);
      }
    }
    for (const bool over_kept : {true, false}) {
      GapTestShown left = shown_as(Kind::rail), right = shown_as(Kind::rail, false);
      left.rail_over_kept = right.rail_over_kept = over_kept;
      const auto one = report::gap_test_pictures(left), other = report::gap_test_pictures(right);
      for (std::size_t i = 0; i < one.size(); ++i) check_mirrored(one[i], other[i], true);
    }
  }

  TEST_CASE("pair: both pieces keep their edge at the fence, B comes to the side of the offcut, X down") {
    for (const bool left : {true, false}) {
      for (const bool before : {true, false}) {
        const auto pictures = report::gap_test_pictures(shown_as(Kind::pair, left, before));
        REQUIRE(pictures.size() == 3);
        for (std::size_t i = 0; i < 2; ++i) {
          const Grid cut = grid_of(pictures[i]);
          const Spot piece = only(cut, i == 0 ? "A" : "B"), f = only(cut, "F"), edge = only(cut, "1");
          CHECK((fence_row(cut) == 0) == before);
          CHECK(f.row == near_row(cut));
          CHECK(edge.row == near_row(cut));
          const auto& row = cut[static_cast<std::size_t>(f.row)];
          CHECK(row[static_cast<std::size_t>(f.column + (left ? 1 : -1))] == "║");
          CHECK((piece.column < f.column) == left);
        }
        const Grid joint = grid_of(pictures[2]);
        const int middle = static_cast<int>(joint.front().size()) / 2;
        const Spot a = only(joint, "A"), b = only(joint, "B"), x = only(joint, "X");
        CHECK((a.column < middle) == left);
        CHECK((b.column < middle) != left);
        CHECK((x.column < middle) == left);
        for (const bool half : {true, false}) {
          const int from = half ? 0 : middle, to = half ? middle : 1000;
          CHECK(only(joint, "1", from, to).row == near_row(joint));
          CHECK(only(joint, "2", from, to).row == far_row(joint));
          CHECK(only(joint, "F", from, to).row == near_row(joint));
        }
        CHECK(gap_in_row(joint, near_row(joint)) >= 4);
        CHECK(gap_in_row(joint, far_row(joint)) == 0);
      }
    }
  }

  TEST_CASE("halves: the offcut stays on its side, its other long edge comes to the fence, X down") {
    for (const bool left : {true, false}) {
      for (const bool before : {true, false}) {
        const auto pictures = report::gap_test_pictures(shown_as(Kind::halves, left, before));
        REQUIRE(pictures.size() == 2);
        const Grid cut = grid_of(pictures[0]), joint = grid_of(pictures[1]);
        const int middle = static_cast<int>(joint.front().size()) / 2;
        const int kept = left ? 0 : middle, offcut = left ? middle : 0;
        for (const auto* grid : {&cut, &joint}) {
          CHECK((fence_row(*grid) == 0) == before);
          CHECK(only(*grid, "A", kept, kept + middle).row > 0);
          CHECK(only(*grid, "B", offcut, offcut + middle).row > 0);
          CHECK(only(*grid, "F", kept, kept + middle).row == near_row(*grid));
          CHECK(only(*grid, "1", kept, kept + middle).row == near_row(*grid));
        }
        CHECK(only(cut, "1", offcut, offcut + middle).row == near_row(cut));
        CHECK(only(joint, "2", offcut, offcut + middle).row == near_row(joint));
        CHECK(only(joint, "1", offcut, offcut + middle).row == far_row(joint));
        CHECK((only(joint, "X").column < middle) == left);
        CHECK(gap_in_row(joint, near_row(joint)) >= 4);
        CHECK(gap_in_row(joint, far_row(joint)) == 0);
      }
    }
  }

  TEST_CASE("frame: both mitres leave the outer edge the long one, at the fence or away from it") {
    for (int sides = 0; sides < 8; ++sides) {
      const bool left = (sides & 1) != 0, before = (sides & 2) != 0, outer = (sides & 4) != 0;
      GapTestShown shown = shown_as(Kind::frame, left, before);
      shown.outer_at_fence = outer;
      const auto pictures = report::gap_test_pictures(shown);
      REQUIRE(pictures.size() == 4);
      for (std::size_t i = 0; i < 2; ++i) {
        const Grid grid = grid_of(pictures[i]);
        CHECK((fence_row(grid) == 0) == before);
        const int outer_row = outer ? near_row(grid) : far_row(grid);
        const int inner_row = outer ? far_row(grid) : near_row(grid);
        CHECK(only(grid, "u").row == outer_row);
        // From the end that is not being cut to the rail: what is kept.
        const auto kept_cells = [&](int row) {
          auto cells = grid[static_cast<std::size_t>(row)];
          if (!left) std::reverse(cells.begin(), cells.end());
          int from = 0, to = 0;
          while (cells[static_cast<std::size_t>(from)] == " ") ++from;
          for (to = from + 1;
               cells[static_cast<std::size_t>(to)] != "/" && cells[static_cast<std::size_t>(to)] != "\\";)
            ++to;
          return std::array<int, 2>{from, to};
        };
        const auto longer = kept_cells(outer_row), shorter = kept_cells(inner_row);
        CHECK(longer[1] > shorter[1]);
        CHECK((longer[0] < shorter[0]) == (i == 1));  // the first mitre lies at the far end by then
        CHECK((only(grid, "X").row > 0) == (i == 0));
      }
      const std::string slope = left == (before == outer) ? "//" : "\\\\";
      CHECK(holds(report::gap_test_drawing(shown, 80), "═ fence, " + slope + " rail"));
      CHECK(holds(pictures[0].rows[2], slope));
    }
  }

  TEST_CASE("frame: rings of 3, 4, 6 and 8 are drawn with every piece, others by their last joint") {
    for (int pieces = 3; pieces <= 12; ++pieces) {
      GapTestShown shown = shown_as(Kind::frame);
      shown.pieces = pieces;
      const auto pictures = report::gap_test_pictures(shown);
      const bool drawn = pieces == 3 || pieces == 4 || pieces == 6 || pieces == 8;
      REQUIRE(pictures.size() == (drawn ? 4 : 3));
      if (drawn) {
        const Grid ring = grid_of(pictures[2]);
        CHECK(only(ring, "F").row == 0);
        for (int piece = 1; piece <= 9; ++piece)
          CHECK((only(ring, std::to_string(piece)).row >= 0) == (piece <= pieces));
      }
      const Grid joint = grid_of(pictures.back());
      CHECK(only(joint, "u").row == 0);
      CHECK(gap_in_row(joint, 1) > gap_in_row(joint, 2));  // F stands at the outside, where it is open
      CHECK(gap_in_row(joint, 4) == 0);
      CHECK(std::count(joint[1].begin(), joint[1].end(), "F") == 2);
    }
  }

  TEST_CASE("rail: turned end for end it lies on the other side of the line, its ends exchanged") {
    for (int sides = 0; sides < 4; ++sides) {
      GapTestShown shown = shown_as(Kind::rail, (sides & 1) != 0);
      shown.rail_over_kept = (sides & 2) != 0;
      const bool first_left = shown.keep_left ? shown.rail_over_kept : !shown.rail_over_kept;
      const auto pictures = report::gap_test_pictures(shown);
      REQUIRE(pictures.size() == 4);
      for (std::size_t i = 0; i < pictures.size(); ++i) {
        const Grid grid = grid_of(pictures[i]);
        const auto& top = grid.front();
        const int line = static_cast<int>(std::find(top.begin(), top.end(), std::string("┊")) - top.begin());
        const Spot one = only(grid, "1"), two = only(grid, "2");
        CHECK((one.column < line) == (i == 0 ? first_left : !first_left));
        CHECK((two.row < one.row) == (i == 0));
        // Blanks between line and edge: at both ends, and in the middle.
        const auto gap = [&](std::size_t row) {
          const int step = one.column < line ? -1 : 1;
          int blanks = 0;
          while (grid[row][static_cast<std::size_t>(line + step * (blanks + 1))] == " ") ++blanks;
          return blanks;
        };
        CHECK((gap(0) > 0) == (i == 2));
        CHECK((gap(5) > 0) == (i == 2));
        CHECK((gap(2) > 0) == (i == 3));
        CHECK((gap(3) > 0) == (i == 3));
      }
      // The edge is kept on the rail's own side, or on the other side of the kerf: crowned becomes hollow.
      const char* said = shown.rail_over_kept ? "kept edge comes out crowned" : "kept edge comes out hollow";
      CHECK(holds(in_one_line(report::gap_test_drawing(shown, 80)), said));
      CHECK(holds(in_one_line(report::gap_test_spoken(shown)), said));
    }
  }

  TEST_CASE("gap tests: the words of keep right are those of keep left with the sides exchanged") {
    for (const Kind kind : kKinds) {
      const GapTestShown left = shown_as(kind), right = shown_as(kind, false);
      const GapTestShown beyond = shown_as(kind, true, false);
      CHECK(holds(steps_in_one_line(left), "left"));
      CHECK(exchanged(steps_in_one_line(left), "left", "right") == steps_in_one_line(right));
      CHECK(exchanged(report::gap_test_spoken(left), "left", "right") == report::gap_test_spoken(right));
      CHECK(exchanged(steps_in_one_line(left), "(away from you)", "(towards you)") ==
            steps_in_one_line(beyond));
      CHECK(exchanged(report::gap_test_spoken(left), "away from you", "towards you") ==
            report::gap_test_spoken(beyond));
    }
    const std::string pair = steps_in_one_line(shown_as(Kind::pair));
    CHECK(holds(pair, "part you keep (left): near the cut, at the fence (away from you)"));
    CHECK(holds(pair, "over about its cut edge, like a page: X down. It now lies on the right of A"));
    CHECK(holds(pair, "B has the same long edge at the fence as in its cut"));
    const std::string halves = steps_in_one_line(shown_as(Kind::halves));
    CHECK(holds(halves, "A on the part you keep (left), B on the offcut (right)"));
    CHECK(holds(halves, "Turn B, not A, over about its long axis: X down. It stays on the right"));
    CHECK(holds(halves, "B has its OTHER long edge at the fence"));
    const std::string rail = steps_in_one_line(shown_as(Kind::rail));
    CHECK(holds(rail, "on the left of the edge the saw cuts along"));
    CHECK(holds(rail, "on the right of the line, the same edge to the line"));
    // What was lifted off for a test goes back as it was: else the next cut is made by another setup.
    CHECK(rail.ends_with("Put the rail back against both its dogs the way it was: 1 near you."));
    CHECK(halves.find("Rail back against both its dogs") < halves.find("Again from step 2"));
  }

  TEST_CASE("frame: the corner at the fence is the acute mitre, or what is left of 180 degrees") {
    const auto corner = [](int pieces, bool outer) {
      GapTestShown shown = shown_as(Kind::frame);
      shown.pieces = pieces;
      shown.outer_at_fence = outer;
      const std::string text = steps_in_one_line(shown);
      const std::string before = "its corner at the fence is ";
      const auto at = text.find(before) + before.size();
      return text.substr(at, text.find("°", at) - at);
    };
    // Two mitres make the ring's inner corner: 60, 90, 108, 120, 135 degrees.
    CHECK(corner(3, true) == "30");
    CHECK(corner(4, true) == "45");
    CHECK(corner(5, true) == "54");
    CHECK(corner(6, true) == "60");
    CHECK(corner(7, true) == "64.29");
    CHECK(corner(8, true) == "67.5");
    CHECK(corner(4, false) == "135");
    CHECK(corner(8, false) == "112.5");
    GapTestShown inside = shown_as(Kind::frame);
    inside.outer_at_fence = false;
    CHECK(holds(steps_in_one_line(inside), "OUT away from the fence"));
    CHECK_FALSE(holds(steps_in_one_line(inside), "OUT at the fence"));
  }

  TEST_CASE("gap tests: steps are numbered without a gap and keep to the width, drawings too") {
    for (const auto& shown : all_ways()) {
      for (const int width : {40, 60, 80, 100}) {
        report::TextOptions options;
        options.width = width;
        int number = 0;
        for (const auto& line : lines_of(report::gap_test_steps(shown, options))) {
          const auto first = line.find_first_not_of(' ');
          if (line.substr(0, 4) != "    " && std::isdigit(static_cast<unsigned char>(line[first])) != 0)
            CHECK(std::stoi(line) == ++number);
        }
        CHECK(number >= 8);
        CHECK_FALSE(report::gap_test_drawing(shown, width).empty());
        for (const auto& line : lines_of(all_of(shown, options)))
          CHECK_MESSAGE(report::columns_of(line) <= static_cast<std::size_t>(width), line);
      }
      for (int width = 0; width <= 110; ++width) {
        const std::string drawn = report::gap_test_drawing(shown, width);
        for (const auto& line : lines_of(drawn)) {
          if (report::columns_of(line) > static_cast<std::size_t>(width)) FAIL_CHECK(width << line);
        }
        // What is shown is not broken again on its way to the screen.
        report::TextOptions options;
        options.width = width;
        if (report::finished(drawn, options) != drawn) FAIL_CHECK(drawn);
      }
      CHECK(report::gap_test_drawing(shown, 16).empty());
    }
  }

  TEST_CASE("gap tests: a terminal without Unicode gets ASCII, nothing of it unknown") {
    for (const auto& shown : all_ways()) {
      report::TextOptions unicode, ascii;
      ascii.unicode = false;
      const std::string text = all_of(shown, ascii);
      CHECK(
          std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x80; }));
      const std::string full = all_of(shown, unicode);
      CHECK(std::count(text.begin(), text.end(), '?') == std::count(full.begin(), full.end(), '?'));
    }
  }

  TEST_CASE("gap tests: every one says what can hurt, and that the saw is unplugged first") {
    for (const auto& shown : all_ways()) {
      const std::string care = in_one_line(report::gap_test_cautions(shown));
      CHECK(holds(care, "Unplug the saw before you touch dogs or rail"));
      CHECK(holds(care, "maker's manual and local rules"));
      CHECK(holds(care, "Feeler leaves are sharp"));
      const bool cuts = report::gap_test_cuts(shown) > 0;
      CHECK(holds(care, "before you fit pieces") == cuts);
      CHECK(holds(care, "Pieces under 300 mm are not held by hand: clamp") == cuts);
      CHECK(holds(care, "Mitre points are sharp") == (shown.kind == Kind::frame));
      CHECK(holds(care, "knife cuts away from the hand") == (shown.kind == Kind::rail));
      // In the steps too, and before anything is lifted or fitted.
      const std::string steps = steps_in_one_line(shown);
      const auto unplug = steps.find("Unplug the saw");
      REQUIRE(unplug != std::string::npos);
      for (const char* later : {"Lift the rail", "Knock off", "Push ", "Turn B", "Read the gap"}) {
        const auto at = steps.find(later);
        CHECK((at == std::string::npos || at > unplug));
      }
    }
    GapTestShown inch = shown_as(Kind::frame);
    inch.unit = units::Unit::inch;
    CHECK(holds(report::gap_test_cautions(inch), "under 11.8 in"));
    CHECK(holds(steps_in_one_line(inch), "0.8 in from the F end"));
    CHECK_FALSE(holds(steps_in_one_line(inch), " mm"));
  }

  TEST_CASE("gap tests: what each cannot see, what it costs") {
    const auto blind = [](Kind kind) { return in_one_line(report::gap_test_blind(shown_as(kind))); };
    CHECK(holds(blind(Kind::pair), "needs straight long edges"));
    CHECK(holds(blind(Kind::pair), "reads the corner itself"));
    CHECK(holds(blind(Kind::halves), "taper of the board"));
    CHECK(holds(blind(Kind::halves), "symmetric bow"));
    CHECK(holds(blind(Kind::frame), "the sum of all 8 mitres"));
    CHECK(holds(blind(Kind::rail), "S shape cancels"));

    const auto costs = [](Kind kind, int pieces) {
      GapTestShown shown = shown_as(kind);
      shown.pieces = pieces;
      return lines_of(report::gap_test_steps(shown, {})).front();
    };
    CHECK(costs(Kind::pair, 4) == "Turn-over, pair: 2 cuts, about 10 min.");
    CHECK(costs(Kind::halves, 4) == "Turn-over, halves: 1 cut, about 8 min.");
    CHECK(costs(Kind::frame, 4) == "Frame, 4 pieces: 8 cuts, about 30 min.");
    CHECK(costs(Kind::frame, 6) == "Frame, 6 pieces: 12 cuts, about 45 min.");
    CHECK(costs(Kind::rail, 4) == "Rail, end for end: no cut, about 5 min.");
  }
}
