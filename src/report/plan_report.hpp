// SPDX-License-Identifier: MIT
/// \file plan_report.hpp
/// What `plan` gives, for people (text) and programs (JSON schema quarterturn/plan/1).
#pragma once

#include <string>

#include "plan/result.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// The answer in one sentence, the table, what it rests on, what no such test can see.
std::string plan_text(const plan::Result& result, const TextOptions& options);
/// One line before the first cut: what one strip will tell, and the cheapest test that settles.
std::string plan_line(const plan::Result& result, const TextOptions& options);
/// From the sizes of a reading and of seating to the ± of one strip.
std::string plan_why_text(const plan::Result& result, const TextOptions& options);
std::string plan_json(const plan::Result& result);

/// How many more cuts settle a check: the sentence, then what was looked at.
std::string settle_text(const plan::Settling& settling, const TextOptions& options);
/// The sentence alone.
std::string settle_sentence(const plan::Settling& settling, const TextOptions& options);
/// What would settle it, for where a check has told the rest.
std::string settling_line(const plan::Settling& settling, const TextOptions& options);
std::string settle_json(const plan::Settling& settling);

}  // namespace quarterturn::report
