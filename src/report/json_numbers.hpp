// SPDX-License-Identifier: MIT
/// \file json_numbers.hpp
/// Numbers as all JSON of this program has them.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>

namespace quarterturn::report {

using Json = nlohmann::ordered_json;

/// Null where it is unbounded: degrees of freedom, the open end of an interval.
inline Json bounded(double value) {
  return std::isfinite(value) ? Json(value) : Json(nullptr);
}

}  // namespace quarterturn::report
