// SPDX-License-Identifier: MIT
/// \file question_help.hpp
/// What `help` or `?` says while a question is open: what it wants, and an answer that would do.
#pragma once

#include <string>

#include "units/number.hpp"

namespace quarterturn::cli {

/// \param question  as it is shown, without its mark
/// Empty: nothing is known of it beyond what it says itself.
std::string question_help(const std::string& question, units::Unit unit);

}  // namespace quarterturn::cli
