// SPDX-License-Identifier: MIT
/// \file history_parts.hpp
/// What the chart of a record and its words share.
#pragma once

#include <algorithm>
#include <string>

#include "history/record.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {

using history::Record;

inline constexpr std::size_t kMostLetters = 26;  ///< events that are named

inline double mm_of(const Record& record, double rad) {
  return over_panel(record.panel_mm, rad);
}

inline double half_of(const Record& record, const history::Entry& entry) {
  return mm_of(record, entry.u * stats::t_quantile(0.5 * (1 + record.settings.confidence), entry.dof));
}

/// Events that have a letter are the latest ones.
inline std::size_t first_lettered(const Record& record) {
  return record.events.size() - std::min(kMostLetters, record.events.size());
}

inline std::string event_words(const Record& record, std::size_t k) {
  const auto& target = record.events[k].target;
  return record.event_names[k].date + " " + record.event_names[k].name +
         (target.empty() ? "" : " (" + units::inert(target, 40) + ")");
}

}  // namespace quarterturn::report
