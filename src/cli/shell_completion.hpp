// SPDX-License-Identifier: MIT
/// \file shell_completion.hpp
/// What shells complete with: words, sub-words, options, their values, files, and stations as
/// `quarterturn station list` names them at that moment. Made from the table of options alone.
#pragma once

#include <string>
#include <string_view>

namespace quarterturn::cli {

/// \param shell  bash, zsh or fish. \throws UsageError on another
std::string completion_script(std::string_view shell);

std::string bash_completion();
std::string zsh_completion();
std::string fish_completion();

/// What `station list` prints where there is none: no name to offer.
inline constexpr std::string_view kNoStation = "No station yet.";

}  // namespace quarterturn::cli
