// SPDX-License-Identifier: MIT
/// \file dense_form.hpp
/// The full mixed model over all readings of one check, the deliberately naive form; and checks to try it on.
#pragma once

#include <cstdint>
#include <random>
#include <utility>
#include <vector>

#include "check/check.hpp"
#include "check/corners.hpp"
#include "check/reml_strips.hpp"
#include "stats/reml.hpp"
#include "support/simulate.hpp"

namespace quarterturn::test {

/// Unequal spots, unequal readings a spot, strips that share corners.
inline check::Check unbalanced(int panels, int cuts, std::uint64_t seed,
                               std::vector<double> positions = {12, 140, 260, 410, 507}) {
  std::mt19937_64 random(seed);
  Design design;
  design.panels = panels;
  design.cuts = cuts;
  design.positions = std::move(positions);
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

/// \param own_tapers  each strip has a taper of its own instead of all one eta: what is left of the
/// likelihood
///                    are pure error and residuals
inline stats::DenseModel dense_of(const check::Check& check, const check::Corners& corners, double span,
                                  bool own_tapers = false) {
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
  m.p = static_cast<int>(check.strips.size()) + (own_tapers ? static_cast<int>(check.strips.size()) : 1);
  const std::vector<double> spans(corners.names.size(), span);
  const auto k = check::seating_matrix(corners, spans);
  const std::size_t n = rows.size(), strips = check.strips.size();
  m.v.assign(3, std::vector<double>(n * n, 0.0));
  for (std::size_t i = 0; i < n; ++i) {
    m.y.push_back(rows[i].w);
    for (std::size_t j = 0; own_tapers && j < strips; ++j)
      m.x.push_back(rows[i].strip == j ? -rows[i].p : 0.0);
    if (!own_tapers) m.x.push_back(-rows[i].p * corners.t[rows[i].strip]);
    for (std::size_t j = 0; j < strips; ++j) m.x.push_back(rows[i].strip == j ? 1.0 : 0.0);
    for (std::size_t l = 0; l < n; ++l) {
      m.v[0][i * n + l] = i == l ? 1.0 : 0.0;
      m.v[1][i * n + l] = rows[i].spot == rows[l].spot ? 1.0 : 0.0;
      m.v[2][i * n + l] = rows[i].p * rows[l].p * k[rows[i].strip * strips + rows[l].strip];
    }
  }
  return m;
}

}  // namespace quarterturn::test
