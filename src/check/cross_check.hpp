// SPDX-License-Identifier: MIT
/// \file cross_check.hpp
/// Strips, turn-over and rail test of one setup held against each other: do they agree, and if not, is it the
/// rail's bow?
///
/// In       what there is of: eta + b from strips, eta from turn-over, each ± on its degrees of freedom
/// [rad];
///          h from the pair's curvature, h from the rail test [mm]; the setup's BowPlace; tolerance [rad]
/// Out      each comparison that can be made with its p; the bow that strips minus turn-over imply; the mean
///          of all ways to h and whether they are alike; a verdict
/// Maths    METHOD.md (M100), (M99), (M26), (M54)
/// Assumes  the routes are independent: readings of their own. Taper and curvature of one pair are, where its
///          places lie alike on both sides of the joint's middle; nothing was moved between the tests
/// Range    setups that have a BowPlace; on a bar strips are compared only where the edge is surely hollow
/// Accuracy p as Student's t on two degrees of freedom to 1e-9; expected difference and implied bow of panels
///          sawn along a curved rail to 2 % of 4h/L; tests that fit called different in 0.02 (nu 2) to 0.04
///          (nu 8) of 10,000; the mean of three routes held h in 0.95 (nu 2) and 0.97 (nu 8)
///          (tests/check/cross_check_test.cpp)
#pragma once

#include <optional>
#include <vector>

#include "check/bow_effects.hpp"

namespace quarterturn::check {

/// A corner error as one kind of test has it.
struct CornerFound {
  double rad = 0, u_rad = 0;
  double dof = kUnbounded;
};

struct CrossCheckInput {
  std::optional<CornerFound> strips;     ///< eta + b
  std::optional<CornerFound> turn_over;  ///< eta: its long edges are straight
  std::optional<Bow> pair;               ///< of the cut edge, curvature_of()
  std::optional<Bow> rail;               ///< of the rail's edge, rail_bow()
  BowPlace place;                        ///< of the strips' test
  double joint_length_mm = 0;            ///< of the turn-over's cut; 0: that of the strips' cuts
  double tolerance_rad = 0;              ///< b as large as this matters
};

enum class Compared {
  strips_turn_over,          ///< [rad] found: strips minus turn-over; expected 0, a straight rail
  strips_turn_over_by_rail,  ///< [rad] the same; expected k h of the rail test
  strips_turn_over_by_pair,  ///< [rad] the same; expected k h of the pair's curvature
  rail_pair,                 ///< [mm] found: rail test minus pair's curvature, over the cut; expected 0
};

struct Comparison {
  Compared which = Compared::strips_turn_over;
  double found = 0, expected = 0;
  double u = 0, dof = kUnbounded;  ///< of found minus expected, (M26)
  double p = 1;                    ///< two-sided
  bool agrees = true;              ///< at 0.05 for all comparisons together (Holm)
};

/// All ways to h of the kept edge over the cut: rail test, pair's curvature, strips minus turn-over.
struct BowRoutes {
  Bow mean;  ///< weights by half-widths; its u counts that they are estimated, and birge
  int routes = 0;
  std::optional<double> p;      ///< that they differ so much (M54); from two routes on
  std::optional<double> birge;  ///< root of the weighted mean square about the mean: above 1 they differ by
                                ///< more than their half-widths say
};

enum class CrossVerdict {
  agree,
  bow_explains,        ///< strips and turn-over differ, and by what the bow makes of them
  differ_unexplained,  ///< beyond the bow, or no bow is known; look for the cause
  cannot_tell,         ///< nothing to compare, or the ± is wider than the tolerance
};

struct CrossCheck {
  std::vector<Comparison> comparisons;
  std::optional<Bow> implied;      ///< h by strips minus turn-over; empty where b vanishes or has no number
  std::optional<BowRoutes> bow;    ///< empty without any way to h
  std::optional<double> k_per_mm;  ///< strips minus turn-over = k h [rad/mm]; empty: only a bound (bar)
  CrossVerdict verdict = CrossVerdict::cannot_tell;
};

/// A Bow that is `unknown` takes part in nothing.
/// Example: strips 3e-4, turn-over 1e-4, each u 2e-5, rail test h such that k h is 2e-4: bow_explains.
CrossCheck cross_check(const CrossCheckInput& input);

}  // namespace quarterturn::check
