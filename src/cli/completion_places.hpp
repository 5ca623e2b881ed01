// SPDX-License-Identifier: MIT
/// \file completion_places.hpp
/// What may stand at a place of a command, read off the table of words and options: their forms and the names
/// of their values. What the table says only in a sentence has a row here.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/completion.hpp"
#include "cli/options.hpp"

namespace quarterturn::cli {

struct Place {
  std::vector<std::string> words;  ///< to be typed as they are
  std::vector<Known> known;        ///< one of a kind
};

/// The value of an option of that word.
Place place_of_value(const OptionRow& option);
/// The argument behind those that are given, options left out.
Place place_of_argument(const WordRow& row, const std::vector<std::string>& given);

}  // namespace quarterturn::cli
