// SPDX-License-Identifier: MIT
#include "stats/bordered.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <random>
#include <stdexcept>

#include "support/near.hpp"
#include "support/sparse_cases.hpp"

namespace {

using namespace quarterturn;
using stats::BorderedCholesky;
using stats::Entry;
using stats::Triplet;
using test::Dense;
using test::near;

/// A with its border, as given and in full.
struct Case {
  int n = 0, k = 0;
  std::vector<Triplet> lower;
  std::vector<double> border, corner;

  [[nodiscard]] Dense full() const {
    const auto rows = static_cast<std::size_t>(n), columns = static_cast<std::size_t>(k);
    Dense all(rows + columns, rows + columns);
    const Dense a = test::dense_of(n, lower);
    for (std::size_t i = 0; i < rows; ++i)
      for (std::size_t j = 0; j < rows; ++j) all(i, j) = a(i, j);
    for (std::size_t j = 0; j < columns; ++j) {
      for (std::size_t i = 0; i < rows; ++i) all(i, rows + j) = all(rows + j, i) = border[j * rows + i];
      for (std::size_t i = 0; i < columns && !corner.empty(); ++i)
        all(rows + i, rows + j) = corner[i * columns + j];
    }
    return all;
  }
  [[nodiscard]] std::optional<BorderedCholesky> factor() const {
    return BorderedCholesky::of(n, lower, border, corner);
  }
};

/// Normal equations of rows over n sparse unknowns and k dense ones, weight 1; each sparse one held by
/// `hold`.
Case mixed(std::vector<test::Row> rows, int n, int k, double hold, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  std::normal_distribution<double> normal;
  Case c{n,
         k,
         {},
         std::vector<double>(static_cast<std::size_t>(n * k)),
         std::vector<double>(static_cast<std::size_t>(k * k))};
  c.lower = test::normal_triplets(rows);
  for (int i = 0; i < n; ++i) c.lower.push_back({i, i, hold});
  for (const auto& row : rows) {
    std::vector<double> fixed(static_cast<std::size_t>(k));
    for (double& f : fixed) f = normal(random);
    for (std::size_t a = 0; a < fixed.size(); ++a) {
      for (const Entry& e : row)
        c.border[a * static_cast<std::size_t>(n) + static_cast<std::size_t>(e.index)] += e.value * fixed[a];
      for (std::size_t b = 0; b < fixed.size(); ++b) c.corner[a * fixed.size() + b] += fixed[a] * fixed[b];
    }
  }
  return c;
}

/// Everything against the dense inverse.
void agrees(const Case& c, double relative = 1e-9) {
  CAPTURE(c.n);
  CAPTURE(c.k);
  const test::DenseInverse dense = test::gauss_jordan(c.full());
  const auto factor = c.factor();
  REQUIRE(factor.has_value());
  CHECK(factor->size() == c.n);
  CHECK(factor->borders() == c.k);
  CHECK(factor->undetermined().empty());
  CHECK(near(factor->log_determinant().value(), dense.log_abs_determinant, relative, relative));

  const int all = c.n + c.k;
  const auto z = factor->selected_inverse();
  double largest = 0, worst = 0;
  for (int i = 0; i < all; ++i) {
    for (int j = 0; j < all; ++j) {
      const double expected =
          static_cast<double>(dense.inverse(static_cast<std::size_t>(i), static_cast<std::size_t>(j)));
      largest = std::max(largest, std::fabs(expected));
      if (const auto found = z.at(i, j)) worst = std::max(worst, std::fabs(*found - expected));
      if (i >= c.n || j >= c.n) CHECK(z.at(i, j).has_value());
    }
    CHECK(z.diagonal(i) == z.at(i, i));
  }
  CHECK(worst < relative * largest);
  for (const Triplet& t : c.lower) CHECK(z.at(t.row, t.column).has_value());

  std::vector<double> b(static_cast<std::size_t>(all));
  for (std::size_t i = 0; i < b.size(); ++i) b[i] = std::sin(1.0 + static_cast<double>(i));
  const auto x = factor->solve(b);
  double most = 0, off = 0;
  for (std::size_t i = 0; i < b.size(); ++i) {
    long double sum = 0;
    for (std::size_t j = 0; j < b.size(); ++j) sum += dense.inverse(i, j) * b[j];
    most = std::max(most, static_cast<double>(std::fabs(sum)));
    off = std::max(off, std::fabs(x[i] - static_cast<double>(sum)));
  }
  CHECK(off < relative * most);
  // With a share in the border, and inside of A.
  for (const int last : {all - 1, c.n - 2}) {
    const std::vector<Entry> left{{0, 1.0}, {last, 0.5}}, right{{c.n - 1, 2.0}, {0, -1.0}};
    double expected = 0;
    for (const Entry& l : left)
      for (const Entry& r : right)
        expected += l.value * r.value *
                    static_cast<double>(
                        dense.inverse(static_cast<std::size_t>(l.index), static_cast<std::size_t>(r.index)));
    CHECK(near(factor->bilinear(left, right), expected, 0, relative * largest));
  }
}

/// Largest |N x - b| in shares of |N||x| + |b|, row by row.
double misfit(const Case& c, const std::vector<double>& x, const std::vector<double>& b) {
  std::vector<long double> off(b.begin(), b.end()), size(b.size());
  const auto add = [&](std::size_t i, std::size_t j, long double value) {
    off[i] -= value * x[j];
    size[i] += std::fabs(value * x[j]);
  };
  const auto n = static_cast<std::size_t>(c.n);
  for (const Triplet& t : c.lower) {
    const auto i = static_cast<std::size_t>(t.row), j = static_cast<std::size_t>(t.column);
    add(i, j, t.value);
    if (i != j) add(j, i, t.value);
  }
  for (std::size_t i = 0; i < c.border.size(); ++i) {
    add(i % n, n + i / n, c.border[i]);
    add(n + i / n, i % n, c.border[i]);
  }
  double worst = 0;
  for (std::size_t i = 0; i < b.size(); ++i)
    worst = std::max(worst, static_cast<double>(std::fabs(off[i]) / (size[i] + std::fabs(b[i]))));
  return worst;
}

std::vector<double> joined(const std::vector<std::vector<double>>& columns) {
  std::vector<double> all;
  for (const auto& column : columns) all.insert(all.end(), column.begin(), column.end());
  return all;
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("fixed effects beside random ones are the full matrix's") {
    for (int k : {0, 1, 3, 6, 12})
      for (int n : {3, 20, 50})
        agrees(mixed(test::random_rows(n, static_cast<std::uint64_t>(n)), n, k, 0.5, 17));
    agrees(mixed(test::grid_rows(6, 5, 0), 60, 4, 0.05, 18));
    // held so weakly that elimination finds next to nothing left; 1e-16 of a diagonal is 1e-9 of this
    agrees(mixed(test::grid_rows(6, 5, 0), 60, 4, 1e-7, 18), 3e-8);
  }

  TEST_CASE("conditions on a determined matrix are the full matrix's") {
    for (int k : {1, 2, 5}) {
      Case c = mixed(test::random_rows(25, 3), 25, k, 0.5, 19);
      c.corner.clear();
      agrees(c);
    }
  }

  TEST_CASE("a grid of distances alone, made whole by inner constraints, is the full matrix's") {
    for (const auto& size : {std::pair{2, 2}, {4, 3}, {9, 6}, {12, 12}})
      agrees({2 * size.first * size.second,
              3,
              test::normal_triplets(test::grid_rows(size.first, size.second, 0)),
              joined(test::grid_moves(size.first, size.second)),
              {}});
  }

  TEST_CASE("one held next to not at all is made whole by them without loss of digits") {
    for (double hold : {1e-8, 1e-10, 1e-12, 1e-14})
      agrees({96, 3, test::normal_triplets(test::grid_rows(8, 6, hold)), joined(test::grid_moves(8, 6)), {}});
  }

  TEST_CASE("long and large grids: all moves and no more are found, and refined solutions agree") {
    for (const auto& size : {std::pair{9, 11}, {80, 2}, {200, 2}, {40, 20}, {60, 40}}) {
      CAPTURE(size.first);
      const int n = 2 * size.first * size.second;
      const auto moves = test::grid_moves(size.first, size.second);
      Case c{n, 3, test::normal_triplets(test::grid_rows(size.first, size.second, 0)), joined(moves), {}};
      const auto held = c.factor().value();
      CHECK(held.undetermined().empty());
      const auto z = held.selected_inverse();
      for (int i : {0, 1, n / 2, n - 1}) {
        const Entry one{i, 1};
        const double variance = held.bilinear({&one, 1}, {&one, 1});
        CHECK(near(z.diagonal(i), variance, 1e-8, 0));
        std::vector<double> b(static_cast<std::size_t>(n + 3));
        b[static_cast<std::size_t>(i)] = 1;
        const auto x = held.solve(b);
        CHECK(misfit(c, x, b) < 1e-14);
      }
      c.k = 0;
      c.border.clear();
      CHECK(c.factor().value().undetermined().size() == 3);
    }
  }

  TEST_CASE("and by constraints over three of its nodes only") {
    const int columns = 5, rows = 4, n = 2 * columns * rows;
    auto moves = test::grid_moves(columns, rows);
    for (auto& move : moves)
      for (std::size_t i = 0; i < move.size(); ++i)
        if (i / 2 != 0 && i / 2 != 7 && i / 2 != 18) move[i] = 0;
    agrees({n, 3, test::normal_triplets(test::grid_rows(columns, rows, 0)), joined(moves), {}});
  }

  TEST_CASE("a small one by hand") {
    const std::vector<Triplet> identity{{0, 0, 1.0}, {1, 1, 1.0}};
    const std::vector<double> ones{1, 1}, b{1, 0, 0};
    const auto x = BorderedCholesky::of(2, identity, ones).value().solve(b);
    CHECK(near(x[0], 0.5, 1e-14, 0));
    CHECK(near(x[1], -0.5, 1e-14, 0));
    CHECK(near(x[2], 0.5, 1e-14, 0));
  }

  TEST_CASE("one fixed effect beside random ones is the full matrix's") {
    agrees(mixed(test::grid_rows(4, 3, 0), 24, 1, 0.5, 7));
  }

  TEST_CASE("border columns that say the same are named, and their sum stays known") {
    const int n = 20;
    for (double hold : {0.5, 1e-7}) {
      CAPTURE(hold);
      const Case one = mixed(test::grid_rows(5, 2, 0), n, 2, hold, 23);
      // a third column: the first less twice the second
      Case three = one;
      three.k = 3;
      for (std::size_t i = 0; i < 20; ++i) three.border.push_back(one.border[i] - 2 * one.border[20 + i]);
      const auto& c = one.corner;
      const double c02 = c[0] - 2 * c[1], c12 = c[1] - 2 * c[3];
      three.corner = {c[0], c[1], c02, c[1], c[3], c12, c02, c12, c02 - 2 * c12};
      const auto factor = three.factor().value();
      REQUIRE(factor.undetermined().size() == 1);
      const auto& z = factor.undetermined().front();
      const double turn = z[20] > 0 ? 1 : -1;
      for (std::size_t i = 0; i < 20; ++i) CHECK(near(z[i], 0, 0, 1e-9));
      CHECK(near(turn * z[20], 1 / std::sqrt(6.0), 1e-9, 0));
      CHECK(near(turn * z[21], -2 / std::sqrt(6.0), 1e-9, 0));
      CHECK(near(turn * z[22], -1 / std::sqrt(6.0), 1e-9, 0));

      const std::vector<Entry> alone{{20, 1.0}}, sum{{20, 1.0}, {22, 1.0}}, second{{20, 2.0}, {21, 1.0}},
          random{{4, 1.0}};
      CHECK_FALSE(factor.determines(alone));
      CHECK(factor.determines(sum));
      CHECK(factor.determines(second));
      CHECK(factor.determines(random));
      const Dense inverse = test::gauss_jordan(one.full()).inverse;
      // the first column's coefficient is b0 + b2, the second's b1 - 2 b2: so 2 b0 + b1 is 2 (first) +
      // (second)
      CHECK(near(factor.bilinear(sum, sum), static_cast<double>(inverse(20, 20)), 1e-9, 0));
      CHECK(near(factor.bilinear(second, second),
                 static_cast<double>(4 * inverse(20, 20) + 4 * inverse(20, 21) + inverse(21, 21)), 1e-9, 0));
      CHECK(near(factor.selected_inverse().at(4, 4).value(), static_cast<double>(inverse(4, 4)),
                 hold < 1e-3 ? 3e-8 : 1e-9, 0));

      // log determinants over what is determined move as those of the two columns do
      Case one_held = one, three_held = three;
      for (int i = 0; i < n; ++i) {
        one_held.lower.push_back({i, i, 0.7});
        three_held.lower.push_back({i, i, 0.7});
      }
      CHECK(near(three_held.factor().value().log_determinant().value() - factor.log_determinant().value(),
                 one_held.factor().value().log_determinant().value() -
                     one.factor().value().log_determinant().value(),
                 1e-9, 1e-9));
    }
  }

  TEST_CASE("a grid without distances enough: what is not determined is the null space, the rest is kept") {
    // neighbours along and across only: every mesh can lean
    const int columns = 4, rows = 3, n = 2 * columns * rows;
    std::vector<test::Row> seen;
    for (int r = 0; r < rows; ++r)
      for (int c = 0; c < columns; ++c) {
        if (c + 1 < columns) seen.push_back(test::grid_distance(columns, c, r, c + 1, r));
        if (r + 1 < rows) seen.push_back(test::grid_distance(columns, c, r, c, r + 1));
      }
    const Case c{n, 3, test::normal_triplets(seen), joined(test::grid_moves(columns, rows)), {}};
    const auto factor = c.factor().value();
    const Dense full = c.full();
    const Dense inverse = test::pseudo_inverse(full);
    std::size_t missing = 0;
    for (long double v : test::jacobi(full).values) missing += std::fabs(v) < 1e-10L;
    CHECK(missing > 3);
    CHECK(factor.undetermined().size() == missing);
    for (const auto& z : factor.undetermined())
      for (std::size_t i = 0; i < full.rows(); ++i) {
        long double felt = 0;
        for (std::size_t j = 0; j < full.rows(); ++j) felt += full(i, j) * z[j];
        CHECK(near(static_cast<double>(felt), 0, 0, 1e-9));
      }
    for (const auto& row : seen) {
      CHECK(factor.determines(row));
      long double expected = 0;
      for (const Entry& a : row)
        for (const Entry& b : row)
          expected += static_cast<long double>(a.value) * b.value *
                      inverse(static_cast<std::size_t>(a.index), static_cast<std::size_t>(b.index));
      CHECK(near(factor.bilinear(row, row), static_cast<double>(expected), 1e-9, 0));
    }
    CHECK_FALSE(factor.determines(test::grid_distance(columns, 0, 0, 1, 1)));
    CHECK_FALSE(factor.log_determinant().has_value());
  }

  TEST_CASE("an unknown that nothing touches is not determined; one that is indefinite is refused") {
    const std::vector<Triplet> lonely{{0, 0, 2.0}, {2, 2, 3.0}};
    const auto factor = BorderedCholesky::of(3, lonely, {});
    REQUIRE(factor.has_value());
    REQUIRE(factor->undetermined().size() == 1);
    CHECK(near(std::fabs(factor->undetermined()[0][1]), 1, 1e-12, 0));
    CHECK(near(factor->selected_inverse().diagonal(0), 0.5, 1e-14, 0));
    const std::vector<Triplet> negative{{0, 0, 1.0}, {1, 0, 2.0}, {1, 1, 1.0}};
    stats::NotPositiveDefinite why;
    CHECK_FALSE(BorderedCholesky::of(2, negative, {}, {}, &why).has_value());
    CHECK(near(why.pivot, -3, 1e-12, 0));
    // 64 missing conditions can be named, not 65
    CHECK(BorderedCholesky::of(64, {}, {}).value().undetermined().size() == 64);
    CHECK_FALSE(BorderedCholesky::of(65, {}, {}, {}, &why).has_value());
    CHECK(why.pivot == 0);
  }

  TEST_CASE("shapes of borders that do not fit are refused") {
    const std::vector<Triplet> lower{{0, 0, 1.0}, {1, 1, 1.0}};
    const std::vector<double> three{1, 2, 3}, column{1, 2}, corner{1, 2},
        endless{1, std::numeric_limits<double>::infinity()};
    CHECK_THROWS_AS(BorderedCholesky::of(0, lower, {}), std::domain_error);
    CHECK_THROWS_AS(BorderedCholesky::of(2, lower, three), std::domain_error);
    CHECK_THROWS_AS(BorderedCholesky::of(2, lower, column, corner), std::domain_error);
    CHECK_THROWS_AS(BorderedCholesky::of(2, lower, endless), std::domain_error);
    const auto factor = BorderedCholesky::of(2, lower, column).value();
    CHECK_THROWS_AS(static_cast<void>(factor.solve(column)), std::domain_error);
    const auto z = factor.selected_inverse();
    CHECK_THROWS_AS(static_cast<void>(z.at(3, 0)), std::out_of_range);
  }
}
