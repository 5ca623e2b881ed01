// SPDX-License-Identifier: MIT
/// Where to measure next, in words and drawn.
#include "report/survey_where.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "report/amounts.hpp"
#include "support/talk.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using report::WhereShown;
using survey::Taken;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream all(text);
  for (std::string line; std::getline(all, line);) lines.push_back(line);
  return lines;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("the way to the next hole, in words") {
    const auto station = survey_table();
    const std::vector<Observation> none;
    const auto words = [&](Hole a, Hole b, Taken taken = Taken::outside) {
      const auto next = length_of(a, b, taken);
      return report::where_words({station, next, none, {}});
    };
    CHECK(words({3, 4}, {4, 4}) ==
          "From C4 to D4, the next hole to your right. Put pin-1 in C4 and pin-2 in D4. Read over them.\n");
    CHECK(holds(words({4, 4}, {3, 4}), "the next hole to your left."));
    CHECK(holds(words({3, 4}, {3, 5}), "the next hole away from you."));
    CHECK(holds(words({3, 5}, {3, 4}), "the next hole towards you."));
    CHECK(holds(words({3, 4}, {6, 4}), "3 holes to your right."));
    CHECK(holds(words({3, 4}, {4, 5}, Taken::inside), "1 hole to your right and 1 away from you."));
    CHECK(holds(words({3, 4}, {4, 5}, Taken::inside), "Read BETWEEN them."));
    CHECK(holds(words({3, 4}, {4, 5}, Taken::centre), "Centre to centre."));
  }

  TEST_CASE("the dog that stands right already is left where it is") {
    const auto station = survey_table();
    const auto next = length_of({3, 4}, {4, 4});
    const std::vector<Observation> none;
    const auto standing = [&](Hole first, Hole second) {
      return report::where_words({station, next, none, std::pair(first, second)});
    };
    CHECK(holds(standing({3, 4}, {3, 5}), "Leave pin-1 in C4; pin-2 goes to D4."));
    CHECK(holds(standing({5, 4}, {4, 4}), "Leave pin-2 in D4; pin-1 goes to C4."));
    CHECK(holds(standing({3, 4}, {4, 4}), "Both dogs stay."));
    CHECK(holds(standing({4, 4}, {3, 4}), "Put pin-1 in C4 and pin-2 in D4."));
  }

  TEST_CASE("the holes around, as a drawing: both dogs, what was measured, holes that are not there") {
    auto station = survey_table();
    station.grid.missing = {{1, 4}};
    const auto next = length_of({3, 4}, {4, 4});
    const std::vector<Observation> measured{length_of({2, 5}, {3, 5}), length_of({5, 3}, {5, 4}),
                                            length_of({6, 4}, {7, 5}, Taken::inside),
                                            length_of({7, 4}, {8, 3}, Taken::inside)};
    CHECK(report::where_drawing({station, next, measured, {}}, 80) ==
          " 5 .   o───o   .   .   .   o   .   .\n"
          "                         /\n"
          " 4     .   1═══2   o   o   o   .   .\n"
          "                   │         \\\n"
          " 3 .   .   .   .   o   .   .   o   .\n"
          "\n"
          " 2 .   .   .   .   .   .   .   .   .\n"
          "   A   B   C   D   E   F   G   H   I\n");
  }

  TEST_CASE("a drawing keeps to its width and holds both ends, wherever they are") {
    for (const int columns : {3, 9, 30}) {
      const auto station = survey_table(columns, 12);
      for (const int width : {40, 80}) {
        for (int column = 1; column < columns; ++column) {
          for (int row = 1; row < 12; ++row) {
            for (const auto& next :
                 {length_of({column, row}, {column + 1, row}), length_of({column, row}, {column, row + 1}),
                  length_of({column + 1, row}, {column, row + 1}, Taken::inside)}) {
              const auto drawn = report::where_drawing({station, next, {}, {}}, width);
              CHECK(count_of(drawn, "1") >= 1);
              const auto lines = lines_of(drawn);
              CHECK(lines.size() == 8);
              for (const auto& line : lines)
                CHECK(report::columns_of(line) <= static_cast<std::size_t>(width));
              const auto body = drawn.substr(0, drawn.rfind('\n', drawn.size() - 2));
              const auto marks = [&](char mark) {
                std::size_t count = 0;
                for (std::size_t i = 3; i < body.size(); ++i) {
                  const bool label =
                      body.rfind('\n', i) == std::string::npos ? i < 3 : i - body.rfind('\n', i) <= 3;
                  count += body[i] == mark && !label ? 1 : 0;
                }
                return count;
              };
              CHECK(marks('1') == 1);
              CHECK(marks('2') == 1);
            }
          }
        }
      }
    }
  }

  TEST_CASE("two lengths that are compared are drawn on the whole table, where it fits") {
    const auto station = survey_table();
    const auto next = survey::compare({1, 1}, {9, 11}, {9, 1}, {1, 11}, 0, 0.03);
    const auto drawn = report::where_drawing({station, next, {}, {}}, 40);
    CHECK(holds(drawn, "11 2  .  .  .  .  .  .  .  1\n"));
    CHECK(holds(drawn, " 1 1  .  .  .  .  .  .  .  2\n"));
    CHECK(report::where_drawing({survey_table(30, 12), next, {}, {}}, 40).empty());
    CHECK(holds(report::where_words({station, next, {}, {}}), "from A1 to I11, then from I1 to A11"));
  }

  TEST_CASE("how much there is to do, and what it will tell") {
    survey::ToMeasure plan;
    plan.distances.assign(60, length_of({1, 1}, {2, 1}));
    plan.closing.assign(1, survey::compare({1, 1}, {9, 11}, {9, 1}, {1, 11}, 0, 0.03));
    plan.minutes = 63;
    plan.u_all = 1e-4;
    CHECK(report::to_measure_note(plan) ==
          "60 distances and 1 comparison, about 63 min; a blank value is not measured yet");
    const report::TextOptions options;
    const auto text = report::to_measure_text(plan, "", options);
    CHECK(holds(text, "alone leave open whether the table is square."));
    CHECK(holds(text, "to about ± 0.12 mm over 600 mm"));  // 1.96e-4 over 600
    plan.u_all.reset();
    CHECK(
        holds(report::to_measure_text(plan, "crosscut", options), "It will not tell the corner of crosscut"));
  }
}
