// SPDX-License-Identifier: MIT
/// \file hypotheses.hpp
/// What each cause would look like in the checks: one function a row of the table of causes.
///
/// In       a Scene
/// Out      hypotheses: columns over the checks, with what their sizes may be
/// Maths    METHOD.md (M80)
/// Assumes  sizes of what goes wrong are common practice, no source; something that lies between dogs and
/// what they
///          touch is gone once dogs are put in anew
#pragma once

#include <vector>

#include "history/causes.hpp"

namespace quarterturn::history {

using List = std::vector<Hypothesis>;

List of_chance(const Scene& scene);
List of_correction_amiss(const Scene& scene);
List of_rail_off_dog(const Scene& scene);
List of_bad_reading(const Scene& scene);
List of_swapped_ends(const Scene& scene);
List of_shim_gone(const Scene& scene);
List of_chips(const Scene& scene);
List of_loose_dog(const Scene& scene);
List of_bowed_rail(const Scene& scene);
List of_built_out(const Scene& scene);
List of_shifted_dog(const Scene& scene);
List of_play(const Scene& scene);
List of_wear(const Scene& scene);
List of_moisture(const Scene& scene);
List of_saw(const Scene& scene);
List of_other_hand(const Scene& scene);
List of_dog_size(const Scene& scene);
List of_dog_lean(const Scene& scene);
List of_bad_hole(const Scene& scene);

}  // namespace quarterturn::history
