// SPDX-License-Identifier: MIT
// What is computed by a shorter way is the same as by the plain one.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <utility>
#include <vector>

#include "stats/bordered.hpp"
#include "stats/change_point.hpp"
#include "stats/charts.hpp"
#include "stats/distributions.hpp"
#include "stats/meta_analysis.hpp"
#include "stats/normal_score.hpp"
#include "stats/streams.hpp"
#include "support/bench_survey.hpp"
#include "support/near.hpp"
#include "support/sparse_cases.hpp"

using namespace quarterturn;
using stats::Entry;

namespace {

struct Series {
  std::vector<double> y, v, x;
};

/// \param far  how many powers of ten the variances reach over
Series series_of(std::size_t n, double between, double far, std::uint64_t seed) {
  stats::Stream random(seed, 0);
  Series s;
  for (std::size_t i = 0; i < n; ++i) {
    s.v.push_back(std::pow(10.0, far * (static_cast<double>(i * 7 % n) / static_cast<double>(n) - 1)));
    s.x.push_back(static_cast<double>(i) + 0.3 * random.normal());
    s.y.push_back(3 + 0.01 * s.x.back() + random.normal() * std::sqrt(s.v.back() + between));
  }
  return s;
}

/// (M55) term by term, with one long sum after another. \param line  a slope over x as well
double plain_minus_log(const Series& s, double tau2, bool line) {
  using Long = long double;
  Long total = 0, mean = 0, centre = 0, sxx = 0, sxy = 0, rss = 0, logs = 0;
  const auto w = [&](std::size_t i) { return 1 / (static_cast<Long>(s.v[i]) + tau2); };
  for (std::size_t i = 0; i < s.y.size(); ++i) total += w(i);
  for (std::size_t i = 0; i < s.y.size(); ++i) mean += w(i) * s.y[i] / total;
  for (std::size_t i = 0; i < s.y.size(); ++i) centre += w(i) * s.x[i] / total;
  for (std::size_t i = 0; i < s.y.size(); ++i) sxx += w(i) * (s.x[i] - centre) * (s.x[i] - centre);
  for (std::size_t i = 0; i < s.y.size(); ++i) sxy += w(i) * (s.x[i] - centre) * (s.y[i] - mean);
  for (std::size_t i = 0; i < s.y.size(); ++i) {
    const Long r = s.y[i] - mean - (line ? sxy / sxx * (s.x[i] - centre) : 0);
    rss += w(i) * r * r;
    logs -= std::log(w(i));
  }
  return static_cast<double>(0.5L * (logs + std::log(total) + (line ? std::log(sxx) : 0) + rss));
}

}  // namespace

TEST_SUITE_BEGIN("stats");

TEST_CASE("the variance between values, of sums four at once, is where the plain likelihood is highest") {
  for (const std::size_t n : {3U, 4U, 5U, 6U, 7U, 50U, 401U, 1003U}) {
    for (const double far : {0.5, 4.0, 40.0}) {
      for (const bool line : {false, true}) {
        const Series s = series_of(n, 0.5, far, 11 + n);
        const std::span<const double> x = line ? std::span<const double>(s.x) : std::span<const double>();
        const double tau2 = stats::between_variance(s.y, s.v, x);
        CAPTURE(n);
        CAPTURE(far);
        CAPTURE(tau2);
        const auto at = [&](double one) { return plain_minus_log(s, one, line); };
        const double here = at(tau2);
        // Its slope at the place, held to its curvature there.
        const double step = std::max(1e-3 * tau2, 1e-9);
        if (tau2 == 0) {
          CHECK(at(step) >= here);
          continue;
        }
        const double up = at(tau2 + step), down = at(tau2 - step);
        CHECK(up > here);
        CHECK(down > here);
        CHECK(std::fabs(up - down) < 0.01 * (up + down - 2 * here));
      }
    }
  }
}

