// SPDX-License-Identifier: MIT
/// \file parts.hpp
/// Inside history/: the checks taken apart, and what the parts of a History are made by.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "history/history.hpp"

namespace quarterturn::history {

/// Over a shorter time a drift a year is chance made large; common practice, no source.
inline constexpr double kLeastTrendDays = 7;

/// Columns of some checks.
struct Columns {
  std::vector<std::size_t> entry;  ///< index of the entries
  std::vector<double> date, y, v, dof;
  void reserve(std::size_t count);
  void add(const Entry& from, std::size_t index);
  [[nodiscard]] std::size_t size() const { return entry.size(); }
};

/// The log of a setup, cut where its dogs changed (M68).
struct Parts {
  Columns checks;                  ///< all with readings
  std::vector<int> series;         ///< of each check
  std::vector<int> insertion;      ///< of each check; counts on through the series
  Columns current;                 ///< checks of the last series
  std::size_t current_from = 0;    ///< where they begin among the checks
  Columns with_hollow;             ///< the same with the old results that belong to it, by date
  std::vector<char> informs;       ///< of with_hollow: 0 for an old result
  std::vector<std::size_t> split;  ///< of each event: how many checks come before it
};
Parts parts_of(std::span<const Entry> entries, std::span<const Event> events);

/// x ± with t on dof; `variance` of x.
check::Estimate estimate_of(double x, double variance, double dof, double confidence);
check::Estimate unknown_because(const char* reason);

/// Sum of terms that were each estimated on degrees of freedom (M26).
struct Pooled {
  double variance = 0, inverse = 0;
  void add(double term, double dof) {
    variance += term;
    inverse += term * term / dof;
  }
  [[nodiscard]] double dof() const { return inverse > 0 ? variance * variance / inverse : check::kUnbounded; }
};

/// Checks that agree better than each knows itself are luck: no ± smaller than their own u make (M69).
check::Estimate no_surer_than(check::Estimate estimate, double u);
void tell_trend(const Parts& parts, const Settings& settings, History& out);  // change.cpp
void tell_step(const Parts& parts, std::span<const Event> events, const Settings& settings, History& out);
void tell_change(const Parts& parts, History& out);
void tell_events(const Parts& parts, std::span<const Event> events, const Settings& settings,
                 History& out);  // play.cpp
void tell_play(const Parts& parts, const Settings& settings, History& out);
void tell_due(std::span<const Entry> entries, std::span<const Event> events, const Parts& parts,
              const Settings& settings, History& out);  // due.cpp
void tell_last_good(std::span<const Entry> entries, const Parts& parts, const Settings& settings,
                    History& out);

}  // namespace quarterturn::history
