// SPDX-License-Identifier: MIT
#include "stats/monte_carlo.hpp"

#include <algorithm>
#include <cmath>
#include <condition_variable>
#include <exception>
#include <functional>
#include <mutex>
#include <optional>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

namespace quarterturn::stats {
namespace {

constexpr std::size_t kMostTrials = 1'000'000'000;
constexpr int kMostDigits = 9;

std::domain_error refused(const std::string& why) {
  return std::domain_error("monte carlo: " + why);
}

bool inside(double coverage) {
  return coverage > 0 && coverage < 1;
}

/// Mean and sum of squares about it, put together without losing digits.
struct Moments {
  double n = 0, mean = 0, ss = 0;

  void add(const Moments& other) {
    const double total = n + other.n, step = other.mean - mean;
    mean += step * (other.n / total);
    ss += other.ss + step * step * (n * other.n / total);
    n = total;
  }
  void add(double x) { add(Moments{1, x, 0}); }
  [[nodiscard]] double sd() const { return std::sqrt(ss / (n - 1)); }
  [[nodiscard]] double twice_sd_of_mean() const { return 2 * sd() / std::sqrt(n); }
};

Moments moments_of(std::span<const double> x) {
  Moments m{static_cast<double>(x.size()), 0, 0};
  for (const double value : x) m.mean += value - x.front();  // about the first: a constant has no scatter
  m.mean = x.front() + m.mean / m.n;
  for (const double value : x) m.ss += (value - m.mean) * (value - m.mean);
  return m;
}

/// A block of trials and what it tells by itself.
struct Block {
  std::vector<double> trials;
  std::vector<Moments> streams;  ///< of each stream, so that the pooled sums do not depend on the block
  std::array<double, 4> told{};  ///< mean, u, low, high
};

Block make_block(const TrialModel& model, const MonteCarloOptions& options, std::size_t size,
                 std::size_t index) {
  Block block;
  block.trials.resize(size);
  const std::size_t streams = size / kTrialsAStream;
  Moments all;
  for (std::size_t k = 0; k < streams; ++k) {
    const std::span<double> out(block.trials.data() + k * kTrialsAStream, kTrialsAStream);
    Stream random(options.seed, index * streams + k);
    model(random, out);
    if (!std::ranges::all_of(out, [](double y) { return std::isfinite(y); }))
      throw refused("the model gave a trial that is not finite");
    block.streams.push_back(moments_of(out));
    all.add(block.streams.back());
  }
  const CoverageIntervals both = coverage_intervals(block.trials, options.coverage);
  const CoverageInterval& ends = options.steady == Coverage::symmetric ? both.symmetric : both.shortest;
  block.told = {all.mean, all.sd(), ends.low, ends.high};
  return block;
}

/// Blocks in their order, made ahead by threads of their own. A block depends on its number only, so who
/// makes it cannot be seen in the result.
class Crew {
 public:
  Crew(std::function<Block(std::size_t)> make, std::size_t most, int threads)
      : make_(std::move(make)), most_(most) {
    const std::size_t asked =
        threads > 0 ? static_cast<std::size_t>(threads) : std::max(1U, std::thread::hardware_concurrency());
    const std::size_t count = std::min(asked, most);
    if (count < 2) return;
    made_.resize(2 * count + 1);  // so that none waits for what is done with the blocks in between
    threads_.reserve(count);
    try {
      while (threads_.size() < count) threads_.emplace_back([this] { work(); });
    } catch (const std::exception&) {
      // No more threads to be had: those that there are do it, or who takes the blocks.
    }
  }
  Crew(const Crew&) = delete;
  Crew& operator=(const Crew&) = delete;
  ~Crew() {
    {
      const std::lock_guard lock(mutex_);
      most_ = 0;
    }
    room_.notify_all();
    for (std::thread& thread : threads_) thread.join();
  }

  /// The next block. \throws what the model threw in it
  Block take() {
    std::unique_lock lock(mutex_);
    const std::size_t index = taken_++;
    if (threads_.empty()) return make_(index);
    room_.notify_one();
    std::optional<Made>& slot = made_[index % made_.size()];
    ready_.wait(lock, [&] { return slot.has_value(); });
    Made made = std::move(*slot);
    slot.reset();
    lock.unlock();
    if (made.thrown) std::rethrow_exception(made.thrown);
    return std::move(made.block);
  }

 private:
  struct Made {
    Block block;
    std::exception_ptr thrown;
  };

