// SPDX-License-Identifier: MIT
/// \file isa.hpp
/// Which machine code works on eight numbers at once: found when the program runs.
///
/// Out      the widest that this machine has, or what was asked for
/// Accuracy what is computed is the same to the bit with each (tests/stats/bulk_draws_test.cpp)
#pragma once

namespace quarterturn::stats {

enum class Isa { plain, avx2, avx512 };

/// Can this machine, and the system on it, run it?
bool runs(Isa isa);
/// The widest that runs, until another is asked for.
Isa isa_in_use();
/// \param isa  one that runs here
void use(Isa isa);

}  // namespace quarterturn::stats
