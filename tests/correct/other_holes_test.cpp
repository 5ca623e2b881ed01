// SPDX-License-Identifier: MIT
// Other holes by a survey, as correct/ names them: against every hole looked at on the exact table.
#include <doctest/doctest.h>

#include <cmath>

#include "requests.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"
#include "survey/adjust.hpp"
#include "survey/survey_bench.hpp"

using namespace quarterturn;
using correct::Means;
using correct::WhichDog;
using station::Hole;
using test::near;
using How = correct::SurveyUse::How;

namespace {

struct Table {
  test::Case c = test::square_cases()[1];  // keep left, panel before, rail F2 F10 on right faces
  survey::Displaced at;
  std::vector<survey::Observation> list;

  explicit Table(std::uint64_t seed, double u_mm) {
    std::mt19937_64 random(seed);
    const station::Grid& grid = c.station.grid;
    at = test::draw(grid, {}, random);
    test::add_neighbours(list, grid, survey::Taken::centre);
    for (int k = 1; k <= 3; ++k) test::add_diagonals(list, grid, k, k, survey::Taken::centre);
    for (auto& o : list) o.u = u_mm;
    station::Setup other = c.setup;  // checks elsewhere with the dogs exchanged part them from the holes
    other.rail.first.hole = {8, 2};
    other.rail.second.hole = {8, 11};
    for (auto* post : {&other.fence.first, &other.fence.second}) post->hole.row = 4;
    const auto plain = survey::corner(other, 0, 1e-5);
    for (const int k : {0, 1, 2}) list.push_back(survey::exchanged(plain, k == 1, k == 2));
    test::read_all(list, c.station, at, random);
  }
  /// The exact error of the setup with its rail in those rows.
  [[nodiscard]] double eps(int near_row, int far_row) const {
    station::Setup setup = c.setup;
    setup.rail.first.hole.row = near_row;
    setup.rail.second.hole.row = far_row;
    return survey::exact_value(c.station, survey::corner(setup, 0, 1e-5), at);
  }
  [[nodiscard]] double eps() const { return eps(c.setup.rail.first.hole.row, c.setup.rail.second.hole.row); }
};

correct::Request with_survey(const Table& table, const survey::Adjustment& adjusted, double eps_rad) {
  correct::Request request = test::request_for(table.c, eps_rad, 1e-5);
  request.survey = correct::Surveyed{&adjusted, false, false, {}};
  return request;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE("other holes for the rail are those that are truly best, and leave what is foretold" *
            doctest::test_suite("coverage")) {
    int named = 0;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
      const Table table(seed, 0.003);
      const survey::Adjustment adjusted(table.c.station, table.list);
      correct::Request request = with_survey(table, adjusted, table.eps());
      const station::Setup& setup = table.c.setup;
      request.survey->usable = [&](Hole near, Hole, Hole left, Hole right) {
        return near.column == setup.rail.first.hole.column && left == setup.fence.first.hole &&
               right == setup.fence.second.hole;
      };
      double least = std::fabs(table.eps());
      for (int a = 1; a <= table.c.station.grid.rows; ++a)
        for (int b = a + 2; b <= table.c.station.grid.rows; ++b)
          least = std::min(least, std::fabs(table.eps(a, b)));
      const auto advice = correct::advise(request);
      REQUIRE(advice.survey.has_value());
      for (const auto& move : test::moves_of(advice, Means::other_holes)) {
        ++named;
        REQUIRE(move.other_holes.has_value());
        int near_row = setup.rail.first.hole.row, far_row = setup.rail.second.hole.row;
        for (const auto& change : move.other_holes->changes) {
          CHECK((change.dog == WhichDog::rail_near || change.dog == WhichDog::rail_far));
          int& row = change.dog == WhichDog::rail_near ? near_row : far_row;
          CHECK(change.from.row == row);
          row = change.to.row;
          CHECK(move.text.find(change.to.name()) != std::string::npos);
        }
        CAPTURE(seed);
        const double then = table.eps(near_row, far_row);
        CHECK(std::fabs(then - move.remaining_rad) < 3.5 * move.remaining_u_rad);
        CHECK(std::fabs(then) < least + 3 * move.remaining_u_rad);
        CHECK(near(move.remaining_rad, request.eps_rad + move.moved_rad, 1e-12, 1e-18));
        CHECK(move.other_holes->improves > 0.5);
        CHECK(move.minutes == 15);
        CHECK(move.undoable);
      }
    }
    CHECK(named >= 6);
  }