  void work() {
    std::unique_lock lock(mutex_);
    for (;;) {
      room_.wait(lock, [&] { return next_ >= most_ || next_ + 1 < taken_ + made_.size(); });
      if (next_ >= most_) return;
      const std::size_t index = next_++;
      lock.unlock();
      Made made;
      try {
        made.block = make_(index);
      } catch (...) {
        made.thrown = std::current_exception();
      }
      lock.lock();
      made_[index % made_.size()] = std::move(made);
      ready_.notify_one();
    }
  }

  const std::function<Block(std::size_t)> make_;
  std::mutex mutex_;  // of all that follows but the threads
  std::condition_variable room_, ready_;
  std::size_t most_, next_ = 0, taken_ = 0;
  /// Block i in place i mod the size, from when it is made until it is taken.
  std::vector<std::optional<Made>> made_;
  std::vector<std::thread> threads_;
};

// (M86) a block holds 100/(1 - p) trials or more
std::size_t block_size(const MonteCarloOptions& options) {
  const double least = std::ceil(100 / (1 - options.coverage) - 1e-6);
  if (options.block > kMostTrials || !(least <= static_cast<double>(kMostTrials)))
    throw refused("a block holds 10^9 trials at most");
  const std::size_t size = std::max({options.block, static_cast<std::size_t>(least), std::size_t{1}});
  return (size + kTrialsAStream - 1) / kTrialsAStream * kTrialsAStream;
}

void hold(const TrialModel& model, const MonteCarloOptions& options) {
  if (!model) throw refused("no model");
  if (!inside(options.coverage)) throw refused("the coverage must lie between 0 and 1");
  if (options.significant_digits < 1 || options.significant_digits > kMostDigits)
    throw refused("significant digits must be 1 to 9");
  if (!(options.tolerance_share > 0) || !std::isfinite(options.tolerance_share))
    throw refused("the share of the tolerance must be above 0");
  if (options.threads < 0) throw refused("threads must not be below 0");
  if (options.least_blocks < 2) throw refused("two blocks are the least that show a scatter");
  if (options.most_trials > kMostTrials) throw refused("10^9 trials are the most that are kept");
  if (options.most_trials / block_size(options) < options.least_blocks)
    throw refused("the most trials must hold " + std::to_string(options.least_blocks) + " blocks of " +
                  std::to_string(block_size(options)));
}

}  // namespace

MonteCarlo monte_carlo(const TrialModel& model, const MonteCarloOptions& options) {
  hold(model, options);
  const std::size_t size = block_size(options), most = options.most_trials / size;
  Crew crew([&](std::size_t index) { return make_block(model, options, size, index); }, most,
            options.threads);
  MonteCarlo result;
  Moments pooled;
  std::array<Moments, 4> between;
  std::vector<std::vector<double>> kept;
  // (M86) blocks in their order, until twice the standard deviation of each of the four means is within delta
  while (kept.size() < most && !result.converged) {
    Block block = crew.take();
    kept.push_back(std::move(block.trials));
    for (const Moments& stream : block.streams) pooled.add(stream);
    for (std::size_t q = 0; q < between.size(); ++q) between[q].add(block.told[q]);
    if (options.progress) options.progress(kept.size() * size);
    if (kept.size() < options.least_blocks) continue;
    result.delta = numerical_tolerance(pooled.sd(), options.significant_digits);
    std::ranges::transform(between, result.twice_s.begin(), &Moments::twice_sd_of_mean);
    result.converged = std::ranges::max(result.twice_s) <= options.tolerance_share * result.delta;
  }

  result.trials = kept.size() * size;
  const CoverageIntervals ends = coverage_intervals_together(kept, options.coverage, options.threads);
  result.mean = pooled.mean;
  result.u = pooled.sd();
  result.symmetric = ends.symmetric;
  result.shortest = ends.shortest;
  return result;
}

double numerical_tolerance(double u, int digits) {
  if (!std::isfinite(u) || u < 0) throw refused("a standard uncertainty must be finite and not below 0");
  if (digits < 1 || digits > kMostDigits) throw refused("significant digits must be 1 to 9");
  if (u == 0) return 0;
  // (M86) u = c 10^l with a whole c of so many digits; rounding up may give c one digit more
  int l = static_cast<int>(std::floor(std::log10(u))) - digits + 1;
  if (std::round(u / std::pow(10.0, l)) >= std::pow(10.0, digits)) ++l;
  return 0.5 * std::pow(10.0, l);
}

// (M87) neither end may differ by more than delta
Validation validate_interval(CoverageInterval budget, CoverageInterval trials, double u, int digits) {
  Validation v{numerical_tolerance(u, digits), std::fabs(budget.low - trials.low),
               std::fabs(budget.high - trials.high), false};
  v.valid = v.d_low <= v.delta && v.d_high <= v.delta;
  return v;
}

}  // namespace quarterturn::stats
