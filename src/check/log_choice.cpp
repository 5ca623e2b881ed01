// SPDX-License-Identifier: MIT
#include "check/log_choice.hpp"

#include <algorithm>

namespace quarterturn::check {

std::vector<ScatterEvidence> log_of_person(std::vector<ScatterEvidence> earlier, const std::string& person) {
  if (person.empty()) return earlier;
  const auto theirs = [&](const ScatterEvidence& one) { return one.person == person; };
  if (std::count_if(earlier.begin(), earlier.end(), theirs) >= kChecksOfOnePerson)
    std::erase_if(earlier, [&](const ScatterEvidence& one) { return !theirs(one); });
  return earlier;
}

bool scatters_alike(const Check& one, const Check& other) {
  return one.gaps() == other.gaps() && (!one.gaps() || (one.test == other.test && one.form == other.form));
}

// One strip has no contrast. Two spots a strip hold saw marks and seating in one number: unless something
// else says how large saw marks are, they would be handed on as seating.
bool hands_on_seating(const Check& check, double saw_nu) {
  if (check.strips.size() < 2) return false;
  const bool two_spots = std::all_of(check.strips.begin(), check.strips.end(),
                                     [](const Strip& strip) { return strip.spots.size() == 2; });
  return !two_spots || saw_nu > 0;
}

}  // namespace quarterturn::check
