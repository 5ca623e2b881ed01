// SPDX-License-Identifier: MIT
/// \file scene.hpp
/// The checks of a station as the search for a cause sees them: which holes, dogs and rail each one stood on,
/// and how much of eps a fault of each would make.
///
/// In       stations and setups as they were at each check, events, what each check found
/// Out      Parts with the size they have in good order; checks with their shares in them
/// Maths    METHOD.md (M79)
/// Assumes  sizes in good order and at fault are common practice, no source, but for a stated drilling
///          scatter and play
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "check/fit.hpp"
#include "station/geometry.hpp"
#include "station/station.hpp"

namespace quarterturn::history {

enum class PartKind { square, hole, dog_size, dog_lean, bow };

/// Something whose fault turns rail against fence. Sizes: mm; of `square` rad.
struct Part {
  PartKind kind = PartKind::square;
  std::string name;     ///< `E2`, `tall-1`, the rail's name; empty: the grid
  double in_order = 0;  ///< standard deviation of its fault in good order
};

/// What one check has of a part: eps changes by `per` for a unit of its fault.
struct Share {
  std::size_t part = 0;
  double per = 0;
};

/// Between the two holes of a pair.
inline constexpr std::string_view kAnd = " and ";

/// One check of the station, any setup.
struct Seen {
  std::string check_id, setup;
  double date = 0;        ///< [day]
  double eps = 0, u = 0;  ///< [rad]; u as decisions use it
  std::vector<Share> shares;
  double per_rail = 0;                ///< change of eps by 1 mm at the far rail dog, off its line [rad/mm]
  double per_fence = 0;               ///< by 1 mm at the right fence dog
  std::string rail_pair, fence_pair;  ///< `E2 and E10`: a gap shows wherever this pair is used
  int insertion = 0;                  ///< counts up whenever dogs are put in anew
  std::optional<double> most_off_mm;  ///< of a reading from the others of its spot; empty: single readings
  double per_reading = 0;             ///< change of eps by 1 mm in one reading at an end [rad/mm]
  std::string person, caliper;
  /// Mean square of its tapers about their mean over what readings explain, as an estimate of seating^2
  /// [rad^2], on so many degrees of freedom; 0: one strip.
  double seating_ms = 0, seating_nu = 0;
  double u_told = 0;  ///< standard uncertainty as the check told it, on `dof`; 0: as u
  double dof = check::kUnbounded;
  bool curved = false;  ///< its strips are curved
  bool within = false;  ///< its verdict
};

/// Told at the prompt, and no event of the log: somebody else checked, or with another caliper.
inline constexpr std::string_view kOtherHand = "other hand";

/// Something that happened; `before`: the checks ahead of it.
struct Happened {
  std::string kind, target;
  double date = 0;
  std::size_t before = 0;
  std::optional<double> moved, u_action;  ///< of a correction of known size [rad]
  bool is_shim = false;                   ///< the correction was a shim
  std::string setup = {};                 ///< that the correction was made in; empty: it holds for all
};

struct Scene {
  std::vector<Part> parts;
  std::vector<Seen> checks;      ///< by date; the last one is the one to explain
  std::vector<Happened> events;  ///< by date
  double play_mm = 0.02;         ///< of the dogs in good order

  [[nodiscard]] std::size_t part(PartKind kind, const std::string& name, double in_order);
  /// Of the newest check's setup: the last one before it that was within; the one before it when none was;
  /// nothing when there is no earlier one.
  [[nodiscard]] std::optional<std::size_t> good() const;
};

/// How each dog stands: +1 as described, -1 turned by half a turn since.
using Turned = std::map<std::string, int>;

/// Fills in what a setup makes of faults: shares, per_rail, per_fence, pairs.
/// \param panel_mm  length of the panel's cut, for the bow of the rail
void stand_on(Scene& scene, Seen& seen, const station::Station& station, const station::Setup& setup,
              const Turned& turned, double panel_mm);

/// What one mm of play makes of eps, as standard deviations (M74): a column an insertion and line, since each
/// pair of dogs falls as it will each time.
std::vector<std::vector<double>> play_columns(const Scene& scene);

}  // namespace quarterturn::history
