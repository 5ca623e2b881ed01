// SPDX-License-Identifier: MIT
// Worked examples of JCGM 100:2008 (GUM): G.4.1, H.1, H.2 (files and sources in data/reference/SOURCE.md),
// exact cases, and a naive double sum.
#include "stats/uncertainty_budget.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <numeric>
#include <stdexcept>
#include <string>
#include <vector>

#include "stats/distributions.hpp"
#include "stats/streams.hpp"
#include "support/near.hpp"
#include "support/reference_json.hpp"

namespace {

using namespace quarterturn;
using stats::BudgetRow;
using stats::combine;
using stats::Correlation;
using stats::DofUse;
using stats::Evaluation;
using stats::SecondOrder;
using test::near;
using test::reference_number;
using test::reference_numbers;

constexpr double kInfinity = std::numeric_limits<double>::infinity();

double h1(const std::string& pointer) {
  return reference_number("gum/gum_H1_end_gauge.json", pointer);
}
double h2(const std::string& pointer) {
  return reference_number("gum/gum_H2_correlated.json", pointer);
}

/// The six rows of H.1 in nm and degrees C; l = l_s + d - l_s (delta_alpha theta + alpha_s delta_theta).
struct EndGauge {
  stats::Budget difference, temperature, length;
  std::vector<BudgetRow> rows;
  std::vector<SecondOrder> second;
};

EndGauge end_gauge(double u_repeat, double u_random, double u_systematic, double u_alpha,
                   double u_temperature, double u_delta_alpha, double u_delta_theta) {
  EndGauge e;
  e.difference = combine({{{"repeat", 215, u_repeat, Evaluation::a, h1("/inputs/1/dof")},
                           {"random", 0, u_random, Evaluation::a, h1("/inputs/2/dof")},
                           {"systematic", 0, u_systematic, Evaluation::b, stats::dof_of_doubt(0.25)}}});
  e.temperature =
      combine({{{"mean", h1("/inputs/5/estimate"), h1("/inputs/5/u")},
                {"variation", h1("/inputs/6/estimate"), h1("/inputs/6/half_width") / std::sqrt(2.0)}}});
  const double l_s = h1("/inputs/0/estimate"), alpha = h1("/inputs/4/estimate"),
               theta = h1("/inputs/5/estimate");
  e.rows = {{"l_s", l_s, h1("/inputs/0/u"), Evaluation::b, h1("/inputs/0/dof"), 1},
            {"d", 215, e.difference.u, Evaluation::a, e.difference.dof, 1},
            {"alpha_s", alpha, u_alpha, Evaluation::b, kInfinity, 0},
            {"theta", theta, u_temperature, Evaluation::b, kInfinity, 0},
            {"delta_alpha", 0, u_delta_alpha, Evaluation::b, stats::dof_of_doubt(0.1), -l_s * theta},
            {"delta_theta", 0, u_delta_theta, Evaluation::b, stats::dof_of_doubt(0.5), -l_s * alpha}};
  e.second = {{4, 3, -l_s}, {2, 5, -l_s}};
  e.length = combine(e.rows);
  return e;
}

/// With what the printed u were rounded from: 13 nm over root 5; 10 nm at 95 % on 5; 20 nm at three sigma;
/// half-widths over root 3.
EndGauge end_gauge_unrounded() {
  const double root3 = std::sqrt(3.0);
  return end_gauge(13 / std::sqrt(5.0), 10 / stats::t_quantile(0.975, 5), 20.0 / 3,
                   h1("/inputs/4/half_width") / root3, h1("/recomputed/u_theta_degC"),
                   h1("/inputs/7/half_width") / root3, h1("/inputs/8/half_width") / root3);
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("GUM G.4.1: three relative uncertainties, by the budget") {
    const char* file = "gum/gum_G4_welch_satterthwaite.json";
    const auto u = reference_numbers(file, "/inputs_percent"), dof = reference_numbers(file, "/dof");
    std::vector<BudgetRow> rows;
    for (std::size_t i = 0; i < u.size(); ++i) rows.push_back({"x", 0, u[i], Evaluation::a, dof[i], 1});
    const auto budget = combine(rows);
    CHECK(near(budget.u, reference_number(file, "/recomputed/u_rel_percent"), 1e-11, 0));
    CHECK(near(budget.dof, reference_number(file, "/recomputed/nu_eff"), 1e-11, 0));
    CHECK(near(budget.u, reference_number(file, "/published/u_rel_percent"), 0, 0.005));
    CHECK(near(budget.dof, reference_number(file, "/published/nu_eff"), 0, 0.05));
    CHECK(near(budget.expanded(0.95), reference_number(file, "/published/U95_rel_percent"), 0, 0.05));
    CHECK(near(budget.factor(0.95), reference_number(file, "/published/t95_19"), 0, 0.005));
    // cut to whole degrees of freedom: 18 of 18.999
    CHECK(near(budget.factor(0.95, DofUse::whole), stats::t_quantile(0.975, 18), 1e-14, 0));
  }

  TEST_CASE("GUM H.1: end gauge, every row and every printed figure") {
    const EndGauge e = end_gauge_unrounded();
    CHECK(near(e.difference.u, h1("/published/u_d_nm"), 0, 0.05));
    CHECK(near(e.difference.dof, h1("/published/dof_d"), 0, 0.05));
    CHECK(near(e.temperature.u, h1("/recomputed/u_theta_degC"), 1e-11, 0));
    CHECK(near(e.temperature.u, h1("/published/u_theta_degC"), 0, 0.005));

    const struct {
      const char* name;
      double half_unit;  // of the last printed place
    } printed[] = {{"l_s", 0.5}, {"d", 0.05},           {"alpha_s", 0},
                   {"theta", 0}, {"delta_alpha", 0.05}, {"delta_theta", 0.05}};
    double value = 0;
    for (std::size_t i = 0; i < e.rows.size(); ++i) {
      CAPTURE(e.rows[i].name);
      CHECK(e.rows[i].name == printed[i].name);
      CHECK(near(e.length.contribution[i], h1(std::string("/published/contrib_nm/") + printed[i].name), 0,
                 printed[i].half_unit));
      if (i < 2) value += e.rows[i].value;  // delta_alpha and delta_theta are estimated as 0
    }
    CHECK(near(value, h1("/recomputed/l_nm"), 1e-15, 0));
    CHECK(near(value / 1e6, h1("/published/l_mm"), 0, 5e-7));
    CHECK(near(e.length.contribution[4], h1("/recomputed/contrib_delta_alpha_nm"), 1e-11, 0));
    CHECK(near(e.length.contribution[5], h1("/recomputed/contrib_delta_theta_nm"), 1e-11, 0));
    CHECK(near(std::accumulate(e.length.share.begin(), e.length.share.end(), 0.0), 1, 1e-15, 0));

    CHECK(near(e.length.u, h1("/published/u_c_nm"), 0, 0.5));
    CHECK(near(e.length.dof, h1("/published/nu_eff"), 0, 0.05));
    CHECK(std::floor(e.length.dof) == h1("/published/nu_eff_used"));
    // the file's t has ten digits; 2.92078162242510 is the root of a 30-digit incomplete beta function
    CHECK(near(e.length.factor(0.99, DofUse::whole), 2.92078162242510, 1e-13, 0));
    CHECK(near(e.length.factor(0.99, DofUse::whole), h1("/recomputed/t99_16"), 1e-10, 0));
    CHECK(near(e.length.factor(0.99, DofUse::whole), h1("/published/t99_16"), 0, 0.005));
    // the guide multiplies rounded figures, 2.92 by 32 nm; unrounded it is 92.5 nm
    CHECK(
        near(e.length.factor(0.99, DofUse::whole) * std::round(e.length.u), h1("/published/U99_nm"), 0, 0.5));
    CHECK(near(e.length.expanded(0.99, DofUse::whole), h1("/published/U99_nm"), 0, 0.6));

    const auto with = combine(e.rows, {}, e.second);
    CHECK(near(with.second_contribution[0], h1("/published/second_order_terms_nm/0"), 0, 0.05));
    CHECK(near(with.second_contribution[1], h1("/published/second_order_terms_nm/1"), 0, 0.05));
    CHECK(near(with.u, h1("/published/u_c_with_second_order_nm"), 0, 0.5));
    const auto sum = [](const std::vector<double>& x) { return std::accumulate(x.begin(), x.end(), 0.0); };
    CHECK(near(sum(with.share) + sum(with.second_share), 1, 1e-15, 0));
  }

  TEST_CASE("GUM H.1: from the rounded figures, to all recomputed digits") {
    const double root3 = std::sqrt(3.0);
    const double u[] = {h1("/inputs/1/u"), h1("/inputs/2/u"), h1("/inputs/3/u")};
    const EndGauge e = end_gauge(u[0], u[1], u[2], 0, 0, h1("/inputs/7/half_width") / root3,
                                 h1("/inputs/8/half_width") / root3);
    CHECK(near(e.difference.u, h1("/recomputed/u_d_nm"), 1e-11, 0));
    CHECK(near(e.difference.dof, h1("/recomputed/dof_d"), 1e-11, 0));
    CHECK(near(e.length.u, h1("/recomputed/u_c_nm_unrounded_inputs"), 1e-11, 0));
    CHECK(near(e.length.dof, h1("/recomputed/nu_eff_unrounded"), 1e-11, 0));
    CHECK(near(e.length.expanded(0.99, DofUse::whole), h1("/recomputed/U99_nm(t*u_c unrounded)"), 1e-10, 0));

    const EndGauge p = end_gauge(u[0], u[1], u[2], h1("/inputs/4/u_printed"), h1("/published/u_theta_degC"),
                                 h1("/inputs/7/u_printed"), h1("/inputs/8/u_printed"));
    CHECK(near(p.length.u, h1("/recomputed/u_c_nm_printed_u"), 1e-11, 0));
    const auto with = combine(p.rows, {}, p.second);
    for (std::size_t k = 0; k < 2; ++k)
      CHECK(near(with.second_contribution[k], h1("/recomputed/second_order_terms_nm/" + std::to_string(k)),
                 1e-11, 0));
    CHECK(near(with.u, h1("/recomputed/u_c_with_second_order_nm"), 1e-11, 0));
  }

  TEST_CASE("GUM H.2: resistance, reactance and impedance from correlated means, both approaches") {
    const auto volt = reference_numbers("gum/gum_H2_correlated.json", "/data/V_volt");
    const auto milliampere = reference_numbers("gum/gum_H2_correlated.json", "/data/I_mA");
    const auto phase = reference_numbers("gum/gum_H2_correlated.json", "/data/phi_rad");
    const auto v = stats::repeated(volt), i = stats::repeated(milliampere), phi = stats::repeated(phase);
    const std::vector<Correlation> r = {{0, 1, stats::mean_correlation(volt, milliampere)},
                                        {0, 2, stats::mean_correlation(volt, phase)},
                                        {1, 2, stats::mean_correlation(milliampere, phase)}};
    const auto check = [](const std::string& pointer, double value, double half_unit) {
      CAPTURE(pointer);
      CHECK(near(value, h2("/recomputed/" + pointer), 1e-9, 0));
      CHECK(near(value, h2("/published/" + pointer), 0, half_unit));
    };
    check("means/V", v.mean, 0.0005);
    check("means/I_mA", i.mean, 0.0005);
    check("means/phi", phi.mean, 0.000005);
    check("u_mean/V", v.u, 0.00005);
    check("u_mean/I_mA", i.u, 0.00005);
    check("u_mean/phi", phi.u, 0.000005);
    check("r_inputs/VI", r[0].r, 0.005);
    check("r_inputs/Vphi", r[1].r, 0.005);
    check("r_inputs/Iphi", r[2].r, 0.005);

    // approach 1: law of propagation with the correlations of the means; ohm, with I in mA
    const double z = 1000 * v.mean / i.mean, x = z * std::sin(phi.mean), res = z * std::cos(phi.mean);
    const std::vector<double> of_r = {res / v.mean, -res / i.mean, -x}, of_x = {x / v.mean, -x / i.mean, res},
                              of_z = {z / v.mean, -z / i.mean, 0};
    const auto rows_of = [&](const std::vector<double>& c, double u_v, double u_i, double u_phi) {
      return std::vector<BudgetRow>{{"V", v.mean, u_v, Evaluation::a, v.dof, c[0]},
                                    {"I", i.mean, u_i, Evaluation::a, i.dof, c[1]},
                                    {"phi", phi.mean, u_phi, Evaluation::a, phi.dof, c[2]}};
    };
    const auto rows_r = rows_of(of_r, v.u, i.u, phi.u), rows_x = rows_of(of_x, v.u, i.u, phi.u),
               rows_z = rows_of(of_z, v.u, i.u, phi.u);
    const auto b_r = combine(rows_r, r), b_x = combine(rows_x, r), b_z = combine(rows_z, r);
    const std::string one = "outputs_approach1/", two = "outputs_approach2/";
    check(one + "R", res, 0.0005);
    check(one + "X", x, 0.0005);
    check(one + "Z", z, 0.0005);
    check(one + "u_R", b_r.u, 0.0005);
    check(one + "u_X", b_x.u, 0.001);  // the guide prints 0.295; unrounded 0.2956
    check(one + "u_Z", b_z.u, 0.0005);
    check(one + "r_RX", stats::covariance(rows_r, of_x, r) / (b_r.u * b_x.u), 0.0005);
    check(one + "r_RZ", stats::covariance(rows_r, of_z, r) / (b_r.u * b_z.u), 0.0005);
    check(one + "r_XZ", stats::covariance(rows_x, of_z, r) / (b_x.u * b_z.u), 0.0005);
    // five simultaneous sets: four degrees of freedom, whatever the correlations
    for (const auto& budget : {b_r, b_x, b_z}) {
      CHECK(near(budget.dof, 4, 1e-14, 0));
      CHECK(near(std::accumulate(budget.share.begin(), budget.share.end(), 0.0), 1, 1e-12, 0));
    }

    // approach 2: each set by itself, then means
    std::vector<double> r_k, x_k, z_k;
    for (std::size_t k = 0; k < volt.size(); ++k) {
      z_k.push_back(1000 * volt[k] / milliampere[k]);
      r_k.push_back(z_k[k] * std::cos(phase[k]));
      x_k.push_back(z_k[k] * std::sin(phase[k]));
    }
    const auto m_r = stats::repeated(r_k), m_x = stats::repeated(x_k), m_z = stats::repeated(z_k);
    check(two + "R", m_r.mean, 0.0005);
    check(two + "X", m_x.mean, 0.0005);
    check(two + "Z", m_z.mean, 0.0005);
    check(two + "u_R", m_r.u, 0.0005);
    check(two + "u_X", m_x.u, 0.0005);
    check(two + "u_Z", m_z.u, 0.0005);
    check(two + "r_RX", stats::mean_correlation(r_k, x_k), 0.0005);
    check(two + "r_RZ", stats::mean_correlation(r_k, z_k), 0.0005);
    check(two + "r_XZ", stats::mean_correlation(x_k, z_k), 0.0005);
    CHECK(m_r.dof == 4);

    // from the printed, rounded u and r, which are still possible together
    const std::vector<Correlation> rounded = {{0, 1, h2("/published/r_inputs/VI")},
                                              {2, 0, h2("/published/r_inputs/Vphi")},
                                              {2, 1, h2("/published/r_inputs/Iphi")}};
    const auto printed = [&](const std::vector<double>& c) {
      return rows_of(c, h2("/published/u_mean/V"), h2("/published/u_mean/I_mA"), h2("/published/u_mean/phi"));
    };
    const std::string from = "/recomputed/from_rounded_inputs(public GTC test)/";
    const double u_r = combine(printed(of_r), rounded).u, u_x = combine(printed(of_x), rounded).u;
    CHECK(near(u_r, h2(from + "u_R"), 1e-9, 0));
    CHECK(near(u_x, h2(from + "u_X"), 1e-9, 0));
    CHECK(near(combine(printed(of_z), rounded).u, h2(from + "u_Z"), 1e-9, 0));
    CHECK(near(stats::covariance(printed(of_r), of_x, rounded) / (u_r * u_x), h2(from + "r_RX"), 1e-9, 0));
  }

  TEST_CASE("budget: one row, no uncertainty, full correlation, cancellation") {
    const auto one = combine({{{"scale", 10, 0.5, Evaluation::a, 7, -2}}});
    CHECK(one.u == 1);
    CHECK(one.contribution[0] == 1);
    CHECK(one.share[0] == 1);
    CHECK(near(one.dof, 7, 1e-15, 0));
    CHECK(near(one.expanded(0.95), stats::t_quantile(0.975, 7), 1e-15, 0));
    const auto normal = combine({{{"scale", 0, 3}, {"reading", 0, 4}}});
    CHECK(normal.u == 5);
    CHECK(std::isinf(normal.dof));
    CHECK(near(normal.factor(0.95), stats::normal_quantile(0.975), 1e-15, 0));
    CHECK(near(normal.factor(0.95, DofUse::whole), stats::normal_quantile(0.975), 1e-15, 0));

    const auto none = combine({{{"exact", 1, 0, Evaluation::b, 3, 5}}});
    CHECK(none.u == 0);
    CHECK(none.share[0] == 0);
    CHECK(std::isinf(none.dof));
    CHECK(none.expanded() == 0);

    const std::vector<BudgetRow> pair = {{"a", 0, 3, Evaluation::b, 9, 1}, {"b", 0, 4, Evaluation::b, 5, 1}};
    const auto adds = combine(pair, {{{0, 1, 1}}});
    CHECK(near(adds.u, 7, 1e-15, 0));
    CHECK(near(adds.share[0], 21.0 / 49, 1e-15, 0));
    CHECK(near(adds.dof, 5, 1e-15, 0));  // one component, on the smaller
    const auto against = combine(pair, {{{1, 0, -1}}});
    CHECK(near(against.u, 1, 1e-14, 0));
    CHECK(near(against.share[0], -3, 1e-13, 0));
    CHECK(near(against.share[1], 4, 1e-13, 0));
    const auto gone = combine({{{"a", 0, 0.1}, {"b", 0, 0.3}}}, {{{0, 1, 0}}});
    CHECK(near(gone.u, std::sqrt(0.1), 1e-15, 0));
    CHECK(combine({{{"a", 0, 0.1, Evaluation::b, 9, 3}, {"b", 0, 0.3}}}, {{{0, 1, -1}}}).u < 1e-8);
  }

  TEST_CASE(
      "budget: degrees of freedom stay at 1 or above, and what contributes nothing has no say in them") {
    CHECK(combine({{{"a", 0, 1, Evaluation::a, 0.25, 1}}}).dof == 1);
    CHECK(combine({{{"a", 0, 1, Evaluation::a, 1, 1}, {"b", 0, 1e-9, Evaluation::a, 1, 1}}}).dof >= 1);
    CHECK(combine({{{"a", 0, 1, Evaluation::a, 1, 0.0}, {"b", 0, 1}}}).dof == kInfinity);
    const std::vector<BudgetRow> rows = {{"a", 0, 1, Evaluation::a, 12, 1},
                                         {"idle", 0, 1, Evaluation::a, 2, 0},
                                         {"b", 0, 1, Evaluation::a, 30, 1}};
    // idle is correlated with both, which makes no component of them: (1 + 1)^2/(1/12 + 1/30)
    CHECK(near(combine(rows, {{{0, 1, 0.5}, {1, 2, 0.5}}}).dof, 4 / (1.0 / 12 + 1.0 / 30), 1e-14, 0));
    // a chain a-b, b-c is one component
    const std::vector<BudgetRow> chain = {{"a", 0, 1, Evaluation::a, 12, 1},
                                          {"b", 0, 1, Evaluation::a, 6, 1},
                                          {"c", 0, 1, Evaluation::a, 30, 1},
                                          {"d", 0, 1, Evaluation::a, 10, 1}};
    const auto budget = combine(chain, {{{1, 2, 0.25}, {0, 1, 0.25}}});
    CHECK(near(budget.u * budget.u, 5, 1e-15, 0));
    CHECK(near(budget.dof, 25 / (16.0 / 6 + 1.0 / 10), 1e-14, 0));
  }

  TEST_CASE("budget: any correlations against the naive double sum") {
    stats::Stream random(41, 0);
    for (int trial = 0; trial < 50; ++trial) {
      // rows that share hidden causes: correlations that are possible
      const std::size_t n = 2 + static_cast<std::size_t>(random.uniform(0, 5));
      std::vector<std::vector<double>> cause(n, std::vector<double>(3));
      std::vector<BudgetRow> rows;
      std::vector<double> other;
      for (auto& row : cause) {
        double square = 0;
        for (double& c : row) {
          c = random.normal();
          square += c * c;
        }
        rows.push_back({"x", random.normal(), std::sqrt(square), Evaluation::b, 5, random.normal()});
        other.push_back(random.normal());
      }
      std::vector<Correlation> r;
      double variance = 0, covariance = 0;
      for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j) {
          const double c = std::inner_product(cause[i].begin(), cause[i].end(), cause[j].begin(), 0.0);
          variance += rows[i].sensitivity * rows[j].sensitivity * c;
          covariance += rows[i].sensitivity * other[j] * c;
          if (i < j) r.push_back({i, j, c / (rows[i].u * rows[j].u)});
        }
      const auto budget = combine(rows, r);
      CHECK(near(budget.u, std::sqrt(variance), 1e-9, 1e-9));
      CHECK(near(stats::covariance(rows, other, r), covariance, 1e-9, 1e-9));
      std::vector<double> same;
      same.reserve(n);
      for (const auto& row : rows) same.push_back(row.sensitivity);
      CHECK(near(stats::covariance(rows, same, r), budget.u * budget.u, 1e-9, 1e-9));
    }
  }