  TEST_CASE("other holes count once, and a contradiction leaves the difference") {
    const Table table(11, 0.02);
    survey::AdjustOptions given;
    given.hole_sd_mm = test::kHoleSd;
    given.second_order = false;  // which the check would move a little
    const survey::Adjustment beside(table.c.station, table.list, given);
    auto with = table.list;
    const double eps = std::get<check::Estimate>(beside.eps(survey::lines_of(table.c.setup))).x + 1e-5;
    with.push_back(survey::corner(table.c.setup, eps, 1e-5));
    const survey::Adjustment within(table.c.station, with, given);
    correct::Request request = with_survey(table, beside, eps);
    const auto one = correct::advise(request);
    REQUIRE(one.survey->how == How::both);
    request.survey->adjustment = &within;
    request.survey->has_check = true;
    const auto two = correct::advise(request);
    CHECK(two.survey->how == How::has_check);
    const auto a = test::moves_of(one, Means::other_holes), b = test::moves_of(two, Means::other_holes);
    REQUIRE(!a.empty());
    REQUIRE(!b.empty());
    CHECK(a[0].text == b[0].text);
    CHECK(near(a[0].remaining_u_rad, b[0].remaining_u_rad, 1e-6, 0));
    CHECK(near(a[0].remaining_rad, b[0].remaining_rad, 1e-6, 1e-12));
    request.survey->has_check = false;  // counted once more: surer than it is
    const auto twice = test::moves_of(correct::advise(request), Means::other_holes);
    REQUIRE(!twice.empty());
    CHECK(twice[0].remaining_u_rad < b[0].remaining_u_rad);
    request = with_survey(table, beside, eps + 3e-3);
    const auto amiss = correct::advise(request);
    CHECK(amiss.survey->how == How::contradicted);
    for (const auto& move : test::moves_of(amiss, Means::other_holes))
      CHECK(near(move.moved_rad, move.other_holes->change_rad, 1e-9, 1e-15));
    request = with_survey(table, beside, eps);
    request.survey->between = true;
    CHECK(correct::advise(request).survey->how == How::between);
  }

  TEST_CASE(
      "a table that cannot be used so is not named: off the saw, under the panel, on the rail's length") {
    Table table(12, 0.01);
    table.c.station.rails["short"] = {"short", units::Length::from_mm(800), units::Length::from_mm(0), false};
    table.c.setup.rail_name = "short";
    const survey::Adjustment adjusted(table.c.station, table.list);
    const auto request = with_survey(table, adjusted, table.eps());
    const auto now = station::room_of(table.c.station, table.c.setup);
    for (const auto& move : test::moves_of(correct::advise(request), Means::other_holes)) {
      station::Setup then = table.c.setup;
      for (const auto& change : move.other_holes->changes) {
        station::Post& post = change.dog == WhichDog::rail_near    ? then.rail.first
                              : change.dog == WhichDog::rail_far   ? then.rail.second
                              : change.dog == WhichDog::fence_left ? then.fence.first
                                                                   : then.fence.second;
        post.hole = change.to;
      }
      CHECK((then.rail.second.hole.row - then.rail.first.hole.row) * 96 <= 800);
      CHECK(then.rail.second.hole.row - then.rail.first.hole.row >= 2);
      CHECK(then.fence.second.hole.column - then.fence.first.hole.column >= 2);
      const auto room = station::room_of(table.c.station, then);
      REQUIRE(room.has_value());
      CHECK(room->fence_inner_mm >= std::min(30.0, now->fence_inner_mm));
    }
    station::Setup mitre = test::mitre_cases()[0].setup;
    correct::Request asked = request;
    asked.setup = &mitre;
    asked.geometry = station::geometry_of(table.c.station, mitre);
    const auto advice = correct::advise(asked);
    CHECK(advice.survey->how == How::not_this_setup);
    CHECK(test::moves_of(advice, Means::other_holes).empty());
  }
}
