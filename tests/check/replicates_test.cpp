// SPDX-License-Identifier: MIT
// Checks drawn and fitted by the register against each drawn and fitted by itself, and against one another by
// each kind of machine code.
#include "check/replicates.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "check/corners.hpp"
#include "check/scatter.hpp"
#include "stats/isa.hpp"
#include "stats/reml.hpp"
#include "support/gap_checks.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using check::Replicate;
using test::near;

namespace {

/// \param strip  its number, from 0
using Change = void (*)(check::Strip& strip, std::size_t number);

struct Cell {
  std::string name;
  int panels, cuts;
  std::vector<double> positions;
  int repeats;
  double sigma_f, sigma_r;
  std::vector<check::Evidence> evidence;
  bool use_assumed = true;
  Change change = nullptr;
  bool even = true;
  std::optional<check::PanelSize> on_bar = {};
};

/// Every other strip has one place less, and its others stand closer.
void other_places(check::Strip& strip, std::size_t number) {
  if (number % 2 != 0) return;
  strip.spots.pop_back();
  for (auto& spot : strip.spots) spot.position_mm *= 0.9;
}

void one_reading_less(check::Strip& strip, std::size_t number) {
  if (number == 0) strip.spots.front().readings.pop_back();
}

/// From place to place and from strip to strip.
void readings_as_it_came(check::Strip& strip, std::size_t number) {
  for (std::size_t i = 0; i < strip.spots.size(); ++i) {
    auto& readings = strip.spots[i].readings;
    readings.resize(1 + (i * 5 + number * 3) % readings.size());
  }
}

/// Places as readings: one, two or three, and two or four more.
void as_many_as_there_was_time_for(check::Strip& strip, std::size_t number) {
  strip.spots.resize(std::min(strip.spots.size(), 2 + number % 3 + (number % 2) * 2));
  readings_as_it_came(strip, number);
}

check::Evidence known(check::Component component, double mm, double nu) {
  return {component, mm * mm, nu, check::Source::caliper, {}};
}

/// Every branch: seating or saw marks that come out as nothing, each rule, each kind of knowledge.
std::vector<Cell> cells() {
  const auto reading = known(check::Component::reading, 0.015, 8),
             saw = known(check::Component::saw_marks, 0.01, 6),
             seating = known(check::Component::seating, 0.02, 12);
  const std::vector<double> six{20, 100, 180, 260, 340, 420}, four{0, 150, 300, 450}, two{0, 500};
  return {{"eight strips", 1, 12, six, 3, 0.01, 5e-5, {reading}},
          {"seating near nothing", 1, 12, six, 3, 0.02, 1e-6, {reading}},
          {"saw marks near nothing", 1, 8, six, 3, 0.0005, 5e-5, {}},
          {"all known", 1, 8, four, 2, 0.01, 5e-5, {reading, saw, seating}},
          {"two places", 1, 8, two, 3, 0, 5e-5, {reading, seating}},
          {"one strip, assumed", 1, 5, six, 3, 0.01, 5e-5, {reading}},
          {"two panels, assumed", 2, 5, six, 3, 0.01, 5e-5, {reading}},
          {"panels", 5, 5, six, 3, 0.01, 5e-5, {reading}},
          {"panels, one reading", 6, 5, four, 1, 0.01, 1e-5, {}},
          {"panels without assumption", 2, 5, six, 2, 0.01, 5e-5, {reading}, false},
          {"different places", 1, 12, six, 3, 0.01, 5e-5, {reading}, true, other_places},
          {"panels, different places", 5, 5, six, 3, 0.01, 5e-5, {reading}, true, other_places}};
}

/// Designs with a number of readings that differs from place to place, boards, a bar, few degrees of freedom.
std::vector<Cell> uneven_cells() {
  const auto reading = known(check::Component::reading, 0.015, 8),
             saw = known(check::Component::saw_marks, 0.01, 6),
             seating = known(check::Component::seating, 0.02, 12);
  const std::vector<double> six{20, 100, 180, 260, 340, 420}, four{0, 150, 300, 450}, three{0, 200, 500},
      two{0, 500};
  const check::PanelSize panel{900, 700, {}};
  return {
      {"a reading less", 1, 12, six, 3, 0.01, 5e-5, {reading}, true, one_reading_less, false},
      {"as it came", 1, 12, six, 4, 0.01, 5e-5, {reading}, true, readings_as_it_came, false},
      {"seating near nothing", 1, 12, six, 4, 0.02, 1e-6, {}, true, readings_as_it_came, false},
      {"saw marks near nothing", 1, 12, six, 4, 0.0005, 5e-5, {}, true, readings_as_it_came, false},
      {"all known", 1, 8, four, 3, 0.01, 5e-5, {reading, saw, seating}, true, readings_as_it_came, false},
      {"places as readings",
       1,
       16,
       six,
       5,
       0.01,
       5e-5,
       {reading},
       true,
       as_many_as_there_was_time_for,
       false},
      {"three places", 1, 9, three, 5, 0.01, 5e-5, {reading}, true, readings_as_it_came, false},
      {"two places", 1, 9, two, 5, 0, 5e-5, {reading, seating}, true, readings_as_it_came, false},
      {"one strip, assumed", 1, 5, six, 3, 0.01, 5e-5, {reading}, true, one_reading_less, false},
      {"panels", 5, 5, six, 3, 0.01, 5e-5, {reading}, true, readings_as_it_came, false},
      {"panels without assumption", 2, 5, six, 3, 0.01, 5e-5, {reading}, false, one_reading_less, false},
      {"on a bar", 1, 12, six, 3, 0.01, 5e-5, {reading}, true, nullptr, false, panel},
      {"on a bar, as it came", 2, 9, six, 3, 0.01, 5e-5, {reading}, true, readings_as_it_came, false, panel}};
}

struct Made {
  check::Check check;
  check::Fit fit;
  check::FitOptions options;
};
Made made(const Cell& cell) {
  std::mt19937_64 random(17);
  test::Design d;
  d.panels = cell.panels;
  d.cuts = cell.cuts;
  d.positions = cell.positions;
  d.repeats = cell.repeats;
  d.sigma_f = cell.sigma_f;
  d.sigma_r = cell.sigma_r;
  Made m;
  m.options.use_assumed = cell.use_assumed;
  m.check = d.check(random);
  for (std::size_t j = 0; cell.change != nullptr && j < m.check.strips.size(); ++j)
    cell.change(m.check.strips[j], j);
  if (cell.on_bar) {
    m.check.panel_size = cell.on_bar;
    m.options.bar_length_mm = 800;
  }
  m.fit = check::fit(m.check, cell.evidence, {}, m.options);
  return m;
}

struct Agreement {
  std::size_t many = 0, by_register = 0;
};
/// Each of so many replicates by the register is what it is by itself.
Agreement agreement(const Made& m, std::span<const check::Evidence> evidence, bool even) {
  constexpr std::size_t kMany = 203;  // the last register is not full
  const check::Replicates replicates(m.check, evidence, m.fit, m.options, 3);
  REQUIRE(replicates.design().has_value());
  CHECK(replicates.design()->even == even);
  std::vector<Replicate> all(kMany);
  replicates.fill(0, all);
  Agreement out{kMany, 0};
  for (std::size_t k = 0; k < kMany; ++k) {
    CAPTURE(k);
    out.by_register += all[k].by_register ? 1 : 0;
    const Replicate one = replicates.by_itself(k);
    CHECK(all[k].told == one.told);
    CHECK(near(all[k].eta, one.eta, 0, 1e-12));
    CHECK(near(all[k].half_width, one.half_width, 1e-12, 0));
  }
  return out;
}

Made made_of_gaps(check::Form form, int repeats, bool less, int joints) {
  std::mt19937_64 random(5);
  test::GapDesign design;
  design.form = form;
  design.joints = joints;
  design.repeats = repeats;
  design.board_taper = 3e-4;
  Made m;
  m.check = design.check(random);
  if (less) m.check.strips.front().spots.front().readings.pop_back();
  m.fit = check::fit(m.check, {}, {}, m.options);
  return m;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("replicates: by the register each is what it is by itself") {
    for (const Cell& cell : cells()) {
      CAPTURE(cell.name);
      const Agreement all = agreement(made(cell), cell.evidence, true);
      CHECK(all.by_register == all.many);
    }
  }

  TEST_CASE("replicates: and so each of a design that is not even") {
    for (const Cell& cell : uneven_cells()) {
      CAPTURE(cell.name);
      const Agreement all = agreement(made(cell), cell.evidence, cell.even);
      CHECK(all.by_register >= all.many - 2);
    }
  }

  TEST_CASE("replicates: and so each of joints, of halves with their boards' tapers and of frames") {
    for (const auto form :
         {check::Form::pair, check::Form::halves, check::Form::separate, check::Form::shared}) {
      for (const bool less : {false, true}) {
        CAPTURE(static_cast<int>(form));
        CAPTURE(less);
        const Agreement all = agreement(made_of_gaps(form, 3, less, form == check::Form::halves ? 6 : 5), {},
                                        !less && form != check::Form::halves);
        CHECK(all.by_register >= all.many - 2);
      }
    }
  }

  TEST_CASE("replicates: and so each of one board's halves, which tell nothing of seating") {
    const Agreement all = agreement(made_of_gaps(check::Form::halves, 3, true, 2), {}, false);
    CHECK(all.by_register > 0);
  }

  TEST_CASE("replicates: the same bits by each machine code, and from wherever one begins") {
    std::vector<Cell> all = cells();
    for (const Cell& cell : uneven_cells()) all.push_back(cell);
    for (const Cell& cell : all) {
      CAPTURE(cell.name);
      const Made m = made(cell);
      const check::Replicates replicates(m.check, cell.evidence, m.fit, m.options, 3);
      const stats::Isa before = stats::isa_in_use();
      stats::use(stats::Isa::plain);
      std::vector<Replicate> plain(64), other(64);
      replicates.fill(0, plain);
      for (const auto isa : {stats::Isa::plain, stats::Isa::avx2, stats::Isa::avx512}) {
        if (!stats::runs(isa)) continue;
        stats::use(isa);
        const std::span<Replicate> parts(other);
        replicates.fill(0, parts.first(13));
        replicates.fill(13, parts.subspan(13));
        for (std::size_t k = 0; k < plain.size(); ++k) {
          CHECK(other[k].eta == plain[k].eta);
          CHECK(other[k].half_width == plain[k].half_width);
        }
      }
      stats::use(before);
    }
  }

  // (M23): the 57th of the first design has a maximum with seating and a lesser one without.
  TEST_CASE("replicates: no start finds a better maximum than the fit's") {
    int without = 0;
    for (const std::size_t which : {1U, 2U, 5U}) {
      const Cell cell = uneven_cells()[which];
      CAPTURE(cell.name);
      const Made m = made(cell);
      const check::Replicates replicates(m.check, cell.evidence, m.fit, m.options, 3);
      for (std::size_t k = 0; k < 60; ++k) {
        CAPTURE(k);
        std::vector<check::Evidence> evidence;
        const check::Check drawn = replicates.drawn(k, evidence);
        const auto fit = check::fit_scatter(drawn, check::corners_of(drawn), evidence, {}, m.options);
        without += fit.theta[2] <= 0 ? 1 : 0;
        for (const double seating : {1e-6, 1e-4, 1e-3}) {
          const auto other =
              stats::maximise_reml([&](std::span<const double> theta,
                                       stats::RemlPoint& at) { fit.likelihood->evaluate(theta, at); },
                                   std::vector<double>{2e-4, 1e-4, seating});
          CHECK(fit.minus_log <= other.at.minus_log + 1e-9);
        }
      }
    }
    CHECK(without > 10);
  }

  TEST_CASE("replicates: where few degrees of freedom matter each is fitted by itself") {
    Cell cell = cells().front();
    cell.positions = {0, 250, 500};
    cell.cuts = 5;  // one degree of freedom for saw marks: (M28)
    const Made few = made(cell);
    const Agreement all = agreement(few, cell.evidence, true);
    CHECK(all.by_register > 0);
    CHECK(all.by_register < all.many);
    cell.change = one_reading_less;
    const Agreement less = agreement(made(cell), cell.evidence, false);
    CHECK(less.by_register > 0);
    CHECK(less.by_register < less.many);
  }

  TEST_CASE("replicates: a design that there is no room for is fitted one by one") {
    Cell cell = uneven_cells().front();
    cell.cuts = check::LaneDesign::kMostUnevenStrips + 5;
    const Made m = made(cell);
    const check::Replicates replicates(m.check, cell.evidence, m.fit, {}, 1);
    CHECK(!replicates.design().has_value());
    std::vector<Replicate> all(3);
    replicates.fill(5, all);
    for (std::size_t k = 0; k < all.size(); ++k)
      CHECK(all[k].half_width == replicates.by_itself(5 + k).half_width);
  }
}
