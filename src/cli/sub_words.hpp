// SPDX-License-Identifier: MIT
/// \file sub_words.hpp
/// Words with sub-words: `station add`, `log event`.
#pragma once

#include <string>
#include <vector>

#include "cli/parse.hpp"

namespace quarterturn::cli {

/// The arguments after the sub-word, held to their number. \param form  how it is written, for the error
/// \throws UsageError
std::vector<std::string> rest_of(const Parsed& parsed, std::size_t least, std::size_t most,
                                 const std::string& form);

/// \throws UsageError naming the sub-words, with the nearest
[[noreturn]] void no_such_sub_word(const Parsed& parsed, const std::vector<std::string>& words);

}  // namespace quarterturn::cli
