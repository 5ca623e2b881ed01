// SPDX-License-Identifier: MIT
#include "check/reml_strips.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <random>

#include "check/dense_form.hpp"
#include "check/scatter.hpp"
#include "stats/reml.hpp"
#include "support/near.hpp"
#include "support/simulate.hpp"

using namespace quarterturn;
using test::dense_of;
using test::near;
using test::unbalanced;

namespace {

constexpr double kSpanMm = 300;

/// A check's scatter by the split likelihood, and the dense form of the same.
struct Both {
  explicit Both(const check::Check& check)
      : corners(check::corners_of(check)),
        fit(check::fit_scatter(check, corners, {}, {}, options())),
        dense(dense_of(check, corners, kSpanMm)) {}
  static check::FitOptions options() {
    check::FitOptions options;
    options.span_mm = kSpanMm;
    options.use_assumed = false;
    return options;
  }
  check::Corners corners;
  check::ScatterFit fit;
  stats::DenseModel dense;
};

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("the split likelihood is the full one but for a constant, on unbalanced designs") {
    for (const auto& shape : {std::pair{3, 5}, std::pair{1, 9}, std::pair{2, 7}}) {
      const int panels = shape.first, cuts = shape.second;
      CAPTURE(panels);
      const check::Check check = unbalanced(panels, cuts, 41);
      const Both both(check);
      const auto& fit = both.fit;
      const auto& dense = both.dense;
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

  TEST_CASE("strips of many places: sums over pairs of places taken from moments are the full model's") {
    for (const int places : {38, 40, 41, 42, 60}) {
      CAPTURE(places);
      std::vector<double> positions;
      for (int i = 0; i < places; ++i) positions.push_back(5 + 11.0 * i + i % 3);
      const check::Check check = unbalanced(1, 7, 41, positions);
      const Both both(check);
      const auto& fit = both.fit;
      const auto& dense = both.dense;
      for (const std::array<double, 3> theta :
           {std::array{2e-4, 3e-4, 4e-4}, std::array{1e-4, 0.0, 9e-4}, std::array{5e-4, 1e-6, 0.0}}) {
        stats::RemlPoint split, full;
        fit.likelihood->evaluate(theta, split);
        dense.evaluate(theta, full);
        for (std::size_t a = 0; a < 3; ++a) {
          CHECK(near(split.gradient[a], full.gradient[a], 1e-8, 1e-4));
          for (std::size_t b = 0; b < 3; ++b) {
            CHECK(near(split.information[a * 3 + b], full.information[a * 3 + b], 1e-8, 1e-3));
          }
        }
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
