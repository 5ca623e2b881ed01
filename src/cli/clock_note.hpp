// SPDX-License-Identifier: MIT
/// \file clock_note.hpp
/// A clock that was set back is told, not repaired: which of the two days is right only the person knows.
#pragma once

#include <string>

#include "cli/commands.hpp"

namespace quarterturn::cli {

/// What is told where the log that was opened holds what was recorded more than a day from now; else empty.
std::string clock_note(const Context& context);

}  // namespace quarterturn::cli
