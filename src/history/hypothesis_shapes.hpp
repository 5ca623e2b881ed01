// SPDX-License-Identifier: MIT
/// \file hypothesis_shapes.hpp
/// What the functions of hypotheses.hpp are made of: where something may have begun, columns over the checks,
/// the ways in which a part or a line can be at fault.
///
/// In       a Scene
/// Out      columns: change of eps of each check by one unit of the size [rad/mm, or 1]
/// Maths    METHOD.md (M80)
#pragma once

#include <string>
#include <vector>

#include "history/causes.hpp"
#include "history/scene.hpp"

namespace quarterturn::history {

/// The newest check.
std::size_t last(const Scene& scene);
/// Checks in which something that came after the last good check may have shown first; any check when none
/// was ever good.
std::vector<std::size_t> onsets(const Scene& scene);
/// At most so many of them, the newest among them.
std::vector<std::size_t> few_onsets(const Scene& scene, std::size_t most);

template <typename Per>
std::vector<double> column(const Scene& scene, std::size_t since, Per per) {
  std::vector<double> x(scene.checks.size(), 0.0);
  for (std::size_t i = since; i < x.size(); ++i) x[i] = per(scene.checks[i]);
  return x;
}
bool nothing(const std::vector<double>& x);
/// Shows in some check of the newest one's setup.
bool touches_newest(const Scene& scene, const Hypothesis& h);

/// Change of eps by 1 mm at the far rail dog, or at the right fence dog; 0 on other dogs than the newest
/// check's.
double on_rail(const Scene& scene, const Seen& seen);
double on_fence(const Scene& scene, const Seen& seen);
double share_of(const Seen& seen, std::size_t part);

/// From a check on until dogs are put in anew, which ends what lay between them and what they touch.
Hypothesis until_put_in_anew(const Scene& scene, std::size_t since, bool rail, double sd);

enum class Begins { any_time, put_in_anew };
/// A part that is at fault from the first check on, or from an onset on. Dogs change when they are put in.
std::vector<Hypothesis> parts_at_fault(const Scene& scene, PartKind kind, double sd, Begins begins);

}  // namespace quarterturn::history
