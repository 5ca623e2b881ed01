// SPDX-License-Identifier: MIT
/// \file parts.hpp
/// Inside history/: the checks taken apart, and what the parts of a History are made by.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "history/history.hpp"
#include "stats/meta_analysis.hpp"

namespace quarterturn::history {

/// Over a shorter time a drift a year is chance made large; common practice, no source.
inline constexpr double kLeastTrendDays = 7;

/// Columns of some checks that stand elsewhere.
struct ColumnsView {
  std::span<const std::size_t> entry;  ///< index of the entries
  std::span<const double> date, y, v, dof;
  [[nodiscard]] std::size_t size() const { return entry.size(); }
  [[nodiscard]] ColumnsView from(std::size_t first) const {
    return {entry.subspan(first), date.subspan(first), y.subspan(first), v.subspan(first),
            dof.subspan(first)};
  }
};

/// Columns of some checks.
struct Columns {
  std::vector<std::size_t> entry;  ///< index of the entries
  std::vector<double> date, y, v, dof;
  void reserve(std::size_t count);
  void add(const Entry& from, std::size_t index);
  [[nodiscard]] std::size_t size() const { return entry.size(); }
  [[nodiscard]] ColumnsView view() const { return {entry, date, y, v, dof}; }
};

/// The log of a setup, cut where its dogs changed (M68).
struct Parts {
  Columns checks;                  ///< all with readings
  std::vector<int> series;         ///< of each check
  std::vector<int> insertion;      ///< of each check; counts on through the series
  ColumnsView current;             ///< checks of the last series, which are the last of `checks`
  std::size_t current_from = 0;    ///< where they begin among the checks
  Columns mixed;                   ///< of `with_hollow`, where it is not `current`
  ColumnsView with_hollow;         ///< the same with the old results that belong to it, by date
  std::vector<char> informs;       ///< of with_hollow: 0 for an old result; empty: there is none
  std::vector<std::size_t> split;  ///< of each event: how many checks come before it

  Parts() = default;
  Parts(Parts&&) = default;
  Parts& operator=(Parts&&) = default;
};
Parts parts_of(std::span<const Entry> entries, std::span<const Event> events);

/// Lines through the current series that more than one part of a History needs.
struct Lines {
  std::optional<stats::MetaLine> trend;  ///< over the dates, no old result among them
  std::optional<double> step_tau2;       ///< of a mean before the step and one after it
};

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
void tell_trend(const Parts& parts, const Settings& settings, Lines& lines, History& out);  // change.cpp
void tell_step(const Parts& parts, std::span<const Event> events, const Settings& settings, Lines& lines,
               History& out);
void tell_change(const Parts& parts, const Lines& lines, History& out);
void tell_events(const Parts& parts, std::span<const Event> events, const Settings& settings,
                 History& out);  // play.cpp
void tell_play(const Parts& parts, const Settings& settings, History& out);
void tell_due(std::span<const Entry> entries, std::span<const Event> events, const Parts& parts,
              const Settings& settings, const Lines& lines, History& out);  // due.cpp
void tell_last_good(std::span<const Entry> entries, const Parts& parts, const Settings& settings,
                    History& out);

}  // namespace quarterturn::history
