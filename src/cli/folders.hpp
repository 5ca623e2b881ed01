// SPDX-License-Identifier: MIT
/// \file folders.hpp
/// Where a person's things lie on this system: the folders of the XDG Base Directory Specification 0.8. A
/// variable that holds no absolute path is not valid and passed over.
#pragma once

#include <string>

namespace quarterturn::cli {

/// $XDG_DATA_HOME/quarterturn, else ~/.local/share/quarterturn; empty without a home.
std::string data_folder();
/// $XDG_STATE_HOME/quarterturn, else ~/.local/state/quarterturn; empty without a home.
std::string state_folder();

}  // namespace quarterturn::cli