  TEST_CASE("budget: products and squares have exactly the variance that the second order gives") {
    // y = a b about 2 and 3: (b u_a)^2 + (a u_b)^2 + (u_a u_b)^2; degrees of freedom by the variances' own
    // gradient
    const std::vector<BudgetRow> rows = {{"a", 2, 0.5, Evaluation::a, 8, 3},
                                         {"b", 3, 0.25, Evaluation::a, 6, 2}};
    const auto product = combine(rows, {}, {{{0, 1, 1}}});
    const double first = 2.25, second = 0.25, both = 0.015625, v = first + second + both;
    CHECK(near(product.u * product.u, v, 1e-15, 0));
    CHECK(near(product.second_share[0], both / v, 1e-14, 0));
    CHECK(near(product.dof,
               v * v / ((first + both) * (first + both) / 8 + (second + both) * (second + both) / 6), 1e-14,
               0));
    // y = x^2 about 0: variance 2 u^4, and the doubt of u^4 is twice that of u^2
    const auto square = combine({{{"x", 0, 3, Evaluation::a, 20, 0}}}, {}, {{{0, 0, 2}}});
    CHECK(near(square.u, std::sqrt(2.0) * 9, 1e-15, 0));
    CHECK(near(square.dof, 5, 1e-14, 0));
  }

