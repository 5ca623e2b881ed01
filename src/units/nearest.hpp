// SPDX-License-Identifier: MIT
/// \file nearest.hpp
/// 'Did you mean': the known word nearest to a mistyped one.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::units {

/// Fewest single letters put in, left out, changed, or swapped with their neighbour that turn `a` into `b`;
/// letters that differ only in case are equal (restricted Damerau-Levenshtein distance).
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The candidate with the smallest edit distance, the earlier of two equal ones; none when even that one
/// differs in more than a third of its letters (always allowing one).
std::optional<std::string> nearest(std::string_view word, std::span<const std::string> candidates);

/// `did you mean 'x'?`, or empty when nothing is near.
std::string did_you_mean(std::string_view word, std::span<const std::string> candidates);

/// The candidates, nearest first.
std::vector<std::string> by_nearness(std::string_view word, std::span<const std::string> candidates);

/// `a, b or c`
std::string one_of(std::span<const std::string> candidates);

}  // namespace quarterturn::units
