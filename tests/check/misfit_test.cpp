// SPDX-License-Identifier: MIT
#include "check/misfit.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include "check/misfit_parts.hpp"
#include "check/mistakes.hpp"
#include "check/scatter.hpp"
#include "stats/distributions.hpp"
#include "stats/reml.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::near;

namespace {

const check::Finding* find(const check::Fit& fit, const std::string& code) {
  for (const auto& f : fit.findings) {
    if (f.code == code) return &f;
  }
  return nullptr;
}

const std::vector<check::Evidence> kDigital{
    {check::Component::reading, 0.015 * 0.015, 8, check::Source::caliper, ""}};

check::Check quiet(int panels, int cuts, std::vector<double> positions, std::uint64_t seed,
                   double eta = 2e-4) {
  std::mt19937_64 random(seed);
  test::Design d;
  d.panels = panels;
  d.cuts = cuts;
  d.positions = std::move(positions);
  d.sigma_r = 2e-5;
  d.eta = eta;
  return d.check(random);
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("a reading that stands off is named; false alarms and power") {
    std::mt19937_64 random(20260305);
    test::Design d;
    d.sigma_r = 2e-5;
    int alarms = 0, caught = 0;
    constexpr int kTrials = 600;
    for (int i = 0; i < kTrials; ++i) {
      check::Check c = d.check(random);
      const check::Fit calm = check::fit(c, kDigital);
      if (find(calm, "unusual-reading") || find(calm, "tilted-jaw") || find(calm, "swapped-digits")) ++alarms;
      c.strips[0].spots[1].readings[2].mm += 8 * d.sigma_m;
      const check::Fit upset = check::fit(c, kDigital);
      for (const char* code : {"unusual-reading", "tilted-jaw", "swapped-digits"}) {
        if (const auto* f = find(upset, code)) {
          if (f->where.position_mm == 500.0) ++caught;
          break;
        }
      }
    }
    CHECK(alarms <= 0.05 * kTrials + 2.6 * std::sqrt(0.05 * 0.95 * kTrials));
    CHECK(caught >= 0.99 * kTrials);
  }

  TEST_CASE("three places off a line by tenths are told, by a saw mark are not; close places are told") {
    check::Check c = quiet(1, 5, {15, 262, 510}, 77);
    CHECK(find(check::fit(c, kDigital), "middle-off-line") == nullptr);
    CHECK(find(check::fit(c, kDigital), "places-close") == nullptr);
    for (auto& r : c.strips[0].spots[1].readings) r.mm += 0.5;
    const check::Fit off = check::fit(c, kDigital);
    const auto* f = find(off, "middle-off-line");
    REQUIRE(f != nullptr);
    CHECK(near(f->numbers.at("off_mm"), 0.5, 0, 0.05));
    CHECK(f->where.position_mm == 262.0);
    // An end that slipped shows as the middle off by half of it: which of the three it is cannot be seen.
    check::Check end = quiet(1, 5, {15, 262, 510}, 77);
    for (auto& r : end.strips[0].spots[2].readings) r.mm += 1.0;
    const check::Fit slipped = check::fit(end, kDigital);
    REQUIRE(find(slipped, "middle-off-line") != nullptr);
    CHECK(near(find(slipped, "middle-off-line")->numbers.at("off_mm"), 0.5, 0, 0.05));

    const check::Check near_ends = quiet(1, 5, {15, 60}, 78);
    REQUIRE(find(check::fit(near_ends, kDigital), "places-close") != nullptr);
    CHECK(near(find(check::fit(near_ends, kDigital), "places-close")->numbers.at("apart_mm"), 45, 1e-12, 0));
    CHECK(find(check::fit(quiet(1, 5, {15, 18, 500}, 79), kDigital), "places-close") != nullptr);
  }

  TEST_CASE("from 25 readings on, two slips do not hide one another") {
    check::Check c = quiet(1, 8, {15, 250, 505}, 21);
    REQUIRE(find(check::fit(c), "unusual-reading") == nullptr);
    c.strips[0].spots[0].readings[0].mm -= 0.25;
    c.strips[2].spots[1].readings[1].mm -= 0.25;
    const check::Fit fit = check::fit(c);
    int named = 0;
    for (const auto& f : fit.findings) named += f.code == "unusual-reading" ? 1 : 0;
    CHECK(named >= 2);
  }

  TEST_CASE("a crooked seat in ten cuts is named with its tie group, by its size") {
    std::mt19937_64 random(31);
    test::Design d;
    d.cuts = 12;
    d.sigma_r = 1e-5;
    check::Check c = d.check(random);
    REQUIRE(find(check::fit(c), "unusual-cut") == nullptr);
    REQUIRE(find(check::fit(c), "slips-not-seen") == nullptr);
    for (auto& strip : c.strips) {  // corner before cut 7 sat over by 0.4 mm over 500
      if (strip.from_cut < 7 && strip.to_cut >= 7) {
        for (auto& s : strip.spots) {
          for (auto& r : s.readings) r.mm -= 8e-4 * s.position_mm;
        }
      }
    }
    const check::Fit fit = check::fit(c);
    const auto* f = find(fit, "unusual-cut");
    REQUIRE(f != nullptr);
    CHECK(f->words.at("cuts") == "cut 7 sat over");
    CHECK(near(f->numbers.at("slip_mm"), 0.4, 0.05, 0));
    CHECK(find(check::fit(quiet(1, 8, {0, 500}, 3)), "slips-not-seen") != nullptr);
  }

  TEST_CASE("false alarms of the corner test stay at their level") {
    std::mt19937_64 random(20260306);
    test::Design d;
    d.cuts = 12;
    d.sigma_r = 1e-4;
    int alarms = 0;
    constexpr int kTrials = 400;
    for (int i = 0; i < kTrials; ++i) alarms += find(check::fit(d.check(random)), "unusual-cut") ? 1 : 0;
    CHECK(alarms <= 0.05 * kTrials + 2.6 * std::sqrt(0.05 * 0.95 * kTrials));
  }

  TEST_CASE("what explains less than chance is no slip when it is fitted again") {
    std::mt19937_64 random(8);
    std::uniform_real_distribution<double> uniform(0, 1);
    double least = 1;  // of M p of those that are not fitted again
    int below = 0, passed = 0, flagged = 0;
    for (int trial = 0; trial < 150; ++trial) {
      test::Design d;
      d.cuts = 10 + trial % 4;
      d.sigma_r = std::pow(10.0, -5.5 + 2 * uniform(random));
      if (trial % 3 == 0) d.positions = {0, 500};
      check::Check c = d.check(random);
      const int cut = 5 + trial % 3;
      const double slip = trial % 2 == 0 ? 0 : 1e-3 * uniform(random);
      for (auto& strip : c.strips) {
        for (auto& s : strip.spots) {
          for (auto& r : s.readings)
            r.mm -= strip.from_cut < cut && strip.to_cut >= cut ? slip * s.position_mm : 0;
        }
      }
      const check::Corners corners = check::corners_of(c);
      const check::ScatterFit fit = check::fit_scatter(c, corners, {}, {}, {});
      const auto groups = corners.groups();
      const auto testable =
          std::count_if(groups.begin(), groups.end(), [](const auto& g) { return g.testable; });
      std::vector<std::vector<double>> columns;
      for (const auto& group : groups) {
        if (!group.testable) continue;
        columns.emplace_back();
        for (int j = 0; j < corners.strips; ++j)
          columns.back().push_back(corners.at(j, group.members.front()));
      }
      const auto ratios = fit.likelihood->further_ratios(fit.theta, columns);
      REQUIRE(ratios.size() == columns.size());
      double farthest = 0;
      for (const double ratio : ratios) farthest = std::max(farthest, std::fabs(ratio));
      const double worth = std::max(check::kNotWorthARefit, check::kFarFromTheWorst * farthest);
      double p_worth = 1e9, p_passed = 1e9;
      for (std::size_t i = 0; i < columns.size(); ++i) {
        const check::ScatterFit again = check::refit_with(fit, columns[i]);
        const check::TaperFit row = again.likelihood->tapers(again.theta, 1);
        REQUIRE(row.beta.size() == 2);
        // With the same variances it is the same ratio.
        const check::TaperFit same = again.likelihood->tapers(fit.theta, 1);
        CHECK(
            near(std::fabs(ratios[i]), std::fabs(same.beta[1]) / std::sqrt(same.covariance[3]), 1e-6, 1e-9));
        const double ratio = std::fabs(row.beta[1]) / std::sqrt(row.covariance[3]);
        const double dof = stats::satterthwaite(row.covariance[3], again.likelihood->variance_gradient(row),
                                                again.information);
        const double p = 2 * stats::t_probability(-ratio, dof) * static_cast<double>(testable);
        double& least_of = std::fabs(ratios[i]) < worth ? p_passed : p_worth;
        least_of = std::min(least_of, p);
        if (std::fabs(ratios[i]) < check::kNotWorthARefit) {
          least = std::min(least, p);
          ++below;
        } else if (std::fabs(ratios[i]) < worth) {
          ++passed;
        }
      }
      // Of a check that names a corner it is that of the smallest p; where none is named, none would have
      // been.
      CHECK(p_passed > std::min(p_worth, check::kMisfitLevel));
      flagged += p_worth < check::kMisfitLevel ? 1 : 0;
    }
    MESSAGE("least M p of ", below, ": ", least, "; flagged ", flagged, ", passed over beside a farther one ",
            passed);
    CHECK(below > 500);
    CHECK(passed > 100);
    CHECK(flagged > 20);
    CHECK(least > 0.5);  // 0.05 is flagged
  }

  TEST_CASE("curved strips") {
    check::Check c = quiet(1, 8, {15, 130, 260, 390, 505}, 5);
    REQUIRE(find(check::fit(c), "curved-strip") == nullptr);
    for (auto& strip : c.strips) {
      for (auto& s : strip.spots) {
        const double x = (s.position_mm - 260) / 245;
        for (auto& r : s.readings) r.mm = std::round((r.mm + 0.08 * (1 - x * x)) * 100) / 100;
      }
    }
    const check::Fit fit = check::fit(c);
    REQUIRE(find(fit, "curved-strip") != nullptr);
    CHECK(near(find(fit, "curved-strip")->numbers.at("bow_mm"), 0.08, 0.15, 0));
  }

  TEST_CASE("a torn end") {
    check::Check c = quiet(1, 8, {15, 130, 260, 390, 505}, 5);
    for (auto& r : c.strips[1].spots[4].readings) r.mm += 0.4;
    const check::Fit fit = check::fit(c);
    REQUIRE(find(fit, "torn-end") != nullptr);
    CHECK(find(fit, "torn-end")->where.from_cut == 2);
    CHECK(find(fit, "torn-end")->where.position_mm == 505.0);
  }

  TEST_CASE("a robust line differs when one reading carries the result") {
    check::Check c = quiet(1, 5, {15, 130, 260, 390, 505}, 5);
    c.strips[0].spots[4].readings = {c.strips[0].spots[4].readings[0]};
    c.strips[0].spots[4].readings[0].mm += 3.0;
    check::FitOptions options;
    options.use_assumed = false;
    const std::vector<check::Evidence> evidence{
        {check::Component::seating, 1e-6, 12, check::Source::log, ""},
        {check::Component::saw_marks, 1e-5, 50, check::Source::log, ""}};
    CHECK(find(check::fit(c, evidence, {}, options), "robust-differs") != nullptr);
  }
}

TEST_SUITE("check") {
  TEST_CASE("one strip's ends swapped") {
    check::Check c = quiet(1, 8, {15, 505}, 6, 3e-4);
    auto& spots = c.strips[1].spots;
    std::swap(spots[0].readings, spots[1].readings);
    const check::Fit fit = check::fit(c);
    REQUIRE(find(fit, "ends-swapped") != nullptr);
    CHECK(find(fit, "ends-swapped")->where.from_cut == 2);
    CHECK(find(check::fit(quiet(1, 8, {15, 505}, 6, 3e-4)), "ends-swapped") == nullptr);
  }

  TEST_CASE("a panel turned the wrong way, or turned over") {
    check::Check c = quiet(1, 8, {15, 505}, 7);
    for (auto& r : c.strips[3].spots[1].readings) r.mm += 1.6;
    REQUIRE(find(check::fit(c), "turned-wrong-way") != nullptr);
    c = quiet(1, 10, {15, 505}, 7);
    for (std::size_t j = 3; j < c.strips.size(); ++j) {
      for (auto& r : c.strips[j].spots[1].readings) r.mm += 0.8;
    }
    const check::Fit fit = check::fit(c);
    REQUIRE(find(fit, "face-turned") != nullptr);
    CHECK(find(fit, "face-turned")->numbers.at("cut") == 8);
  }

  TEST_CASE("how far a reading stands off is told from the middle of the others") {
    check::Check c = quiet(1, 5, {0, 525}, 12);
    for (auto& s : c.strips[0].spots) {
      for (auto& r : s.readings) r.mm = 22.74;
    }
    c.strips[0].spots[0].readings[0].mm = 22.73;
    c.strips[0].spots[0].readings[1].mm = 22.75;
    c.strips[0].spots[0].readings[2].mm = 22.50;
    const check::Fit fit = check::fit(c, kDigital);
    const auto* f = find(fit, "unusual-reading");
    REQUIRE(f != nullptr);
    CHECK(near(f->numbers.at("off_mm"), 0.24, 0, 1e-9));
    CHECK(near(check::median({3, 1, 2, 10}), 2.5, 0, 0));
  }

  TEST_CASE("one end read in inches, ends swapped at an everyday error, one torn end of five spots") {
    check::Check c = quiet(1, 5, {15, 505}, 13);
    for (auto& r : c.strips[0].spots[1].readings) r.mm /= 25.4;
    CHECK(find(check::fit(c, kDigital), "inch-or-mm") != nullptr);

    c = quiet(1, 8, {0, 500}, 14, 2e-4);
    std::swap(c.strips[2].spots[0].readings, c.strips[2].spots[1].readings);
    const check::Fit swapped = check::fit(c);
    CHECK(find(swapped, "ends-swapped") != nullptr);
    CHECK(find(swapped, "turned-wrong-way") == nullptr);

    c = quiet(1, 5, {15, 130, 260, 390, 505}, 15);
    for (auto& r : c.strips[0].spots[4].readings) r.mm += 0.4;
    CHECK(find(check::fit(c, kDigital), "torn-end") != nullptr);

    // single readings: the slip is named, its neighbours are not
    std::mt19937_64 random(16);
    test::Design d;
    d.cuts = 12;
    d.positions = {15, 130, 260, 390, 505};
    d.repeats = 1;
    d.sigma_r = 2e-5;
    c = d.check(random);
    c.strips[3].spots[2].readings[0].mm += 0.3;
    int named = 0;
    for (const auto& finding : check::fit(c, kDigital).findings) {
      if (finding.code != "unusual-reading" && finding.code != "tilted-jaw" &&
          finding.code != "swapped-digits")
        continue;
      ++named;
      CHECK(finding.where.from_cut == 4);
      CHECK(finding.where.position_mm == 260.0);
    }
    CHECK(named == 1);
  }

  TEST_CASE("what a single reading may have been") {
    const double others[] = {22.41, 22.40};
    CHECK(std::string(check::explain_reading(22.14, others, 0.01)) == "swapped-digits");
    CHECK(std::string(check::explain_reading(22.60, others, 0.01)) == "tilted-jaw");
    CHECK(std::string(check::explain_reading(22.26, others, 0.01)).empty());
    CHECK(std::string(check::explain_reading(0.882, others, 0.001)) == "inch-or-mm");
    CHECK(std::string(check::explain_reading(22.14, std::array{22.41, 22.41}, 1e-13)) == "swapped-digits");
    // With forty decimals no whole number holds it.
    CHECK(std::string(check::explain_reading(22.14, others, 1e-40)).empty());
    CHECK(std::string(check::explain_reading(22.60, others, 1e-40)) == "tilted-jaw");
  }

  TEST_CASE("inch among mm, thin strips, copied repeats, another day, length for distance") {
    check::Check c = quiet(1, 8, {15, 250, 505}, 9);
    c.strips[0].spots[1].readings[0].mm /= 25.4;
    CHECK(find(check::fit(c), "inch-or-mm") != nullptr);

    c = quiet(1, 5, {15, 505}, 9);
    for (auto& s : c.strips[0].spots) {
      for (auto& r : s.readings) r.mm -= 15;
    }
    CHECK(find(check::fit(c), "thin-strip") != nullptr);
    CHECK(find(check::fit(c), "inch-or-mm") == nullptr);  // 7 mm is no strip's width in inches either
    CHECK(find(check::fit(c), "misread") == nullptr);

    c = quiet(1, 5, {15, 505}, 9);
    const double width_mm = c.strips[0].spots[0].readings[0].mm;
    for (auto& s : c.strips[0].spots) {
      for (auto& r : s.readings) r.mm /= 25.4;
    }
    const auto whole = check::fit(c);
    REQUIRE(find(whole, "inch-or-mm") != nullptr);
    CHECK(near(find(whole, "inch-or-mm")->numbers.at("whole_mm"), width_mm, 0, 0.5));
    CHECK(find(whole, "thin-strip") == nullptr);  // one thing to clear up
    c.unit = units::Unit::inch;                   // typed so, they are what they are: too thin
    CHECK(find(check::fit(c), "inch-or-mm") == nullptr);
    for (auto& s : c.strips[0].spots) {
      for (auto& r : s.readings) r.mm *= 25.4 * 25.4;
    }
    CHECK(find(check::fit(c), "inch-or-mm") != nullptr);

    c = quiet(1, 5, {15, 505}, 9);
    CHECK(find(check::fit(c), "misread") == nullptr);
    c.strips[0].spots[0].readings[0].mm /= 10;
    REQUIRE(find(check::fit(c), "misread") != nullptr);
    CHECK(find(check::fit(c), "misread")->numbers.at("value_mm") == c.strips[0].spots[0].readings[0].mm);

    c = quiet(1, 5, {15, 250, 505}, 9);
    for (auto& s : c.strips[0].spots) {
      for (auto& r : s.readings) r.mm = s.readings[0].mm;
    }
    c.caliper = check::Caliper{"digital", 0.01, 0.012, 0.25, 150};
    CHECK(find(check::fit(c, kDigital), "copied") != nullptr);

    c = quiet(1, 5, {5, 605}, 9);
    c.panel_size = check::PanelSize{600, 600, std::nullopt};
    c.date = "2026-03-14T10:20:00+00:00";
    c.measured = "2026-03-15";
    const check::Fit fit = check::fit(c);
    CHECK(find(fit, "late") != nullptr);
    CHECK(find(fit, "length-not-apart") != nullptr);
    REQUIRE(find(fit, "torn-end") != nullptr);
    CHECK(find(fit, "torn-end")->numbers.at("position_mm") == 5);
  }

  TEST_CASE("every finding that can be made has its words") {
    for (const auto& row : check::finding_rows()) CHECK(!row.sentence.empty());
    CHECK_THROWS(check::finding_row("no-such-code"));
  }
}
