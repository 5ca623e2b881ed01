// SPDX-License-Identifier: MIT
/// \file keeping.hpp
/// A log of the station `dock`, filled the way the program fills it.
#pragma once

#include <functional>
#include <string>
#include <utility>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "units/input_error.hpp"

namespace quarterturn::test {

inline constexpr std::int64_t kNow = 1781308800;  ///< 2026-06-13

/// Checked with what the log knows, and kept.
inline logbook::KeptCheck kept_of(logbook::Logbook& log, app::CheckRequest made) {
  if (!log.list().empty()) made.station = log.find("dock");
  app::inform(made, log, kNow);
  return app::keep_check(log, made, app::run_check(made), kNow, app::ids_of(made.earlier));
}

/// \param days_ago  from kNow; `date` is what was typed
inline void event(logbook::Logbook& log, const std::string& kind, const std::string& date,
                  int days_ago = 10) {
  files::EventRecord record;
  record.station = log.station_id("dock");
  record.kind = kind;
  record.date = date;
  record.utc = kNow - 86400 * days_ago;
  log.keep(record);
}

/// What the refusal says; empty when there is none.
inline std::string error_of(const std::function<void()>& work) {
  try {
    work();
  } catch (const units::InputError& error) {
    return error.what();
  }
  return {};
}

}  // namespace quarterturn::test
