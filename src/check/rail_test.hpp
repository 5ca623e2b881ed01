// SPDX-License-Identifier: MIT
/// \file rail_test.hpp
/// The bow of an edge from the gaps between it and its mirror image: the rail test, and the pair of a
/// turn-over test.
///
/// In       gaps [mm] read at three places or more along the edge [mm], each once or several times; what is
///          known from outside of a reading (and of saw marks); resolution d [mm]; confidence
/// Out      sagitta h [mm] of one edge over the tested length L_t (first to last place) with standard
///          uncertainty, degrees of freedom and half-width; h > 0: the edge is crowned, and the gap is wider
///          at the ends
/// Maths    METHOD.md (M98); (M10), (M16), (M17), (M28) for the scatter
/// Assumes  a knife line along the guiding edge, the rail turned end for end, the same edge to the line; gaps
///          are read, not forced to zero where the edge touches; an edge of one curvature
/// Not seen an S shape: turned end for end it fits itself, its gap is that of a straight edge
/// Range    places 1 mm apart or more, over 200 mm or more; gaps 0 to 5 mm
/// Accuracy 1e-12 relative against dense weighted least squares; 95 % intervals held h in 0.945–0.956 of
///          10,000 simulated tests a figure (reading 1.5 steps and unrounded; three places once on 2 and 8
///          degrees of freedom, five twice on nothing else), and where reading is finer than its steps in
///          0.92–0.97 of 4,000 (tests/check/rail_test_test.cpp)
#pragma once

#include <optional>
#include <span>
#include <string>

#include "check/fit.hpp"

namespace quarterturn::check {

/// The sagitta of an edge, or 'cannot tell' with its reason; h is the arithmetic all the same.
struct Bow {
  double h_mm = 0;          ///< > 0: crowned
  double u_mm = 0;          ///< standard uncertainty
  double dof = kUnbounded;  ///< of u; those at which Student's t makes the 95 % half-width of it
  double confidence = 0.95;
  double half_width_mm = 0;            ///< as u_mm infinite when unknown
  double over_mm = 0;                  ///< L_t, over which h was found
  std::optional<std::string> unknown;  ///< reason code when nothing informs u
  std::optional<double> parabola_p;    ///< that spots lie so far off a parabola if it is one; rail test,
                                       ///< from four places on, where something else informs a reading
  bool kinked = false;                 ///< they do not: a kink, a joint, a step; u is then of what is left
};

/// The reason when neither repeats nor residuals nor evidence inform the scatter of a reading.
inline constexpr const char* kReadingUnseen = "reading-unseen";
/// Below this probability an edge is no parabola.
inline constexpr double kNoParabola = 0.05;

/// (M98) of a rail: gaps between its guiding edge and the line along it from before it was turned.
/// \param gaps        positions along the edge, readings are gaps; panel and cuts are not looked at
/// \param evidence    Component::reading counts, others do not
/// \param resolution  d > 0 of a gap reading [mm]
/// \param source      file for messages, or empty
/// \throws units::InputError on fewer than three places, places or gaps out of range
/// Example: gaps 0.2, 0, 0.2 mm at 0, 600, 1200 mm: h is +0.1 mm over 1200 mm.
Bow rail_bow(const Strip& gaps, std::span<const Evidence> evidence, double resolution,
             double confidence = 0.95, const std::string& source = {});

/// The same of a turn-over pair, whose joint is curved by twice the bow of the cut edges. Sawn edges have
/// saw marks, so that spots scatter by more than readings: they count by (M28), from four places on or as
/// evidence; with three places and no such evidence u is that of readings alone.
/// \return  empty with fewer than three places
std::optional<Bow> curvature_of(const Strip& gaps, std::span<const Evidence> evidence, double resolution,
                                double confidence = 0.95, const std::string& source = {});

}  // namespace quarterturn::check
