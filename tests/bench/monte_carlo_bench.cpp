// SPDX-License-Identifier: MIT
// Trials of the propagation of distributions, every draw really made: a check of 8 strips, 6 spots and 3
// readings as 160 normal sources (144 readings, 16 of seating) and 144 rectangular ones (each reading
// rounded), put together linearly; its shortest interval.
//
//     build/monte_carlo_bench [--trials N] [--threads N] [--isa plain|avx2|avx512] [--runs N]
//
// Prints the median and what came out, and last the seconds of a run.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <span>
#include <string>
#include <vector>

#include "stats/isa.hpp"
#include "stats/monte_carlo.hpp"

using namespace quarterturn;

namespace {

constexpr int kNormals = 160, kUniforms = 144;
/// Sensitivities of an invented check; the peers' scripts have the same.
struct Sensitivities {
  std::array<double, kNormals> normal;
  std::array<double, kUniforms> uniform;
};
Sensitivities sensitivities() {
  Sensitivities c;
  for (int i = 0; i < kNormals; ++i)
    c.normal[static_cast<std::size_t>(i)] = 0.002 * (1 + 0.5 * std::cos(0.7 * i));
  for (int i = 0; i < kUniforms; ++i)
    c.uniform[static_cast<std::size_t>(i)] = 0.001 * (1 + 0.5 * std::sin(0.3 * i));
  return c;
}

void trials(const Sensitivities& c, stats::Stream& random, std::span<double> y) {
  std::ranges::fill(y, 0.0);
  for (const double factor : c.normal) random.add_normals(factor, y);
  for (const double factor : c.uniform) random.add_uniforms(-factor, factor, y);
}

}  // namespace

int main(int count, char** words) {
  stats::MonteCarloOptions options;
  options.most_trials = 1'000'000;
  options.steady = stats::Coverage::shortest;
  options.tolerance_share = 1e-9;  // all of them
  int runs = 9;
  for (int i = 1; i + 1 < count; i += 2) {
    const std::string name = words[i], value = words[i + 1];
    if (name == "--trials") options.most_trials = std::stoul(value);
    if (name == "--threads") options.threads = std::stoi(value);
    if (name == "--runs") runs = std::stoi(value);
    if (name == "--isa")
      stats::use(value == "plain"  ? stats::Isa::plain
                 : value == "avx2" ? stats::Isa::avx2
                                   : stats::Isa::avx512);
  }
  const Sensitivities c = sensitivities();
  const auto model = [&c](stats::Stream& random, std::span<double> y) { trials(c, random, y); };
  std::vector<double> seconds;
  stats::MonteCarlo told;
  for (int k = 0; k < runs; ++k) {
    const auto start = std::chrono::steady_clock::now();
    told = stats::monte_carlo(model, options);
    seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  std::ranges::sort(seconds);
  const double median = seconds[seconds.size() / 2];
  std::printf(
      "monte carlo: %zu trials, median %.4f s (%.4f to %.4f), %.2f million a second; u %.9g, shortest %.9g "
      "to %.9g\n",
      told.trials, median, seconds.front(), seconds.back(), 1e-6 * static_cast<double>(told.trials) / median,
      told.u, told.shortest.low, told.shortest.high);
  std::printf("seconds %.6g\n", median);
  return EXIT_SUCCESS;
}
