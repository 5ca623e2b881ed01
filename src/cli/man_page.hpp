// SPDX-License-Identifier: MIT
/// \file man_page.hpp
/// Man pages, made from the table of options: quarterturn(1), and one a word.
#pragma once

#include <string>

#include "cli/options.hpp"

namespace quarterturn::cli {

/// \param row  nullptr: the page of the whole program
std::string man_page(const WordRow* row);
/// \param page  `quarterturn`, or a word. \throws UsageError on another
std::string man_page_named(const std::string& page);

}  // namespace quarterturn::cli
