// SPDX-License-Identifier: MIT
/// \file program.hpp
/// argv to exit status.
#pragma once

namespace quarterturn::cli {

/// Results to stdout, everything else to stderr.
int run_program(int argc, const char* const* argv);

}  // namespace quarterturn::cli
