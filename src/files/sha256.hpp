// SPDX-License-Identifier: MIT
/// \file sha256.hpp
/// SHA-256 of a text: the checksum by which a printed report is traced to its readings.
///
/// In       bytes
/// Out      64 hexadecimal digits
/// Maths    FIPS 180-4, 5.1.1 and 6.2 (section numbers from memory)
/// Range    below 2^61 bytes
/// Accuracy the examples published with the standard, and every length about a block's end
/// (tests/files/sha256_test.cpp)
#pragma once

#include <string>
#include <string_view>

namespace quarterturn::files {

/// Example: sha256("abc").starts_with("ba7816bf").
std::string sha256(std::string_view bytes);

}  // namespace quarterturn::files
