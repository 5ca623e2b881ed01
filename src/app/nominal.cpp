// SPDX-License-Identifier: MIT
#include "app/nominal.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "station/geometry.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

constexpr double kSameDeg = 0.01;

/// The corner that is kept, by its setup.
double kept_deg_of(const station::Setup& setup) {
  const bool other = station::corner_sign(setup.keep, setup.panel_side) < 0;
  return other ? 180 - setup.nominal_deg : setup.nominal_deg;
}

double acute_mitre_deg(int pieces) {
  return 90 - 180.0 / pieces;
}

}  // namespace

void hold_to_nominal(check::Check& check, const station::Setup& setup) {
  const char* const test = check::test_row(check.test).word;
  if (check.test == check::TestKind::rail) return;
  if (check.test != check::TestKind::frame) {
    if (std::fabs(setup.nominal_deg - 90) < kSameDeg) return;
    throw units::InputError(
        "setup", setup.name, std::string("one of 90 degrees for a ") + test + " test", {check.source, 0, 0},
        "strips and turned pieces tell square setups only; measure a mitre on a closed frame");
  }
  if (std::fabs(setup.nominal_deg - 90) < kSameDeg)
    throw units::InputError("setup", setup.name, "a mitre for a frame test", {check.source, 0, 0},
                            "a square setup is told by strips or by turned pieces");
  const double kept_deg = kept_deg_of(setup);
  const double acute_deg = acute_mitre_deg(check.pieces);
  for (const int sign : {1, -1}) {
    if (std::fabs(kept_deg - (sign > 0 ? acute_deg : 180 - acute_deg)) > kSameDeg) continue;
    // Of two setups the ring tells the mean acute mitre, whichever edge lay at either fence.
    check.outer_sign = check.second_setup.empty() ? sign : 1;
    return;
  }
  throw units::InputError("pieces", std::to_string(check.pieces),
                          "as many as close with the mitre of setup '" + setup.name + "', " +
                              units::shortest(std::min(kept_deg, 180 - kept_deg)) + " degrees",
                          {check.source, 0, 0}, "four pieces close at 45 degrees, six at 60, eight at 67.5");
}

int pieces_that_close(const station::Setup& setup) {
  const double kept_deg = kept_deg_of(setup);
  for (int pieces = check::kFewestPieces; pieces <= check::kMostPieces; ++pieces) {
    if (std::fabs(std::min(kept_deg, 180 - kept_deg) - acute_mitre_deg(pieces)) <= kSameDeg) return pieces;
  }
  return 0;
}

}  // namespace quarterturn::app
