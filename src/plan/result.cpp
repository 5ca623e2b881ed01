// SPDX-License-Identifier: MIT
#include "plan/result.hpp"

namespace quarterturn::plan {

const char* from_word(From from) {
  switch (from) {
    case From::given:
      return "given";
    case From::log:
      return "log";
    case From::caliper:
      return "caliper";
    case From::assumed:
      return "assumed";
    case From::nothing:
      break;
  }
  return "unknown";
}

}  // namespace quarterturn::plan
