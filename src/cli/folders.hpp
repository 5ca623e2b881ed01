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
/// Where the prompt keeps what is typed while that log cannot be written: a file of each log's own, of the
/// person's usual one `drafts.db`. Empty without a home.
std::string spare_drafts(const std::string& log);

}  // namespace quarterturn::cli
