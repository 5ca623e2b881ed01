// SPDX-License-Identifier: MIT
/// \file caliper_classes.hpp
/// The classes of caliper of data/calipers.csv, each value with its source; compiled in.
#pragma once

#include <string>
#include <vector>

#include "check/check.hpp"

namespace quarterturn::files {

struct CaliperClass {
  check::Caliper caliper;  ///< name is the class
  std::string source;
};
const std::vector<CaliperClass>& caliper_classes();

/// \throws units::InputError naming the classes there are, with the nearest first
check::Caliper caliper_of_class(const std::string& name);

}  // namespace quarterturn::files
