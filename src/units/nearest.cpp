// SPDX-License-Identifier: MIT
#include "units/nearest.hpp"

#include <algorithm>

#include "units/text.hpp"

namespace quarterturn::units {

namespace {
constexpr std::size_t kMostLetters = 64;  // a longer word is no slip of the finger; bounds the work
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  const std::string s = lowered(a);
  const std::string t = lowered(b);
  std::vector<std::size_t> before(t.size() + 1);
  std::vector<std::size_t> above(t.size() + 1);
  std::vector<std::size_t> row(t.size() + 1);
  for (std::size_t j = 0; j <= t.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= s.size(); ++i) {
    std::swap(before, above);
    std::swap(above, row);
    row[0] = i;
    for (std::size_t j = 1; j <= t.size(); ++j) {
      const std::size_t changed = above[j - 1] + (s[i - 1] == t[j - 1] ? 0 : 1);
      row[j] = std::min({above[j] + 1, row[j - 1] + 1, changed});
      if (i > 1 && j > 1 && s[i - 1] == t[j - 2] && s[i - 2] == t[j - 1])
        row[j] = std::min(row[j], before[j - 2] + 1);
    }
  }
  return row[t.size()];
}

std::optional<std::string> nearest(std::string_view word, std::span<const std::string> candidates) {
  if (word.empty() || word.size() > kMostLetters) return std::nullopt;
  const std::string* best = nullptr;
  std::size_t least = 0;
  for (const std::string& candidate : candidates) {
    const std::size_t distance = edit_distance(word, candidate);
    if (distance > std::max<std::size_t>(1, candidate.size() / 3) || distance >= candidate.size()) continue;
    if (best == nullptr || distance < least) {
      best = &candidate;
      least = distance;
    }
  }
  return best == nullptr ? std::nullopt : std::optional(*best);
}

std::string did_you_mean(std::string_view word, std::span<const std::string> candidates) {
  const auto near = nearest(word, candidates);
  return near ? "did you mean '" + *near + "'?" : std::string();
}

std::vector<std::string> by_nearness(std::string_view word, std::span<const std::string> candidates) {
  std::vector<std::string> out(candidates.begin(), candidates.end());
  if (word.size() > kMostLetters) return out;
  std::ranges::stable_sort(out, {},
                           [&](const std::string& candidate) { return edit_distance(word, candidate); });
  return out;
}

std::string one_of(std::span<const std::string> candidates) {
  std::string out;
  for (std::size_t i = 0; i < candidates.size(); ++i) {
    if (i > 0) out += i + 1 == candidates.size() ? " or " : ", ";
    out += candidates[i];
  }
  return out;
}

}  // namespace quarterturn::units
