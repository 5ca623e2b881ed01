// SPDX-License-Identifier: MIT
#include "history/hypotheses.hpp"

#include "history/hypothesis_shapes.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <optional>
#include <set>
#include <string>
#include <utility>

namespace quarterturn::history {
namespace {

// Standard deviations of what goes wrong [mm]; common practice, no source.
constexpr double kGapMm = 0.3, kChipMm = 0.15, kLooseMm = 0.2, kShiftedMm = 0.7, kBadHoleMm = 0.4;
constexpr double kWrongSizeMm = 0.2, kLeanMm = 0.2, kBentMm = 0.15, kWearMm = 0.3, kReadingMm = 0.3,
                 kDigitMm = 3, kLeastOffMm = 0.01;
constexpr double kWrongPlayMm = 0.25, kSlipMm = 0.06;
// [rad]: 0.6 mm and 0.24 mm over 600 mm
constexpr double kSquareRad = 1e-3, kMoistRad = 4e-4;
constexpr double kHandRad = 1.5e-4;
constexpr double kYear = 365.25, kDryDays = 60;
constexpr std::size_t kFewOnsets = 8;  // where each costs a factor of its own

}  // namespace

/// Off the near dog the line turns as if the far one came nearer.
List of_rail_off_dog(const Scene& scene) {
  List list;
  const std::string& pair = scene.checks.back().rail_pair;
  const auto between = pair.find(kAnd);
  for (const std::size_t since : onsets(scene)) {
    for (const bool near : {true, false}) {
      auto h = until_put_in_anew(scene, since, true, kGapMm);
      h.mean = near ? -kGapMm : kGapMm;
      h.shown_by = near ? "paper-near" : "paper-far";
      if (between != std::string::npos)
        h.target = near ? pair.substr(0, between) : pair.substr(between + kAnd.size());
      list.push_back(std::move(h));
    }
  }
  return list;
}

List of_bad_reading(const Scene& scene) {
  List list;
  // No digit slipped by more than the others of its spot let it be; a whole end may be read amiss.
  const auto& off = scene.checks.back().most_off_mm;
  for (const auto& [sd, weight] : {std::pair(kReadingMm, 2.0), std::pair(kDigitMm, 1.0)}) {
    Hypothesis h;
    h.since = last(scene);
    h.x = column(scene, h.since, [](const Seen& seen) { return seen.per_reading; });
    h.sd = sd == kReadingMm ? sd : std::min(sd, std::max(off.value_or(sd), kLeastOffMm));
    h.weight = weight;
    list.push_back(std::move(h));
  }
  return list;
}

namespace {
/// Mean of eps as the table stood, from the checks since the last good one, of the newest one's setup.
std::optional<std::pair<double, double>> level_before(const Scene& scene) {
  double weight = 0, sum = 0;
  const auto good = scene.good();
  for (std::size_t i = good.value_or(0); i + 1 < scene.checks.size(); ++i) {
    const auto& seen = scene.checks[i];
    if (seen.setup != scene.checks.back().setup) continue;
    weight += 1 / (seen.u * seen.u);
    sum += seen.eps / (seen.u * seen.u);
  }
  if (weight == 0) return std::nullopt;
  return std::pair(sum / weight, std::sqrt(1 / weight));
}
}  // namespace

/// A check that mirrors what was to be expected.
List of_swapped_ends(const Scene& scene) {
  const auto level = level_before(scene);
  if (!level || std::fabs(level->first) < 2 * level->second) return {};
  Hypothesis h;
  h.since = last(scene);
  h.x = column(scene, h.since, [](const Seen&) { return 1.0; });
  h.mean = -2 * level->first;
  h.sd = 2 * level->second;
  h.known_size = true;
  return {h};
}

/// A shim that was put in, gone again.
List of_shim_gone(const Scene& scene) {
  List list;
  for (const auto& event : scene.events) {
    if (!event.is_shim || !event.moved) continue;
    for (const std::size_t since : onsets(scene)) {
      if (since <= event.before) continue;  // a check has seen it in place
      Hypothesis h;
      h.x = column(scene, since, [](const Seen&) { return 1.0; });
      h.mean = -*event.moved;
      h.sd = event.u_action.value_or(0.1 * std::fabs(*event.moved));
      h.target = event.target;
      h.since = since;
      h.known_size = true;
      list.push_back(std::move(h));
    }
  }
  return list;
}

namespace {
/// Steps of a line that also scatter. \param share  of the size, one standard deviation
void add_scattering(List& list, const Scene& scene, bool rail, double sd, double share) {
  for (const std::size_t since : few_onsets(scene, kFewOnsets)) {
    auto h = until_put_in_anew(scene, since, rail, sd);
    for (const double x : h.x) h.scatter.push_back(std::pow(share * sd * x, 2));
    list.push_back(std::move(h));
  }
}
}  // namespace

List of_chips(const Scene& scene) {
  List list;
  add_scattering(list, scene, false, kChipMm, 0.3);
  return list;
}

List of_loose_dog(const Scene& scene) {
  List list;
  for (const bool rail : {true, false}) add_scattering(list, scene, rail, kLooseMm, 0.25);
  return list;
}

/// Crowned or hollow, by about as much.
List of_bowed_rail(const Scene& scene) {
  List list;
  for (auto& h : parts_at_fault(scene, PartKind::bow, kBentMm, Begins::any_time)) {
    h.mean = kBentMm;
    list.push_back(h);
    h.mean = -kBentMm;
    list.push_back(std::move(h));
  }
  return list;
}

List of_built_out(const Scene& scene) {
  Hypothesis h;
  h.x = column(scene, 0, [](const Seen&) { return 1.0; });
  h.sd = kSquareRad;
  return {h};
}

/// Any size, from an event on that may shift a dog.
List of_shifted_dog(const Scene& scene) {
  static const std::set<std::string> shifts{"moved",    "knocked",     "loosened",       "tightened",
                                            "re-bored", "dog changed", "dogs reinserted"};
  List list;
  const auto from = onsets(scene);
  for (const auto& event : scene.events) {
    if (!shifts.contains(event.kind) || std::ranges::find(from, event.before) == from.end()) continue;
    for (const bool rail : {true, false})
      list.push_back(until_put_in_anew(scene, event.before, rail, kShiftedMm));
  }
  return list;
}

List of_play(const Scene& scene) {
  if (std::ranges::all_of(scene.checks,
                          [&](const Seen& seen) { return seen.insertion == scene.checks.front().insertion; }))
    return {};
  List list;
  for (const double factor : {0.5, 1.0, 2.0}) {
    Hypothesis h;
    h.x.assign(scene.checks.size(), 0.0);
    h.columns = play_columns(scene);
    for (auto& x : h.columns) {
      for (double& value : x) value *= factor * kWrongPlayMm;
    }
    list.push_back(std::move(h));
  }
  return list;
}

namespace {
/// A dog that was turned shows another face: its wear is gone.
bool same_face(const Scene& scene, const Seen& seen, std::size_t lean, std::size_t size) {
  const auto side = [&](const Seen& one) { return share_of(one, lean) * share_of(one, size) > 0; };
  for (const auto& first : scene.checks) {
    if (share_of(first, lean) != 0) return side(first) == side(seen);
  }
  return true;
}
}  // namespace

/// The line moves slowly: worn holes, which stay so, or worn dogs, until they are turned.
List of_wear(const Scene& scene) {
  const auto& now = scene.checks.back();
  const double first = scene.checks.front().date, span = now.date - first;
  if (scene.checks.size() < 3 || span <= 0) return {};
  List list;
  const auto add = [&](double begin, double weight, const std::string& target, auto per) {
    Hypothesis h;
    h.weight = weight;
    h.x = column(scene, 0, [&](const Seen& seen) {
      return per(seen) * std::max(0.0, seen.date - begin) / (now.date - begin);
    });
    if (!touches_newest(scene, h)) return;
    h.sd = kWearMm;
    h.target = target;
    list.push_back(std::move(h));
  };
  const auto add_all = [&](double begin, double weight) {
    add(begin, weight, now.rail_pair, [&](const Seen& seen) { return on_rail(scene, seen); });
    add(begin, weight, now.fence_pair, [&](const Seen& seen) { return on_fence(scene, seen); });
    for (std::size_t lean = 0; lean < scene.parts.size(); ++lean) {
      if (scene.parts[lean].kind != PartKind::dog_lean) continue;
      const auto size = std::ranges::find_if(scene.parts, [&](const Part& part) {
        return part.kind == PartKind::dog_size && part.name == scene.parts[lean].name;
      });
      if (size == scene.parts.end()) continue;
      const auto at = static_cast<std::size_t>(size - scene.parts.begin());
      if (std::ranges::all_of(scene.checks,
                              [&](const Seen& seen) { return same_face(scene, seen, lean, at); }))
        continue;  // never turned: as the line
      add(begin, weight, scene.parts[lean].name,
          [&](const Seen& seen) { return same_face(scene, seen, lean, at) ? share_of(seen, at) : 0.0; });
    }
  };
  add_all(first, 1);
  if (const auto good = scene.good(); good && *good > 0 && scene.checks[*good].date < now.date)
    add_all(scene.checks[*good].date, 0.2);
  return list;
}

/// All setups alike: a while after something wet, a stretch of checks that ends, or the seasons.
List of_moisture(const Scene& scene) {
  List list;
  const std::size_t n = scene.checks.size();
  const auto add = [&](auto in, double weight, std::size_t since) {
    Hypothesis h;
    h.x = column(scene, 0, in);
    if (nothing(h.x)) return;
    h.sd = kMoistRad;
    h.weight = weight;
    h.since = since;
    list.push_back(std::move(h));
  };
  for (const auto& event : scene.events) {
    if (event.kind != "wet") continue;
    const double begin = event.date;
    add([&](const Seen& seen) { return seen.date >= begin && seen.date < begin + kDryDays ? 1.0 : 0.0; }, 10,
        event.before);
    add(
        [&](const Seen& seen) {
          return seen.date >= begin ? std::exp(-(seen.date - begin) / kDryDays) : 0.0;
        },
        10, event.before);
  }
  for (std::size_t from = 1; from + 1 < n; ++from) {
    for (std::size_t to = from + 2; to < n; ++to) {
      const double begin = scene.checks[from].date, end = scene.checks[to].date;
      if (end - begin > 2 * kDryDays || to - from < 2) continue;
      add([&](const Seen& seen) { return seen.date >= begin && seen.date < end ? 1.0 : 0.0; },
          1.0 / static_cast<double>(n), from);
    }
  }
  if (n > 5 && scene.checks.back().date - scene.checks.front().date > 0.75 * kYear) {
    for (int phase = 0; phase < 6; ++phase) {
      const double shift = std::numbers::pi * phase / 6;
      add([&](const Seen& seen) { return std::cos(2 * std::numbers::pi * seen.date / kYear + shift); }, 1, 0);
    }
  }
  return list;
}

/// Every cut its own way.
List of_saw(const Scene& scene) {
  List list;
  for (const std::size_t since : few_onsets(scene, kFewOnsets)) {
    for (const double factor : {0.5, 1.0, 2.0}) {
      Hypothesis h;
      h.x.assign(scene.checks.size(), 0.0);
      h.scatter.assign(scene.checks.size(), 0.0);
      for (std::size_t i = since; i < h.x.size(); ++i) {
        const double per =
            std::max(std::fabs(scene.checks[i].per_fence), std::fabs(scene.checks[i].per_rail));
        h.scatter[i] = std::pow(factor * kSlipMm * per, 2);
      }
      h.since = since;
      list.push_back(std::move(h));
    }
  }
  return list;
}

/// Checks of one person, or with one caliper, lie apart from the rest.
List of_other_hand(const Scene& scene) {
  List list;
  const auto add = [&](auto field) {
    std::map<std::string, int> count;
    for (const auto& seen : scene.checks) {
      if (!field(seen).empty()) ++count[field(seen)];
    }
    if (count.size() < 2) return;
    for (const auto& one : count) {
      const auto& name = one.first;
      if (2 * one.second > static_cast<int>(scene.checks.size())) continue;
      Hypothesis h;
      h.x = column(scene, 0, [&](const Seen& seen) { return field(seen) == name ? 1.0 : 0.0; });
      h.sd = kHandRad;
      h.target = name;
      list.push_back(std::move(h));
    }
  };
  add([](const Seen& seen) -> const std::string& { return seen.person; });
  add([](const Seen& seen) -> const std::string& { return seen.caliper; });
  for (const auto& event : scene.events) {  // as a person tells it, where the checks do not name hands
    if (event.kind != kOtherHand || event.before >= scene.checks.size()) continue;
    Hypothesis h;
    h.x = column(scene, event.before, [](const Seen&) { return 1.0; });
    h.sd = kHandRad;
    h.since = event.before;
    list.push_back(std::move(h));
  }
  return list;
}

List of_dog_size(const Scene& scene) {
  return parts_at_fault(scene, PartKind::dog_size, kWrongSizeMm, Begins::put_in_anew);
}

List of_dog_lean(const Scene& scene) {
  return parts_at_fault(scene, PartKind::dog_lean, kLeanMm, Begins::any_time);
}

List of_bad_hole(const Scene& scene) {
  return parts_at_fault(scene, PartKind::hole, kBadHoleMm, Begins::any_time);
}

/// The last correction of known size had no effect, or turned it the other way.
List of_correction_amiss(const Scene& scene) {
  const std::string& setup = scene.checks.back().setup;
  const Happened* made = nullptr;
  for (const auto& event : scene.events) {
    const bool own = event.setup.empty() || event.setup == setup;
    if (event.moved && own && event.before < scene.checks.size()) made = &event;
  }
  if (made == nullptr) return {};
  List list;
  for (const double times : {1.0, 2.0}) {
    Hypothesis h;
    h.x = column(scene, made->before, [&](const Seen& seen) { return seen.setup == setup ? 1.0 : 0.0; });
    h.mean = -times * *made->moved;
    h.sd = made->u_action.value_or(0.1 * std::fabs(*made->moved));
    h.target = made->target;
    h.since = made->before;
    h.known_size = true;
    list.push_back(std::move(h));
  }
  return list;
}

List of_chance(const Scene& scene) {
  Hypothesis h;
  h.x.assign(scene.checks.size(), 0.0);
  return {h};
}

}  // namespace quarterturn::history
