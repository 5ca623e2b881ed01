// SPDX-License-Identifier: MIT
#include "history/hypothesis_shapes.hpp"

#include <algorithm>
#include <utility>

namespace quarterturn::history {

std::size_t last(const Scene& scene) {
  return scene.checks.size() - 1;
}

std::vector<std::size_t> onsets(const Scene& scene) {
  std::vector<std::size_t> found;
  const auto good = scene.good();
  for (std::size_t i = good && scene.checks[*good].within ? *good + 1 : 0; i < scene.checks.size(); ++i)
    found.push_back(i);
  return found;
}

std::vector<std::size_t> few_onsets(const Scene& scene, std::size_t most) {
  auto all = onsets(scene);
  if (all.size() <= most) return all;
  std::vector<std::size_t> some;
  for (std::size_t k = 0; k < most; ++k) some.push_back(all[(k + 1) * all.size() / most - 1]);
  return some;
}

bool nothing(const std::vector<double>& x) {
  return std::ranges::all_of(x, [](double value) { return value == 0; });
}

double on_rail(const Scene& scene, const Seen& seen) {
  return seen.rail_pair == scene.checks.back().rail_pair ? seen.per_rail : 0.0;
}
double on_fence(const Scene& scene, const Seen& seen) {
  return seen.fence_pair == scene.checks.back().fence_pair ? seen.per_fence : 0.0;
}

Hypothesis until_put_in_anew(const Scene& scene, std::size_t since, bool rail, double sd) {
  const int insertion = scene.checks[since].insertion;
  Hypothesis h;
  h.x = column(scene, since, [&](const Seen& seen) {
    if (seen.insertion != insertion) return 0.0;
    return rail ? on_rail(scene, seen) : on_fence(scene, seen);
  });
  h.sd = sd;
  h.target = rail ? scene.checks.back().rail_pair : scene.checks.back().fence_pair;
  h.since = since;
  return h;
}

double share_of(const Seen& seen, std::size_t part) {
  double per = 0;
  for (const auto& share : seen.shares) per += share.part == part ? share.per : 0;
  return per;
}

bool touches_newest(const Scene& scene, const Hypothesis& h) {
  for (std::size_t i = 0; i < h.x.size(); ++i) {
    if (h.x[i] != 0 && scene.checks[i].setup == scene.checks.back().setup) return true;
  }
  return false;
}

std::vector<Hypothesis> parts_at_fault(const Scene& scene, PartKind kind, double sd, Begins begins) {
  std::vector<Hypothesis> list;
  const auto from = onsets(scene);
  for (std::size_t k = 0; k < scene.parts.size(); ++k) {
    if (scene.parts[k].kind != kind) continue;
    const auto add = [&](std::size_t since) {
      Hypothesis h;
      h.x = column(scene, since, [&](const Seen& seen) { return share_of(seen, k); });
      if (!touches_newest(scene, h)) return;
      h.sd = sd;
      h.target = scene.parts[k].name;
      h.since = since;
      list.push_back(std::move(h));
    };
    add(0);
    for (const std::size_t since : from) {
      if (since == 0) continue;
      const bool anew = scene.checks[since].insertion != scene.checks[since - 1].insertion;
      if (begins == Begins::any_time || anew) add(since);
    }
  }
  return list;
}

}  // namespace quarterturn::history
