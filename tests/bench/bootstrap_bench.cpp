// SPDX-License-Identifier: MIT
// Checks drawn anew like examples/readings/dock-long.csv (8 strips, 6 places, 3 readings) and fitted again.
//
//     build/bootstrap_bench [--work refit|bootstrap|plain] [--refits N] [--threads N] [--runs N]
//                           [--isa plain|avx2|avx512] [--readings FILE] [--less yes]
//
// refit: readings as drawn, one thread: widths read in steps, sums, three variances, corner error and ±;
// bootstrap: with the draws, on all threads; plain: as bootstrap, each check by fit_interval.
// --less yes: every other strip has a reading less at its first place and one place less.
// Prints the median of the runs, what one refit took and how many intervals held the truth; last the seconds,
// of one refit or of the bootstrap.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "check/lane_design.hpp"
#include "check/replicates.hpp"
#include "files/readings_file.hpp"
#include "files/text_file.hpp"
#include "stats/isa.hpp"
#include "stats/parts.hpp"

using namespace quarterturn;

namespace {

struct Work {
  std::string name = "bootstrap", readings = "examples/readings/dock-long.csv";
  std::size_t refits = 10'000;
  int threads = 0, runs = 9;
  bool less = false;
};

double seconds_of(const std::function<void()>& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// The refits alone: numbers are drawn before, as many as fit into a cache, and used again.
std::function<void()> refits_alone(const check::LaneDesign& design, const check::Fit& fit, std::size_t refits,
                                   std::vector<double>& numbers, check::LaneFits& fits) {
  const auto uniforms = static_cast<std::size_t>(design.uniforms()),
             each = uniforms + static_cast<std::size_t>(design.normals());
  constexpr std::size_t kDrawn = 64;
  numbers.resize(kDrawn * each);
  stats::Stream random(1, 0);
  for (std::size_t k = 0; k < kDrawn; ++k) {
    random.uniforms(std::span(numbers).subspan(k * each, uniforms));
    random.normals(std::span(numbers).subspan(k * each + uniforms, each - uniforms));
  }
  return [&design, &fit, &numbers, &fits, refits, each, uniforms] {
    const stats::Isa isa = stats::isa_in_use();
    const auto lanes = static_cast<std::size_t>(check::lanes_of(isa));
    check::LaneDraws draws;
    for (std::size_t c = 0; c < 3; ++c)
      draws.outside[c].fill(fit.scatter[c].estimate_mm * fit.scatter[c].estimate_mm);
    for (std::size_t done = 0; done < refits; done += lanes) {
      for (std::size_t l = 0; l < lanes; ++l) {
        draws.uniforms[l] = numbers.data() + (done + l) % kDrawn * each;
        draws.normals[l] = draws.uniforms[l] + uniforms;
      }
      check::fit_lanes(design, draws, fits, isa);
    }
  };
}

/// Every other strip has a reading less at its first place and one place less.
void make_uneven(check::Check& check) {
  for (std::size_t j = 0; j < check.strips.size(); j += 2) {
    check.strips[j].spots.front().readings.pop_back();
    check.strips[j].spots.pop_back();
  }
}

Work read(int count, char** words) {
  Work work;
  for (int i = 1; i + 1 < count; i += 2) {
    const std::string name = words[i], value = words[i + 1];
    if (name == "--work") work.name = value;
    if (name == "--readings") work.readings = value;
    if (name == "--less") work.less = value == "yes";
    if (name == "--refits") work.refits = std::stoul(value);
    if (name == "--threads") work.threads = std::stoi(value);
    if (name == "--runs") work.runs = std::stoi(value);
    if (name == "--isa")
      stats::use(value == "plain"  ? stats::Isa::plain
                 : value == "avx2" ? stats::Isa::avx2
                                   : stats::Isa::avx512);
  }
  return work;
}

}  // namespace

int main(int count, char** words) {
  const Work work = read(count, words);
  check::Check check = files::parse_readings(files::read_text(work.readings));
  if (work.less) make_uneven(check);
  const std::vector<check::Evidence> evidence{
      {check::Component::reading, 0.015 * 0.015, 8, check::Source::caliper, {}}};
  const check::Fit fit = check::fit(check, evidence);
  const check::Replicates replicates(check, evidence, fit, {}, 1);
  const auto design = check::lane_design(check, check::corners_of(check), evidence, fit, {});
  if (!design) return EXIT_FAILURE;
  std::vector<check::Replicate> all(work.refits);
  std::vector<double> numbers;
  check::LaneFits fits;
  constexpr std::size_t kPart = 128;
  std::function<void()> run = [&] {
    stats::in_parts((all.size() + kPart - 1) / kPart, work.threads, [&](std::size_t k) {
      const std::span<check::Replicate> part =
          std::span(all).subspan(k * kPart, std::min(kPart, all.size() - k * kPart));
      if (work.name == "plain") {
        for (std::size_t i = 0; i < part.size(); ++i) part[i] = replicates.by_itself(k * kPart + i);
      } else {
        replicates.fill(k * kPart, part);
      }
    });
  };
  if (work.name == "refit") run = refits_alone(*design, fit, work.refits, numbers, fits);
  std::vector<double> seconds;
  for (int k = 0; k < work.runs; ++k) seconds.push_back(seconds_of(run));
  std::ranges::sort(seconds);
  const double median = seconds[seconds.size() / 2];
  std::size_t held = 0, by_register = 0;
  for (const check::Replicate& one : all) {
    held += one.told && std::abs(one.eta - fit.eta.x) <= one.half_width ? 1 : 0;
    by_register += one.by_register ? 1 : 0;
  }
  std::printf(
      "%s: %zu refits, median %.3f ms (%.3f to %.3f), %.3f us a refit; held %zu, by register %zu, last "
      "%.6g\n",
      work.name.c_str(), work.refits, 1e3 * median, 1e3 * seconds.front(), 1e3 * seconds.back(),
      1e6 * median / static_cast<double>(work.refits), held, by_register, fits.half_width[0]);
  std::printf("seconds %.6g\n",
              work.name == "bootstrap" ? median : median / static_cast<double>(work.refits));
  return EXIT_SUCCESS;
}
