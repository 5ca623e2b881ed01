// SPDX-License-Identifier: MIT
/// \file prompt.hpp
/// The guided way: `quarterturn` alone.
#pragma once

#include "cli/commands.hpp"
#include "cli/parse.hpp"
#include "cli/said.hpp"

namespace quarterturn::cli {

/// Talks until `quit` or the end of input. \param check_now  begins with a check
Said run_prompt(const Context& context, const Parsed& parsed, bool check_now);

}  // namespace quarterturn::cli
