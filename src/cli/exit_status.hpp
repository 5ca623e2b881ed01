// SPDX-License-Identifier: MIT
/// \file exit_status.hpp
/// What the program leaves to its caller.
#pragma once

namespace quarterturn::cli {

enum ExitStatus : int {
  kComputed = 0,
  kNotWithin = 1,    ///< --require within was asked and the verdict is not within, or is provisional
  kWrongUse = 2,     ///< of the command
  kBadInput = 3,     ///< data
  kFileTrouble = 4,  ///< log or file
  kOurBug = 70,
};

}  // namespace quarterturn::cli
