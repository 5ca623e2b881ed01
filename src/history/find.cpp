// SPDX-License-Identifier: MIT
#include "history/find.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <utility>

#include "check/fit.hpp"
#include "history/base_model.hpp"
#include "history/parts.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::history {
namespace {

// What a test shows under causes it names, may show, and does not name.
constexpr double kShows = 0.9, kMay = 0.5, kSlip = 0.04;
constexpr double kFeelerMm = 0.03;
constexpr double kAsWell = 2;            // times less likely, and still named beside the best
constexpr double kUsualNu = 2;           // common practice, no source
constexpr double kUsuallyCurved = 0.03;  // false alarms of the test for curvature
// By how much seating rises, squared; common practice, no source.
constexpr std::array<double, 3> kTimes{3, 10, 30};

/// The newest checks only, events counted from them.
Scene newest_of(const Scene& scene) {
  if (scene.checks.size() <= kMostSeen) return scene;
  Scene kept = scene;
  const std::size_t gone = scene.checks.size() - kMostSeen;
  kept.checks.erase(kept.checks.begin(), kept.checks.begin() + static_cast<std::ptrdiff_t>(gone));
  std::erase_if(kept.events, [&](const Happened& event) { return event.before < gone; });
  for (auto& event : kept.events) event.before -= gone;
  return kept;
}

/// (M81) Seating from a check on against before: log of how much likelier under a cause that raises it than
/// under one that does not.
double log_ratio_of_seating(const Scene& scene, SeatingEffect effect, std::size_t from) {
  if (effect == SeatingEffect::none) return 0;
  // What is usual counts for two degrees of freedom.
  const double usual = std::numbers::sqrt2 * check::kAssumedSeatingMm * scene.checks.back().per_fence;
  double before = kUsualNu * usual * usual, nu_before = kUsualNu, since = 0, nu_since = 0;
  for (std::size_t i = 0; i < scene.checks.size(); ++i) {
    const auto& seen = scene.checks[i];
    (i < from ? before : since) += seen.seating_ms * seen.seating_nu;
    (i < from ? nu_before : nu_since) += seen.seating_nu;
  }
  if (nu_since <= 0 || before <= 0) return 0;
  const double f = (since / nu_since) / (before / nu_before);
  const auto log_kernel = [&](double x) {
    return (0.5 * nu_since - 1) * std::log(std::max(x, 1e-12)) -
           0.5 * (nu_before + nu_since) * std::log1p(nu_since * x / nu_before);
  };
  std::array<double, kTimes.size()> up{};
  for (std::size_t k = 0; k < up.size(); ++k) {
    up[k] = -std::log(static_cast<double>(up.size())) + log_kernel(f / kTimes[k]) - std::log(kTimes[k]);
  }
  const double ratio = log_sum(up) - log_kernel(f);
  if (effect == SeatingEffect::up) return ratio;
  return log_sum(std::array<double, 2>{std::log(0.5), std::log(0.5) + ratio});
}

double log_of_curves(const Scene& scene, double chance, std::size_t from) {
  double sum = 0;
  for (std::size_t i = 0; i < scene.checks.size(); ++i) {
    const double p = i < from ? kUsuallyCurved : chance;
    sum += std::log(scene.checks[i].curved ? p : 1 - p);
  }
  return sum;
}

bool names(const std::vector<std::string_view>& codes, std::string_view code) {
  return std::ranges::find(codes, code) != codes.end();
}
double chance_found(const TestRow& test, std::string_view cause) {
  if (names(test.shows, cause)) return kShows;
  return names(test.may, cause) ? kMay : kSlip;
}
/// \param shown_by  of the tests that may show the cause, the one for its place; empty: any
double chance_found(const TestRow& test, std::string_view cause, std::string_view shown_by) {
  const double chance = chance_found(test, cause);
  if (shown_by.empty() || chance == kSlip) return chance;
  return shown_by == test.code ? kShows : kSlip;
}

/// A gap or bow that was measured is the size of its cause.
void take_measured(std::vector<Hypothesis>& hypotheses, std::string_view cause, const Answers& answers) {
  for (const auto& [code, answer] : answers) {
    if (!answer.found || !answer.mm) continue;
    const bool bow = cause == "bowed-rail" && code == "rail-turned";
    for (auto& h : hypotheses) {
      if (!bow && h.shown_by != code) continue;
      h.mean = std::copysign((bow ? 0.5 : 1.0) * *answer.mm, h.mean);
      h.sd = kFeelerMm;
      h.known_size = true;
    }
  }
}

/// Both name a dog, and not the same one.
bool about_another(const Scene& scene, const std::string& one, const std::string& two) {
  const auto is_dog = [&](const std::string& name) {
    return std::ranges::any_of(
        scene.parts, [&](const Part& part) { return part.kind == PartKind::dog_size && part.name == name; });
  };
  return one != two && is_dog(one) && is_dog(two);
}

/// What was seen beside eps, and what events and answers say (M80)–(M82).
double log_of_signs(const CauseRow& row, const Hypothesis& h, const Scene& scene, const Answers& answers) {
  double sum = log_ratio_of_seating(scene, row.seating, h.since) + log_of_curves(scene, row.curved, h.since);
  for (const auto& event : scene.events) {
    if (event.before != h.since || about_another(scene, event.target, h.target)) continue;
    for (const auto& likelier : row.likelier) {
      if (likelier.kind == event.kind) sum += std::log(likelier.factor);
    }
  }
  for (const auto& [code, answer] : answers) {
    const TestRow* test = find_test_row(code);
    if (test == nullptr || answer.skipped) continue;
    const double chance = chance_found(*test, row.code, h.shown_by);
    sum += std::log(answer.found ? chance : 1 - chance);
  }
  return sum;
}

bool speaks_against(const CauseRow& row, const Hypothesis& h, const Answers& answers) {
  return std::ranges::any_of(answers, [&](const auto& one) {
    const TestRow* test = find_test_row(one.first);
    if (test == nullptr || one.second.skipped) return false;
    const double chance = chance_found(*test, row.code, h.shown_by);
    return one.second.found ? chance == kSlip : chance == kShows;
  });
}

Suspect suspect_of(const CauseRow& row, const Scene& scene, const BaseModel& base, const Answers& answers,
                   double& log_weight) {
  Suspect suspect;
  suspect.row = &row;
  auto hypotheses = row.hypotheses(scene);
  take_measured(hypotheses, row.code, answers);
  double total = 0;
  for (const auto& h : hypotheses) total += h.weight;
  std::vector<double> logs;
  double best = -std::numeric_limits<double>::infinity();
  std::vector<double> sizes;
  for (const auto& h : hypotheses) {
    const auto scored = base.score(h);
    sizes.push_back(scored.size);
    logs.push_back(scored.log_density + std::log(h.weight / total) + log_of_signs(row, h, scene, answers));
    if (logs.back() <= best) continue;
    best = logs.back();
    suspect.size = scored.size;
    suspect.effect = scored.size * h.x.back();
    suspect.target = h.target;
    suspect.shown_by = h.shown_by;
    suspect.since = h.since;
    suspect.known_size = h.known_size;
    suspect.contradicted = speaks_against(row, h, answers);
  }
  // Targets of which nothing tells the best one apart.
  for (std::size_t k = 0; k < logs.size(); ++k) {
    const auto& target = hypotheses[k].target;
    const bool named = target == suspect.target ||
                       std::ranges::find(suspect.also, target, &Suspect::Also::target) != suspect.also.end();
    if (logs[k] > best - std::log(kAsWell) && !named) suspect.also.push_back({target, sizes[k]});
  }
  log_weight = logs.empty() ? -std::numeric_limits<double>::infinity() : log_sum(logs) + std::log(row.weight);
  return suspect;
}

bool looked_at(const Answers& answers) {
  const bool strip = answers.contains("same-strip") || answers.contains("other-caliper");
  return strip && answers.contains("paper-near") && answers.contains("paper-far");
}

/// The test that tells two causes apart best for its minutes; nullptr when none does well enough.
const TestRow* best_between(const Suspect& one, const Suspect& two, bool cuts, const Answers& answers) {
  constexpr double kTells = 0.3;
  const TestRow* best = nullptr;
  double most = 0;
  for (const auto& test : test_rows()) {
    if ((test.cuts > 0) != cuts || answers.contains(std::string(test.code))) continue;
    if (test.survey && !looked_at(answers)) continue;
    const double apart = std::fabs(chance_found(test, one.row->code, one.shown_by) -
                                   chance_found(test, two.row->code, two.shown_by));
    if (apart < kTells || apart / test.minutes <= most) continue;
    most = apart / test.minutes;
    best = &test;
  }
  return best;
}

/// Of the two best causes, else of the next pair by rank; tests without a cut before those with.
const TestRow* next_test(const std::vector<Suspect>& suspects, const Answers& answers) {
  constexpr double kWorthATest = 0.02;
  constexpr std::pair<std::size_t, std::size_t> kPairs[] = {{0, 1}, {0, 2}, {0, 3}, {1, 2}, {1, 3}, {2, 3}};
  for (const bool cuts : {false, true}) {
    for (const auto& [a, b] : kPairs) {
      if (b >= suspects.size() || suspects[b].probability < kWorthATest) continue;
      if (const TestRow* test = best_between(suspects[a], suspects[b], cuts, answers)) return test;
    }
  }
  return nullptr;
}

void tell_change(const Scene& scene, const BaseModel& base, Found& found) {
  found.good = scene.good();
  Pooled pooled;
  const auto add = [&](const Seen& seen) {
    const double u = seen.u_told > 0 ? seen.u_told : seen.u;
    // NOLINTNEXTLINE(bugprone-narrowing-conversions): double and double, one of them infinite
    pooled.add(u * u, seen.u_told > 0 ? seen.dof : check::kUnbounded);
  };
  add(scene.checks.back());
  found.change = scene.checks.back().eps;
  if (found.good) {
    add(scene.checks[*found.good]);
    found.change = base.y().back() - base.y()[*found.good];
  }
  found.change_u = std::sqrt(pooled.variance);
  found.change_dof = pooled.dof();
  found.changed = std::fabs(found.change) > stats::t_quantile(0.975, found.change_dof) * found.change_u;
}

/// What was found, and explains nothing: no cause that the test looks at is among those that are left.
void tell_found_aside(const Answers& answers, Found& found) {
  for (const auto& one : answers) {
    const TestRow* test = find_test_row(one.first);
    const Answer& answer = one.second;
    if (test == nullptr || answer.skipped || !answer.found) continue;
    const bool explains = std::ranges::any_of(found.suspects, [&](const Suspect& suspect) {
      return standing(suspect) != Standing::out && standing(suspect) != Standing::unlikely &&
             chance_found(*test, suspect.row->code, suspect.shown_by) > kSlip &&
             (!answer.mm || suspect.known_size);
    });
    if (!explains) found.found_aside.push_back(test);
  }
}

void tell_inseparable(Found& found) {
  for (const auto& pair : never_separable()) {
    const auto in_play = [&](std::string_view code) {
      return std::ranges::any_of(found.suspects, [&](const Suspect& suspect) {
        return suspect.row->code == code && suspect.probability >= 0.1;
      });
    };
    if (in_play(pair.a) && in_play(pair.b)) found.inseparable.push_back(pair.why);
  }
}

}  // namespace

