// SPDX-License-Identifier: MIT
/// \file edited_source.hpp
/// Lines of a terminal, with line editing.
#pragma once

#include <memory>

#include "cli/line_source.hpp"

namespace quarterturn::cli {

/// For a terminal, after a UTF-8 locale was set. nullptr when the terminal's kind is not known.
std::unique_ptr<LineSource> edited_source();

}  // namespace quarterturn::cli
