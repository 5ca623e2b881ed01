// SPDX-License-Identifier: MIT
/// \file named.hpp
/// How a check, an event or an old result is called where a person reads of it.
#pragma once

#include <string>

namespace quarterturn::history {

struct Named {
  std::string name, date;  ///< `dock/3`, `2026-08-09`
};

}  // namespace quarterturn::history
