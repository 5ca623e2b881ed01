// SPDX-License-Identifier: MIT
#include "stats/sparse_cholesky.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include "support/near.hpp"
#include "support/sparse_cases.hpp"

namespace {

using namespace quarterturn;
using stats::SparseCholesky;
using stats::Triplet;
using test::near;

/// Everything of one matrix against its dense inverse, 1e-9 relative.
void agrees(int n, const std::vector<Triplet>& lower) {
  CAPTURE(n);
  const test::DenseInverse dense = test::gauss_jordan(test::dense_of(n, lower));
  const auto factor = SparseCholesky::of(n, lower);
  REQUIRE(factor.has_value());
  REQUIRE(factor->size() == n);
  CHECK(near(factor->log_determinant(), dense.log_abs_determinant, 1e-9, 1e-9));

  const auto size = static_cast<std::size_t>(n);
  const auto z = factor->selected_inverse();
  REQUIRE(z.size() == n);
  double worst = 0;
  std::size_t found = 0;
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j) {
      const auto a = static_cast<std::size_t>(i), b = static_cast<std::size_t>(j);
      const auto selected = z.at(i, j);
      CHECK(selected == z.at(j, i));
      if (!selected) continue;
      found += i >= j;
      const auto scale = static_cast<double>(std::sqrt(dense.inverse(a, a) * dense.inverse(b, b)));
      worst = std::max(worst, std::fabs(*selected - static_cast<double>(dense.inverse(a, b))) / scale);
    }
  CHECK(worst < 1e-9);
  CHECK(found == z.stored());
  for (const Triplet& t : lower) CHECK(z.at(t.row, t.column).has_value());
  for (int i = 0; i < n; ++i) CHECK(z.diagonal(i) == z.at(i, i));

  // two right-hand sides at once, and the first of them as its few elements
  std::vector<double> b(2 * size);
  b[0] = 1;
  b[size - 1] -= 2;
  for (std::size_t i = 0; i < size; ++i) b[size + i] = std::sin(1.0 + static_cast<double>(i));
  const auto x = factor->solve(b);
  const std::vector<stats::Entry> few{{0, 1.0}, {n - 1, -1.0}, {n - 1, -1.0}};
  const auto sparse = factor->solve(few);
  REQUIRE(x.size() == 2 * size);
  for (std::size_t side = 0; side < 2; ++side) {
    double most = 0, off = 0;
    for (std::size_t i = 0; i < size; ++i) {
      long double sum = 0;
      for (std::size_t j = 0; j < size; ++j) sum += dense.inverse(i, j) * b[side * size + j];
      most = std::max(most, static_cast<double>(std::fabs(sum)));
      off = std::max(off, std::fabs(x[side * size + i] - static_cast<double>(sum)));
    }
    CHECK(off < 1e-9 * most);
  }
  for (std::size_t i = 0; i < size; ++i) CHECK(near(sparse[i], x[i], 1e-12, 1e-12));
}

}  // namespace

TEST_SUITE("stats") {
  TEST_CASE("sparse factor and selected inverse of random matrices are those of the dense inverse") {
    for (int n : {1, 2, 3, 5, 8, 13, 30, 60})
      for (std::uint64_t seed = 1; seed <= 5; ++seed)
        agrees(n, test::normal_triplets(test::random_rows(n, seed + 100 * static_cast<std::uint64_t>(n))));
  }

  TEST_CASE("and of grids of distances, weakly held") {
    for (const auto& [columns, rows] : {std::pair{2, 2}, {3, 2}, {5, 4}, {7, 7}, {1, 9}, {12, 12}})
      agrees(2 * columns * rows, test::normal_triplets(test::grid_rows(columns, rows, 1e-3)));
  }

  TEST_CASE("the pattern of a large grid stays small, and pairs far apart are outside it") {
    const int n = 2 * 40 * 20;
    const auto factor = SparseCholesky::of(n, test::normal_triplets(test::grid_rows(40, 20, 1e-3)));
    const auto z = factor.value().selected_inverse();
    CHECK(z.stored() < 60u * n);
    int outside = 0;
    for (int i = 0; i < n; i += 7) outside += !z.at(0, i).has_value();
    CHECK(outside > n / 14);
  }

  TEST_CASE("not positive definite is a value that names the column") {
    stats::NotPositiveDefinite why;
    // 1 and 3 hang together, 2 has nothing of its own
    const std::vector<Triplet> zero{{0, 0, 2.0}, {1, 1, 1.0}, {3, 1, 0.5}, {3, 3, 1.0}};
    CHECK_FALSE(SparseCholesky::of(4, zero, &why).has_value());
    CHECK(why.column == 2);
    CHECK(why.pivot == 0);
    CHECK_FALSE(why.indefinite);
    const std::vector<Triplet> negative{{0, 0, 2.0}, {1, 1, -3.0}, {2, 2, 1.0}};
    CHECK_FALSE(SparseCholesky::of(3, negative, &why).has_value());
    CHECK(why.column == 1);
    CHECK(why.pivot < 0);
    CHECK(why.indefinite);
    // 1 2; 2 1: eigenvalues 3 and -1
    const std::vector<Triplet> indefinite{{0, 0, 1.0}, {1, 0, 2.0}, {1, 1, 1.0}};
    CHECK_FALSE(SparseCholesky::of(2, indefinite, &why).has_value());
    CHECK(near(why.pivot, -3, 1e-12, 0));
    CHECK_FALSE(SparseCholesky::of(2, indefinite).has_value());
    CHECK(why.indefinite);
    // distances alone leave three moves of the whole: on long grids rounding leaves 1e-10 of a pivot
    for (const auto& size : {std::pair{5, 4}, {9, 11}, {80, 2}, {200, 2}, {80, 40}}) {
      const int n = 2 * size.first * size.second;
      const auto free = test::normal_triplets(test::grid_rows(size.first, size.second, 0));
      CHECK_FALSE(SparseCholesky::of(n, free, &why).has_value());
      CHECK(std::fabs(why.pivot) < 1e-9);
      CHECK_FALSE(why.indefinite);
      // held by a millionth of a distance's weight it is definite
      const auto held = test::normal_triplets(test::grid_rows(size.first, size.second, 1e-6));
      CHECK(SparseCholesky::of(n, held).has_value());
      CHECK_FALSE(SparseCholesky::of(n, held, &why, 1e-3).has_value());
    }
  }

  TEST_CASE("shapes that do not fit are refused") {
    const std::vector<Triplet> good{{0, 0, 2.0}, {1, 1, 2.0}}, upper{{0, 1, 2.0}}, outside{{2, 0, 1.0}},
        below{{0, -1, 1.0}}, endless{{0, 0, std::numeric_limits<double>::infinity()}};
    CHECK_THROWS_AS(SparseCholesky::of(0, good), std::domain_error);
    for (const auto& bad : {upper, outside, below, endless})
      CHECK_THROWS_AS(SparseCholesky::of(2, bad), std::domain_error);
    const auto factor = SparseCholesky::of(2, good);
    const std::vector<double> three(3);
    CHECK_THROWS_AS(static_cast<void>(factor.value().solve(three)), std::domain_error);
    const std::vector<stats::Entry> far{{2, 1.0}};
    CHECK_THROWS_AS(static_cast<void>(factor.value().solve(far)), std::out_of_range);
    const auto z = factor.value().selected_inverse();
    for (int i : {-1, 2}) CHECK_THROWS_AS(static_cast<void>(z.at(0, i)), std::out_of_range);
  }
}
