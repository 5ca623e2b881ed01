// SPDX-License-Identifier: MIT
#include "correct/shims.hpp"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace quarterturn::correct {
namespace {

using station::Shim;

Stack stack_of(std::span<const Shim> shims, const std::vector<int>& counts) {
  Stack stack;
  double variance = 0;
  for (const bool hard : {true, false}) {
    for (std::size_t i = 0; i < shims.size(); ++i) {
      if (counts[i] == 0 || shims[i].hard != hard) continue;
      if (stack.parts.empty()) stack.first_layer_mm = shims[i].layer.mm();
      stack.parts.push_back({shims[i].name, counts[i]});
      stack.thickness_mm += counts[i] * shims[i].layer.mm();
      variance += std::pow(counts[i] * shims[i].uncertainty.mm(), 2);
      stack.layers += counts[i];
      if (!hard) stack.soft_layers += counts[i];
    }
  }
  stack.u_mm = std::sqrt(variance);
  return stack;
}

/// What is compared of a stack, without building it: there may be a hundred thousand.
struct Candidate {
  double off_mm = 0;
  int layers = 0, soft = 0;
  std::vector<int> counts;
};

/// Visits every way to take at most kMostLayers layers and no more of a shim than is owned.
template <typename Visit>
void each_stack(std::span<const Shim> shims, std::size_t from, double thickness_mm, int layers, int soft,
                std::vector<int>& counts, const Visit& visit) {
  if (layers > 0) visit(thickness_mm, layers, soft, counts);
  for (std::size_t i = from; i < shims.size() && layers < kMostLayers; ++i) {
    if (counts[i] == shims[i].layers) continue;
    ++counts[i];
    each_stack(shims, i, thickness_mm + shims[i].layer.mm(), layers + 1, soft + (shims[i].hard ? 0 : 1),
               counts, visit);
    --counts[i];
  }
}

}  // namespace

std::optional<Stack> nearest_stack(std::span<const Shim> owned, double target_mm) {
  const auto shims = owned.first(std::min(owned.size(), kMostKinds));
  std::vector<int> counts(shims.size(), 0);
  Candidate best{target_mm, 0, 0, {}};
  each_stack(shims, 0, 0, 0, 0, counts,
             [&](double thickness_mm, int layers, int soft, const std::vector<int>& now) {
               const double off = std::fabs(thickness_mm - target_mm);
               if (off < best.off_mm) best = {off, layers, soft, now};
             });
  if (best.layers == 0) return std::nullopt;
  // A stack of hard shims that is not told apart from the nearest one does not creep.
  const double good_mm = std::min(best.off_mm + stack_of(shims, best.counts).u_mm, target_mm);
  each_stack(
      shims, 0, 0, 0, 0, counts, [&](double thickness_mm, int layers, int soft, const std::vector<int>& now) {
        const double off = std::fabs(thickness_mm - target_mm);
        const auto rank = [](bool has_soft, double off_mm, int n) { return std::tuple(has_soft, off_mm, n); };
        if (off < good_mm && rank(soft > 0, off, layers) < rank(best.soft > 0, best.off_mm, best.layers)) {
          best = {off, layers, soft, now};
        }
      });
  return stack_of(shims, best.counts);
}

}  // namespace quarterturn::correct
