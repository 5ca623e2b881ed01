// SPDX-License-Identifier: MIT
/// \file add_dock.hpp
/// The station `dock` of the tests, added as a person adds one.
#pragma once

#include "files/station_file.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"

namespace quarterturn::test {

inline void add_dock(const Home& home) {
  run_program(home, {"station", "add", home.write("dock.json", files::write_station(dock()))});
}

}  // namespace quarterturn::test
