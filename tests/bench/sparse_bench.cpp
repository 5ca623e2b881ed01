// SPDX-License-Identifier: MIT
/// \file sparse_bench.cpp
/// Time of a sparse factor and of the selected inverse for grids of distances, for the table of
/// src/METHOD.md.
///
///     build/sparse_bench [seconds a figure, 0.3]
///
/// Where CHOLMOD was found when this was built, it factors the same matrices, and solves for all columns of
/// the inverse, which is what there is to do without (M101).
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#ifdef QUARTERTURN_HAVE_CHOLMOD
#include <suitesparse/cholmod.h>
#endif

#include "stats/sparse_cholesky.hpp"
#include "support/sparse_cases.hpp"

using namespace quarterturn;

namespace {

constexpr double kHold = 0.09;  ///< (0.03/0.1)^2: scatter of a distance over that of a node

/// Median of processor time [ms] over as many runs as fit, three at least.
double median_ms(double seconds, const std::function<void()>& run) {
  std::vector<double> times;
  double total = 0;
  while (times.size() < 3 || total < 1000 * seconds) {
    const std::clock_t start = std::clock();
    run();
    times.push_back(1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
    total += times.back() + 1e-3;  // a clock that stands still must not keep this going
  }
  std::nth_element(times.begin(), times.begin() + static_cast<std::ptrdiff_t>(times.size() / 2), times.end());
  return times[times.size() / 2];
}

struct Peer {
  double factor_ms = 0, columns_ms = 0;
  std::vector<double> diagonal;  ///< of the inverse
};

#ifdef QUARTERTURN_HAVE_CHOLMOD
/// All columns of the inverse, 64 at a time; the diagonal is kept.
std::vector<double> by_columns(int n, cholmod_factor* factor, cholmod_common& common) {
  std::vector<double> diagonal;
  for (int first = 0; first < n; first += 64) {
    const int wide = std::min(64, n - first);
    cholmod_dense* b =
        cholmod_zeros(static_cast<std::size_t>(n), static_cast<std::size_t>(wide), CHOLMOD_REAL, &common);
    for (int c = 0; c < wide; ++c) static_cast<double*>(b->x)[c * n + first + c] = 1;
    cholmod_dense* x = cholmod_solve(CHOLMOD_A, factor, b, &common);
    for (int c = 0; c < wide; ++c) diagonal.push_back(static_cast<double*>(x->x)[c * n + first + c]);
    cholmod_free_dense(&b, &common);
    cholmod_free_dense(&x, &common);
  }
  return diagonal;
}

std::optional<Peer> peer(int n, const std::vector<stats::Triplet>& lower, double seconds) {
  cholmod_common common;
  cholmod_start(&common);
  cholmod_triplet* t = cholmod_allocate_triplet(static_cast<std::size_t>(n), static_cast<std::size_t>(n),
                                                lower.size(), -1, CHOLMOD_REAL, &common);
  for (std::size_t i = 0; i < lower.size(); ++i) {
    static_cast<int*>(t->i)[i] = lower[i].row;
    static_cast<int*>(t->j)[i] = lower[i].column;
    static_cast<double*>(t->x)[i] = lower[i].value;
  }
  t->nnz = lower.size();
  Peer out;
  cholmod_factor* factor = nullptr;
  out.factor_ms = median_ms(seconds, [&] {
    if (factor != nullptr) cholmod_free_factor(&factor, &common);
    cholmod_sparse* a = cholmod_triplet_to_sparse(t, lower.size(), &common);
    factor = cholmod_analyze(a, &common);
    cholmod_factorize(a, factor, &common);
    cholmod_free_sparse(&a, &common);
  });
  out.columns_ms = median_ms(seconds, [&] { out.diagonal = by_columns(n, factor, common); });
  cholmod_free_factor(&factor, &common);
  cholmod_free_triplet(&t, &common);
  cholmod_finish(&common);
  return out;
}
#else
std::optional<Peer> peer(int, const std::vector<stats::Triplet>&, double) {
  return std::nullopt;
}
#endif

void row(int columns, int rows, double seconds) {
  const int n = 2 * columns * rows;
  const auto lower = test::normal_triplets(test::grid_rows(columns, rows, kHold));
  std::optional<stats::SparseCholesky> factor;
  std::optional<stats::SelectedInverse> z;
  const double factor_ms = median_ms(seconds, [&] { factor = stats::SparseCholesky::of(n, lower); });
  const double inverse_ms = median_ms(seconds, [&] { z = factor.value().selected_inverse(); });
  std::printf("| %dx%d | %d | %zu | %.2f | %.2f |", columns, rows, n, z->stored(), factor_ms, inverse_ms);
  if (const auto other = peer(n, lower, seconds)) {
    double worst = 0;
    for (int i = 0; i < n; ++i)
      worst = std::max(worst, std::fabs(z->diagonal(i) / other->diagonal[static_cast<std::size_t>(i)] - 1));
    std::printf(" %.2f | %.1f | %.0e |\n", other->factor_ms, other->columns_ms, worst);
  } else {
    std::printf(" – | – | – |\n");
  }
  std::fflush(stdout);
}

}  // namespace

int main(int argc, char** argv) {
  const double seconds = argc > 1 ? std::atof(argv[1]) : 0.3;
  std::printf(
      "| grid | unknowns | elements of L | factor | selected inverse | CHOLMOD: factor | all columns | "
      "differ |\n"
      "| --- | --- | --- | --- | --- | --- | --- | --- |\n");
  for (const auto& size : {std::pair{10, 5}, {9, 11}, {20, 10}, {40, 20}, {60, 30}, {80, 40}})
    row(size.first, size.second, seconds);
}
