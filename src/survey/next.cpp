// SPDX-License-Identifier: MIT
#include "survey/next.hpp"

#include "survey/greedy.hpp"

namespace quarterturn::survey {
namespace {

std::vector<Suggestion> suggest(const Adjustment& adjustment, const Wanted& wanted,
                                const std::vector<Candidate>& list, int how_many) {
  std::vector<Suggestion> out;
  if (list.empty()) return out;
  const Known known{
      adjustment.station(),          adjustment.observations(),          adjustment.model().terms(),
      adjustment.components().theta, adjustment.options().caliper_scale, adjustment.options().set_aside};
  Greedy greedy(known, list, wanted);
  Known after = known;
  while (static_cast<int>(out.size()) < how_many) {
    const std::optional<std::size_t> best = greedy.best();
    if (!best) break;
    greedy.take(*best);
    after.made.push_back(list[*best].observation);
    out.push_back({list[*best], u_of(after, wanted)});
  }
  return out;
}

}  // namespace

std::vector<Suggestion> next_observations(const Adjustment& adjustment, const Functional& wanted,
                                          const std::vector<Candidate>& candidates, int how_many) {
  return suggest(
      adjustment, [&](const MixedModel& model) { return model.row_of(wanted); }, candidates, how_many);
}

std::vector<Suggestion> next_observations(const Adjustment& adjustment, Effect wanted,
                                          const std::vector<Candidate>& candidates, int how_many) {
  return suggest(
      adjustment, [&](const MixedModel& model) { return model.row_of(wanted); }, candidates, how_many);
}

}  // namespace quarterturn::survey
