// SPDX-License-Identifier: MIT
/// \file rail_json.hpp
/// The bow of the rail, and two kinds of tests held against each other, as parts of a check's JSON.
#pragma once

#include "correct/outcome.hpp"
#include "report/json_numbers.hpp"

namespace quarterturn::report {

/// `rail_bow`: positive is crowned. \param outcome  with a bow
Json rail_bow_json(const correct::Outcome& outcome);
/// `held_against`
Json held_json(const correct::HeldAgainst& held);

}  // namespace quarterturn::report
