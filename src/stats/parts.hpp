// SPDX-License-Identifier: MIT
/// \file parts.hpp
/// Work in parts that do not depend on one another, several at once.
///
/// In       how many parts; what makes part k, which may be called by several threads at once
/// Assumes  a part's result depends on its number alone: then threads cannot be seen in it
#pragma once

#include <cstddef>
#include <functional>

namespace quarterturn::stats {

/// \param threads  0: as many as the machine runs at once
/// \throws what a part threw; the others are finished first
void in_parts(std::size_t parts, int threads, const std::function<void(std::size_t)>& make);

}  // namespace quarterturn::stats
