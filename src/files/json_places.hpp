// SPDX-License-Identifier: MIT
/// \file json_places.hpp
/// Where in a JSON text a value stands. Looked up only when there is a fault to tell, so reading costs
/// nothing.
#pragma once

#include <string_view>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {

/// Line and column of the byte `at`, counted from 1, columns in characters.
units::Place place_of_byte(const Text& text, std::size_t at);

enum class JsonPart { key, value };

/// The place of the value, or of the key in front of it, at a path such as `setups.crosscut.rail.far.hole` or
/// `shims[0].layer_mm`; of a key given twice, the last. Of a path that is not there: the innermost value on
/// the way to it, so a missing key is told at its object.
/// \param text  JSON, nested at most kMostJsonDepth deep; behind a fault of its grammar nothing is found
units::Place place_of_path(const Text& text, std::string_view path, JsonPart part = JsonPart::value);

}  // namespace quarterturn::files
