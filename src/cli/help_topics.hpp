// SPDX-License-Identifier: MIT
/// \file help_topics.hpp
/// What `help` at the prompt knows more of.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::cli {

const std::vector<std::string>& help_topics();
/// `help words, care, signs`: how they are asked for.
std::string help_words();

}  // namespace quarterturn::cli
