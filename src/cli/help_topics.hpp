// SPDX-License-Identifier: MIT
/// \file help_topics.hpp
/// What `help` at the prompt knows more of.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::cli {

const std::vector<std::string>& help_topics();

}  // namespace quarterturn::cli
