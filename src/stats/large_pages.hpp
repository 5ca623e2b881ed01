// SPDX-License-Identifier: MIT
/// \file large_pages.hpp
/// Memory of a program that runs once and is over: kept, and in large pages where the system has them for
/// whoever asks.
///
/// Gain     small pages, each handed over by the system at its first touch, are two fifths of the time of a
///          history of 100,000 checks on a virtual machine (tests/bench/run.sh history)
#pragma once

#include <cstddef>

namespace quarterturn::stats {

/// What is given back is kept: it would only be asked for again, page by page. For a program, not a library.
void keep_memory();

/// Nothing is done for less than a few large pages, nor where keep_memory() was not called.
/// \param bytes  that will soon be asked for, in whatever pieces
void expect_memory(std::size_t bytes);

}  // namespace quarterturn::stats
