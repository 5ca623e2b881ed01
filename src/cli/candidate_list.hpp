// SPDX-License-Identifier: MIT
/// \file candidate_list.hpp
/// Several words that would do, below the line that is typed.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::cli {

/// In columns, read downwards; of very many the first, and how many more. Paths only by their last part.
/// \param width  columns of the window
std::string candidate_list(const std::vector<std::string>& candidates, int width);

}  // namespace quarterturn::cli
