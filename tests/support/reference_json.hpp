// SPDX-License-Identifier: MIT
/// \file reference_json.hpp
/// Numbers out of the JSON files of data/reference, by JSON pointer. Anything missing is an exception.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::test {

/// \param path     below data/reference, e.g. "gum/gum_H3_thermometer.json"
/// \param pointer  e.g. "/published/s"
double reference_number(const std::string& path, const std::string& pointer);
std::vector<double> reference_numbers(const std::string& path, const std::string& pointer);

}  // namespace quarterturn::test
