// SPDX-License-Identifier: MIT
/// \file readings_table.hpp
/// All readings of a check as they were typed, as a table of a page: a row a strip, a column a place, where
/// the strips were measured at the same few places; else a row a place.
#pragma once

#include "check/check.hpp"
#include "report/markup.hpp"
#include "units/number.hpp"

namespace quarterturn::report {

void readings_table(Markup& markup, const check::Check& check, units::Unit unit);

}  // namespace quarterturn::report