TEST_CASE("places of a step are those that all of the odds give, taken one by one") {
  for (const std::size_t n : {3U, 20U, 500U, 4000U}) {
    for (const double size : {0.0, 0.2, 3.0}) {
      Series s = series_of(n, 0.0, 0.5, 5 + n);
      for (std::size_t i = n / 3; i < n; ++i) s.y[i] += size;
      const auto found = stats::largest_step(s.y, s.v);
      // (M66) (W_k (W - W_k))^-1/2 (Q - z^2)^-(n-2)/2
      double total = 0, sum = 0, q = 0;
      for (std::size_t i = 0; i < n; ++i) total += 1 / s.v[i];
      for (std::size_t i = 0; i < n; ++i) sum += s.y[i] / s.v[i] / total;
      for (std::size_t i = 0; i < n; ++i) q += (s.y[i] - sum) * (s.y[i] - sum) / s.v[i];
      std::vector<std::pair<double, std::size_t>> odds;
      double weight = 0, deviation = 0;
      for (std::size_t k = 1; k < n; ++k) {
        weight += 1 / s.v[k - 1];
        deviation += (s.y[k - 1] - sum) / s.v[k - 1];
        const double information = weight * (total - weight) / total;
        odds.emplace_back(
            -0.5 * std::log(information) -
                0.5 * (static_cast<double>(n) - 2) * std::log(q - deviation * deviation / information),
            k);
      }
      std::sort(odds.rbegin(), odds.rend());
      double all = 0, held = 0;
      std::size_t first = n, last = 0;
      for (const auto& place : odds) all += std::exp(place.first - odds[0].first);
      for (const auto& place : odds) {
        if (held >= 0.95 * all) break;
        held += std::exp(place.first - odds[0].first);
        first = std::min(first, place.second);
        last = std::max(last, place.second);
      }
      CAPTURE(n);
      CAPTURE(size);
      CHECK(found.first == first);
      CHECK(found.last == last);
    }
  }
}

TEST_CASE("the limit of the chart is that of the whole power, also where none is taken") {
  for (const double lambda : {0.05, 0.2, 0.9})
    for (int i = 1; i < 900; i += 3)
      CHECK(stats::ewma_limit(1.5, lambda, 3, i) ==
            3 * 1.5 * std::sqrt(lambda / (2 - lambda) * (1 - std::pow(1 - lambda, 2 * i))));
}

TEST_CASE("a probability too small for a number has the score of the smallest that is told: 1e-300") {
  const double score = stats::normal_score(1000, 1e5);
  CHECK(test::near(0.5 * std::erfc(score / std::sqrt(2.0)), 1e-300, 0.01, 0));
}

TEST_CASE("the score of many degrees of freedom is the normal quantile of Student's probability") {
  int near_ones = 0;
  for (const double dof : {5.0, 60.0, 500.0, 1000.0, 3000.0, 20000.0, 1e5}) {
    for (const double t : {0.01, 0.3, 1.0, 1.7, 2.5, 3.5, 5.0, 8.0}) {
      const double plain = -stats::normal_quantile(stats::t_probability(-t, dof));
      CHECK(test::near(stats::normal_score(t, dof), plain, 1e-12, 1e-14));
      CHECK(stats::normal_score(-t, dof) == -stats::normal_score(t, dof));
      near_ones += std::fabs(plain - t) < 1e-3;
    }
  }
  CHECK(near_ones > 20);  // that the expansion had its turn
}

TEST_CASE("variances by half solutions and by the selected inverse are those of whole solutions") {
  const test::BenchSurvey survey = test::bench_survey(20, 10);
  const stats::Network network = test::bench_network(survey);
  std::vector<stats::Triplet> lower;
  std::vector<Entry> row;
  for (std::size_t i = 0; i < survey.distances.size(); ++i) {
    network.model(static_cast<int>(i), network.start, row);
    for (const Entry& a : row)
      for (const Entry& b : row)
        if (a.index >= b.index) lower.push_back({a.index, b.index, a.value * b.value});
  }
  std::vector<double> border;
  for (const auto& column : network.datum) border.insert(border.end(), column.begin(), column.end());
  const auto normal = stats::BorderedCholesky::of(survey.unknowns(), lower, border);
  REQUIRE(normal);
  const stats::BorderedInverse selected = normal->selected_inverse();
  const auto plain = [&](std::span<const Entry> a, std::span<const Entry> b) {
    std::vector<double> right(static_cast<std::size_t>(survey.unknowns()) + 3);
    for (const Entry& e : b) right[static_cast<std::size_t>(e.index)] += e.value;
    const std::vector<double> solved = normal->solve(right);
    double sum = 0;
    for (const Entry& e : a) sum += e.value * solved[static_cast<std::size_t>(e.index)];
    return sum;
  };
  const auto far = test::bench_angles(survey, true), next = test::bench_angles(survey, false);
  for (std::size_t i = 0; i < far.size(); i += 7) {
    const double of_far = plain(far[i], far[i]), of_next = plain(next[i], next[i]);
    CHECK(test::near(normal->bilinear(far[i], far[i]), of_far, 1e-10, 0));
    CHECK(test::near(normal->bilinear(next[i], next[i]), of_next, 1e-10, 0));
    CHECK(test::near(normal->bilinear(far[i], next[i]), plain(far[i], next[i]), 0,
                     1e-10 * std::sqrt(of_far * of_next)));
    CHECK_FALSE(selected.bilinear(far[i], far[i]));
    const auto of_pattern = selected.bilinear(next[i], next[i]);
    REQUIRE(of_pattern);
    CHECK(test::near(*of_pattern, of_next, 1e-9, 0));
  }
}

TEST_SUITE_END();