  TEST_CASE("type A: repeated observations and their correlation") {
    const auto all = stats::repeated(std::vector<double>{1, 2, 3, 4});
    CHECK(all.mean == 2.5);
    CHECK(near(all.u, std::sqrt(5.0 / 12), 1e-15, 0));
    CHECK(all.dof == 3);
    const std::vector<double> x = {1, 2, 4}, flat = {7, 7, 7}, down = {-2, -4, -8};
    CHECK(stats::mean_correlation(x, flat) == 0);
    CHECK(near(stats::mean_correlation(x, down), -1, 1e-15, 0));
    CHECK(near(stats::mean_correlation(x, x), 1, 1e-15, 0));
    CHECK(stats::dof_of_doubt(0.25) == 8);
    CHECK(stats::dof_of_doubt(0) == kInfinity);
  }

  TEST_CASE("budget: what cannot be is refused") {
    const double nan = std::nan("");
    const std::vector<BudgetRow> good = {{"a", 1, 1}, {"b", 1, 1}, {"c", 1, 1}};
    CHECK_THROWS_AS(combine({}), std::domain_error);
    CHECK_THROWS_WITH_AS(combine({{{"width", 1, -0.1}}}),
                         "budget: standard uncertainty of row 'width' must be finite and not below 0",
                         std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", nan, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", 1, nan}}}), std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", 1, kInfinity}}}), std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", 1, 1, Evaluation::b, 0, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", 1, 1, Evaluation::b, nan, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", 1, 1, Evaluation::b, 5, nan}}}), std::domain_error);
    CHECK_THROWS_AS(combine({{{"a", 1, 1e200, Evaluation::b, 5, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {{{0, 3, 0.5}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {{{1, 1, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {{{0, 1, 1.01}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {{{0, 1, nan}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {{{0, 1, 0.5}, {1, 0, 0.5}}}), std::domain_error);
    CHECK_THROWS_WITH_AS(combine(good, {{{0, 1, 1}, {0, 2, 1}, {1, 2, -1}}}),
                         "budget: the correlations contradict each other", std::domain_error);
    CHECK_THROWS_AS(combine(good, {}, {{{0, 3, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {}, {{{0, 1, nan}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {}, {{{0, 1, 1}, {1, 0, 1}}}), std::domain_error);
    CHECK_THROWS_AS(combine(good, {{{0, 1, 0.5}}}, {{{1, 2, 1}}}), std::domain_error);
    CHECK_THROWS_AS(static_cast<void>(combine(good).factor(1)), std::domain_error);
    CHECK_THROWS_AS(static_cast<void>(combine(good).factor(0)), std::domain_error);
    CHECK_THROWS_AS(static_cast<void>(combine(good).expanded(nan)), std::domain_error);
    const std::vector<double> two = {1, 2}, three = {1, 2, 3};
    CHECK_THROWS_AS(stats::covariance(good, two), std::domain_error);
    CHECK_THROWS_AS(stats::covariance(good, std::vector<double>{1, nan, 1}), std::domain_error);
    CHECK_THROWS_AS(stats::repeated(std::vector<double>{1}), std::domain_error);
    CHECK_THROWS_AS(stats::repeated(std::vector<double>{1, nan}), std::domain_error);
    CHECK_THROWS_AS(stats::mean_correlation(two, three), std::domain_error);
    CHECK_THROWS_AS(stats::dof_of_doubt(-0.1), std::domain_error);
  }
}
