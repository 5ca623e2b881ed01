// SPDX-License-Identifier: MIT
#include "cli/gap_test_shown.hpp"

#include <cmath>

#include "app/nominal.hpp"
#include "check/bow_effects.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr double kSquareDeg = 90, kSameDeg = 0.01;

}  // namespace

void hold_to_setup(check::Check& check, const station::Setup& setup) {
  if (check.test == check::TestKind::rail && std::fabs(setup.nominal_deg - kSquareDeg) >= kSameDeg) {
    throw units::InputError("setup", setup.name, "one of 90 degrees for a rail test", {},
                            "what a bow does at a mitre is not known");
  }
  app::hold_to_nominal(check, setup);
}

report::GapTestShown gap_test_shown(const check::Check& check, const station::Setup* setup,
                                    units::Unit unit) {
  using Kind = report::GapTestShown::Kind;
  report::GapTestShown shown;
  shown.unit = unit;
  shown.kind = check.test == check::TestKind::rail    ? Kind::rail
               : check.test == check::TestKind::frame ? Kind::frame
               : check.form == check::Form::halves    ? Kind::halves
                                                      : Kind::pair;
  if (check.pieces > 0) shown.pieces = check.pieces;
  shown.outer_at_fence = check.outer_sign > 0;
  if (setup == nullptr) return shown;
  shown.keep_left = setup->keep == station::Side::left;
  shown.before = setup->panel_side == station::PanelSide::before;
  shown.rail_over_kept = check::kept_edge_sign(setup->keep, setup->rail_on_face) > 0;
  return shown;
}

}  // namespace quarterturn::cli
