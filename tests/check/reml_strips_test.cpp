// SPDX-License-Identifier: MIT
#include "check/reml_strips.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <random>

#include "check/scatter.hpp"
#include "stats/reml.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::near;

namespace {

/// Unequal spots, unequal readings a spot, strips that share corners.
check::Check unbalanced(int panels, int cuts, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  test::Design design;
  design.panels = panels;
  design.cuts = cuts;
  design.positions = {12, 140, 260, 410, 507};
  design.repeats = 4;
  design.sigma_f = 0.02;
  design.sigma_r = 1e-4;
  design.step = 0;
  check::Check check = design.check(random);
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    auto& spots = check.strips[j].spots;
    if (j % 2 == 1) spots.erase(spots.begin() + 2);
    if (j % 3 == 2) spots.pop_back();
    for (std::size_t p = 0; p < spots.size(); ++p) spots[p].readings.resize(1 + (j + 2 * p) % 4);
  }
  return check;
}

/// The full mixed model over all readings: the deliberately naive form.
stats::DenseModel dense_of(const check::Check& check, const check::Corners& corners, double span) {
  struct Row {
    std::size_t strip, spot;
    double p, w;
  };
  std::vector<Row> rows;
  std::size_t spot_number = 0;
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    for (const auto& spot : check.strips[j].spots) {
      for (const auto& r : spot.readings) rows.push_back({j, spot_number, spot.position_mm, r.mm});
      ++spot_number;
    }
  }
  stats::DenseModel m;
  m.n = static_cast<int>(rows.size());
  m.p = 1 + static_cast<int>(check.strips.size());
  const std::vector<double> spans(corners.names.size(), span);
  const auto k = check::seating_matrix(corners, spans);
  const std::size_t n = rows.size(), strips = check.strips.size();
  m.v.assign(3, std::vector<double>(n * n, 0.0));
  for (std::size_t i = 0; i < n; ++i) {
    m.y.push_back(rows[i].w);
    m.x.push_back(-rows[i].p * corners.t[rows[i].strip]);
    for (std::size_t j = 0; j < strips; ++j) m.x.push_back(rows[i].strip == j ? 1.0 : 0.0);
    for (std::size_t l = 0; l < n; ++l) {
      m.v[0][i * n + l] = i == l ? 1.0 : 0.0;
      m.v[1][i * n + l] = rows[i].spot == rows[l].spot ? 1.0 : 0.0;
      m.v[2][i * n + l] = rows[i].p * rows[l].p * k[rows[i].strip * strips + rows[l].strip];
    }
  }
  return m;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("the split likelihood is the full one but for a constant, on unbalanced designs") {
    for (const auto& shape : {std::pair{3, 5}, std::pair{1, 9}, std::pair{2, 7}}) {
      const int panels = shape.first, cuts = shape.second;
      CAPTURE(panels);
      const check::Check check = unbalanced(panels, cuts, 41);
      const check::Corners corners = check::corners_of(check);
      check::FitOptions options;
      options.span_mm = 300;
      options.use_assumed = false;
      const check::ScatterFit fit = check::fit_scatter(check, corners, {}, {}, options);
      const stats::DenseModel dense = dense_of(check, corners, 300);
      double constant = 0;
      bool first = true;
      for (const std::array<double, 3> theta :
           {std::array{2e-4, 3e-4, 4e-4}, std::array{1e-4, 0.0, 9e-4}, std::array{5e-4, 1e-4, 0.0}}) {
        stats::RemlPoint split, full;
        fit.likelihood->evaluate(theta, split);
        dense.evaluate(theta, full);
        if (first) constant = full.minus_log - split.minus_log;
        first = false;
        CHECK(near(full.minus_log - split.minus_log, constant, 1e-12, 1e-9));
        for (std::size_t a = 0; a < 3; ++a) {
          CHECK(near(split.gradient[a], full.gradient[a], 1e-8, 1e-4));
          for (std::size_t b = 0; b < 3; ++b) {
            CHECK(near(split.information[a * 3 + b], full.information[a * 3 + b], 1e-8, 1e-3));
          }
        }
        const check::TaperFit tapers = fit.likelihood->tapers(theta);
        const stats::Gls gls = stats::generalised_least_squares(dense, theta);
        CHECK(near(tapers.beta[0], gls.beta[0], 1e-9, 1e-14));
        CHECK(near(tapers.covariance[0], gls.covariance[0], 1e-9, 0));
        const std::vector<double> contrast = [&] {
          std::vector<double> c(static_cast<std::size_t>(dense.p), 0.0);
          c[0] = 1;
          return c;
        }();
        const double full_dof = stats::satterthwaite_dof(dense, theta, contrast);
        const double split_dof = stats::satterthwaite(
            tapers.covariance[0], fit.likelihood->variance_gradient(tapers), split.information, 0.0);
        CHECK(near(split_dof, full_dof, 1e-7, 0));
      }
    }
  }

  TEST_CASE("the maximum of the split likelihood is that of the full one") {
    const check::Check check = unbalanced(1, 11, 7);
    const check::Corners corners = check::corners_of(check);
    check::FitOptions options;
    options.span_mm = 300;
    options.use_assumed = false;
    const check::ScatterFit fit = check::fit_scatter(check, corners, {}, {}, options);
    const stats::DenseModel dense = dense_of(check, corners, 300);
    const stats::RemlFit full = stats::maximise_reml(
        [&](std::span<const double> theta, stats::RemlPoint& out) { dense.evaluate(theta, out); },
        std::array{1e-4, 1e-4, 1e-4});
    REQUIRE(full.converged);
    for (std::size_t k = 0; k < 3; ++k) CHECK(near(fit.theta[k], full.theta[k], 1e-6, 1e-12));
  }

  TEST_CASE("knowledge from outside enters as so many degrees of freedom") {
    // One strip: the seating variance is known from outside alone, and its information is nu / (2 sigma^4).
    std::mt19937_64 random(3);
    const check::Check check = test::Design{}.check(random);
    const check::Corners corners = check::corners_of(check);
    const std::vector<check::Evidence> evidence{{check::Component::seating, 4e-4, 7, check::Source::log, ""}};
    const check::ScatterFit fit = check::fit_scatter(check, corners, evidence, {}, {});
    CHECK(near(fit.theta[2], 4e-4, 1e-9, 0));
    CHECK(near(fit.theta_variance(check::Component::seating), 2 * 16e-8 / 7, 1e-9, 0));
  }

  TEST_CASE("on a bar the contacts follow the panel's edge from cut to cut") {
    std::mt19937_64 random(3);
    check::Check check = test::Design{}.check(random);
    check.panel_size = check::PanelSize{700, 500, 18.0};
    const check::Corners corners = check::corners_of(check);
    check::FitOptions options;
    options.bar_length_mm = 600;
    const auto spans = check::corner_spans(check, corners, options);  // corners before cuts 2, 3, 4, 5
    REQUIRE(spans.size() == 4);
    CHECK(near(spans[0], 500, 0, 1e-9));        // the shorter side
    CHECK(near(spans[1], 600, 0, 1e-9));        // the longer side, cut once, reaches past the bar
    CHECK(near(spans[2], 500 - 27.8, 0, 0.1));  // mean strip 24.8 and kerf 3 taken off
    CHECK(near(spans[3], 600, 0, 1e-9));
  }
}