Standing standing(const Suspect& suspect) {
  if (suspect.probability < 0.005) return Standing::out;
  if (suspect.probability < 0.03) return Standing::unlikely;
  if (suspect.probability < 0.15) return Standing::possible;
  return suspect.probability < 0.5 ? Standing::fits : Standing::best;
}

Found find_cause(const Scene& whole, const Answers& answers) {
  if (whole.checks.empty()) throw std::domain_error("find: no checks");
  const Scene scene = newest_of(whole);
  const BaseModel base(scene);
  Found found;
  std::vector<double> logs;
  for (const auto& row : cause_rows()) {
    double log_weight = 0;
    Suspect suspect = suspect_of(row, scene, base, answers, log_weight);
    if (!std::isfinite(log_weight)) continue;
    logs.push_back(log_weight);
    found.suspects.push_back(std::move(suspect));
  }
  const double total = log_sum(logs);
  for (std::size_t k = 0; k < logs.size(); ++k) found.suspects[k].probability = std::exp(logs[k] - total);
  std::ranges::stable_sort(found.suspects, std::greater<>{}, &Suspect::probability);
  tell_change(scene, base, found);
  found.next = next_test(found.suspects, answers);
  for (const auto& test : test_rows()) {
    if (&test != found.next && !answers.contains(std::string(test.code))) found.not_needed.push_back(&test);
  }
  tell_inseparable(found);
  tell_found_aside(answers, found);
  // Counted in the whole log.
  const std::size_t gone = whole.checks.size() - scene.checks.size();
  if (found.good) *found.good += gone;
  for (auto& suspect : found.suspects) suspect.since += gone;
  return found;
}

}  // namespace quarterturn::history
