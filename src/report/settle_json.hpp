// SPDX-License-Identifier: MIT
/// \file settle_json.hpp
/// What would settle a verdict, for programs: the part of quarterturn/check/1 beside it.
#pragma once

#include <nlohmann/json.hpp>

#include "plan/result.hpp"

namespace quarterturn::report {

/// The cheapest way with its cuts, minutes, probability and what it leaves of the panel; or `none` with the
/// reason.
nlohmann::ordered_json settling_json(const plan::Settling& settling);

}  // namespace quarterturn::report
