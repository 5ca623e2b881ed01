// SPDX-License-Identifier: MIT
/// \file tables.hpp
/// Invented tables for tests: one station, its setups in all four quadrants, with the rail on either face.
#pragma once

#include <string>
#include <vector>

#include "station/station.hpp"
#include "support/oracle.hpp"

namespace quarterturn::test {

/// 11 by 13 holes of 20 mm at a pitch of 96 mm; tall-1, tall-2, low-1, low-2 of 20 mm; no setup.
station::Station bare_table();

/// Rail dogs in F2 and F10; fence pair of 288 mm on the kept side, between them.
station::Setup square_setup(station::Side keep, station::PanelSide side, station::Side face);
/// The same for a mitre of 45 degrees: rail dogs in C3 and I9, fence pair of 192 mm in row 6.
station::Setup mitre_setup(station::Side keep, station::PanelSide side, station::Side face);
/// The rail across the other diagonal, 135 degrees: rail dogs in I3 and C9.
station::Setup counter_mitre_setup(station::Side keep, station::PanelSide side, station::Side face);

struct Case {
  std::string name;
  station::Station station;
  station::Setup setup;
};
/// Four quadrants by two faces of the rail.
std::vector<Case> square_cases();
/// The same on either diagonal.
std::vector<Case> mitre_cases();
std::vector<Case> every_case();  ///< square, then mitres
/// What the kept corner is nominally: the angle of the lines, or its supplement.
double nominal_corner_rad(const Case& table);

/// Its table with holes out of place by tenths of a millimetre, both lines turned: |eps| near 1e-3.
Table knocked_table(const Case& table);

/// One dog of an oracle table by its number: 0 far rail dog, 1 near rail dog, 2 right fence dog, 3 left fence
/// dog.
OracleDog& dog_of(Table& table, int number);

}  // namespace quarterturn::test
