// SPDX-License-Identifier: MIT
/// \file log_ranges.hpp
/// What a record of an exchange file may say. This program keeps nothing else, so what is beyond it was
/// written by hand or by another: told at its place, before anything is computed with it.
#pragma once

#include "files/dates.hpp"
#include "files/identity.hpp"
#include "files/json_text.hpp"
#include "files/log_document.hpp"

namespace quarterturn::files {

/// \throws units::InputError
void hold_ranges(const JsonValue& item, const StoredResult& result);
void hold_ranges(const JsonValue& item, const MoveRecord& move);
void hold_ranges(const JsonValue& item, const SummaryRecord& summary);

/// What puts records in order sorts as text, and what is told of a day is the start of its text; then the
/// ranges of those that hold numbers. \throws units::InputError
template <typename Record>
void hold_record(const JsonValue& item, const Record& record) {
  if constexpr (requires { record.recorded; }) {
    if (!is_recorded(record.recorded)) item.at("recorded").fail("a moment such as 2026-03-14T10:20:00.123Z");
  }
  if constexpr (requires { record.utc; }) {
    const auto moment = item.at("date").parsed([](const auto& date) { return parse_date(date, "date"); });
    if (record.utc != moment.utc_second) item.at("utc").fail("the seconds of its date, from 1970");
  }
  if constexpr (requires { hold_ranges(item, record); }) hold_ranges(item, record);
}

}  // namespace quarterturn::files
