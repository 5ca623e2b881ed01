// SPDX-License-Identifier: MIT
// The split likelihood against the full mixed model on all readings, fitted in R by lme4, pbkrtest and nlme:
// tests/peers/reml_peers.R, its output reml_peers.csv, versions beside it; invented readings in
// tests/peers/data.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "check/fit.hpp"
#include "check/scatter.hpp"
#include "stats/reml.hpp"
#include "support/csv_table.hpp"
#include "support/near.hpp"

namespace {

using namespace quarterturn;
using test::CsvTable;
using test::near;

// lme4 is carried to about 1e-9 by reml_peers.R; nlme stops by its own rule.
constexpr double kRelative = 1e-6, kRelativeNlme = 1e-5;

using Quantities = std::map<std::string, double>;

check::Check read_design(const std::string& name) {
  const CsvTable data("tests/peers/data/" + name + ".csv");
  check::Check c;
  for (std::size_t row = 0; row < data.rows(); ++row) {
    const auto whole = [&](const char* column) { return static_cast<int>(data.number(row, column)); };
    const int panel = whole("panel"), from = whole("from_cut"), to = whole("to_cut");
    if (c.strips.empty() || c.strips.back().panel != panel || c.strips.back().from_cut != from)
      c.strips.push_back({panel, from, to, {}});
    auto& spots = c.strips.back().spots;
    const auto position = static_cast<double>(data.number(row, "position"));
    if (spots.empty() || spots.back().position_mm != position) spots.push_back({position, {}});
    check::Reading reading;
    reading.mm = static_cast<double>(data.number(row, "width"));
    reading.step_mm = 1e-6;
    reading.as_typed = data.text(row, "width");
    spots.back().readings.push_back(reading);
  }
  for (auto& strip : c.strips)
    std::sort(strip.spots.begin(), strip.spots.end(),
              [](const auto& a, const auto& b) { return a.position_mm < b.position_mm; });
  const bool shared =
      std::any_of(c.strips.begin(), c.strips.end(), [](const auto& s) { return s.from_cut > 1; });
  c.test = c.strips.front().from_cut == 0 ? check::TestKind::four_cut
           : shared                       ? check::TestKind::progressive
                                          : check::TestKind::five_cut;
  return c;
}

check::FitOptions plain_options() {
  check::FitOptions options;
  options.use_assumed = false;
  options.span_mm = 384;  // as kSpan of the R scripts
  return options;
}

/// -2 log likelihood above that at theta when one variance is raised by that of a reading.
double rise(const check::ScatterFit& fit, std::size_t k) {
  stats::RemlPoint at, up;
  auto theta = fit.theta;
  fit.likelihood->evaluate(theta, at);
  theta[k] += theta[0];
  fit.likelihood->evaluate(theta, up);
  return 2 * (up.minus_log - at.minus_log);
}

Quantities quantities_of(const check::Check& c) {
  const auto fit = check::fit_scatter(c, check::corners_of(c), {}, {}, plain_options());
  // The floor of 1 is left off, to compare what stands under it.
  const double dof = stats::satterthwaite(fit.variance(), fit.likelihood->variance_gradient(fit.tapers),
                                          fit.information, 0.0);
  return {{"eta_rad", fit.tapers.beta[0]}, {"variance_eta", fit.variance()}, {"reading_mm2", fit.theta[0]},
          {"saw_marks_mm2", fit.theta[1]}, {"seating_mm2", fit.theta[2]},    {"df_expected", dof},
          {"rise_reading", rise(fit, 0)},  {"rise_saw_marks", rise(fit, 1)}, {"rise_seating", rise(fit, 2)}};
}

std::map<std::string, check::Check> designs() {
  std::map<std::string, check::Check> all;
  for (const auto& name : CsvTable("tests/peers/reml_peers.csv").texts("design"))
    if (all.count(name) == 0) all.emplace(name, read_design(name));
  return all;
}

}  // namespace

TEST_SUITE("check") {
  TEST_CASE("R peers: eta, its variance, three variances, likelihood and degrees of freedom of ten designs") {
    std::map<std::string, Quantities> computed;
    for (const auto& [name, c] : designs()) computed[name] = quantities_of(c);
    CHECK(computed.size() >= 8);

    const CsvTable peers("tests/peers/reml_peers.csv");
    std::size_t compared = 0, at_zero = 0;
    for (std::size_t row = 0; row < peers.rows(); ++row) {
      const std::string design = peers.text(row, "design"), quantity = peers.text(row, "quantity");
      const std::string peer = peers.text(row, "peer");
      if (quantity == "minus2_reml") continue;  // holds a constant that the split leaves out; see the rises
      CAPTURE(design);
      CAPTURE(quantity);
      CAPTURE(peer);
      const auto theirs = static_cast<double>(peers.number(row, "value"));
      const double ours = computed.at(design).at(quantity);
      CHECK(near(ours, theirs, peer == "nlme" ? kRelativeNlme : kRelative, 0));
      if (theirs == 0) ++at_zero;  // then ours is 0 exactly, by the line above
      ++compared;
    }
    CHECK(compared > 100);
    CHECK(at_zero >= 3);
  }

  TEST_CASE("R peers: what a person is told rests on the same numbers") {
    const CsvTable peers("tests/peers/reml_peers.csv");
    std::map<std::string, Quantities> theirs;
    for (std::size_t row = 0; row < peers.rows(); ++row)
      if (peers.text(row, "peer") != "nlme")
        theirs[peers.text(row, "design")][peers.text(row, "quantity")] =
            static_cast<double>(peers.number(row, "value"));

    int plain = 0;
    for (const auto& design : designs()) {
      const std::string& name = design.first;
      const check::Check& c = design.second;
      CAPTURE(name);
      const check::Fit fit = check::fit(c, {}, {}, plain_options());
      const Quantities& peer = theirs.at(name);
      CHECK(near(fit.scatter[1].estimate_mm, std::sqrt(peer.at("saw_marks_mm2")), kRelative, 0));
      CHECK(near(fit.scatter[2].estimate_mm, std::sqrt(peer.at("seating_mm2")), kRelative, 0));
      if (fit.rule == check::Rule::panels) {
        CHECK(c.test != check::TestKind::progressive);
        continue;  // the rule of independent panels: the unweighted mean, tested on its own
      }
      CHECK(near(fit.eta.x, peer.at("eta_rad"), kRelative, 0));
      if (fit.rule != check::Rule::satterthwaite) continue;
      CHECK(near(fit.eta.u * fit.eta.u, peer.at("variance_eta"), kRelative, 0));
      CHECK(near(fit.eta.dof, std::max(1.0, peer.at("df_expected")), kRelative, 0));
      ++plain;
    }
    CHECK(plain >= 4);
  }
}
