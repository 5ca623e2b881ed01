// SPDX-License-Identifier: MIT
/// \file gap_test_shown.hpp
/// How a gap test lies on its setup, for the words and drawings of the bench.
#pragma once

#include "check/check.hpp"
#include "report/gap_test_words.hpp"
#include "station/station.hpp"

namespace quarterturn::cli {

/// As the test of it would, before anybody cuts. \throws units::InputError
void hold_to_setup(check::Check& check, const station::Setup& setup);

/// \param setup  nullptr: the usual sides \param check  a gap test, held to its setup
report::GapTestShown gap_test_shown(const check::Check& check, const station::Setup* setup, units::Unit unit);

}  // namespace quarterturn::cli
