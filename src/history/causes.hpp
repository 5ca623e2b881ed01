// SPDX-License-Identifier: MIT
/// \file causes.hpp
/// The table of causes: what each would look like in the checks of a station. A new cause is one row here.
///
/// In       a Scene
/// Out      hypotheses of a cause: a column over the checks, with what its size may be
/// Maths    METHOD.md (M80), (M81)
/// Assumes  weights beforehand, sizes, and what an event makes likelier are common practice, no source
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "history/scene.hpp"

namespace quarterturn::history {

/// One way in which a cause may have acted. eps of check i gets size * x[i], the size N(mean, sd^2).
struct Hypothesis {
  std::vector<double> x;
  double mean = 0, sd = 0;
  std::vector<double> scatter = {};               ///< added to the variance of each check; empty: none
  std::vector<std::vector<double>> columns = {};  ///< further columns, each of size N(0, 1)
  double weight = 1;                              ///< among the hypotheses of its cause
  std::string target = {};                        ///< hole, dog, person it is about
  std::size_t since = 0;                          ///< first check it shows in
  bool known_size = false;                        ///< its size was computed, not guessed
  std::string_view shown_by = {};  ///< of the tests that may show its cause, the one for this place
};

/// What a cause does to how panels seat.
enum class SeatingEffect { none, maybe, up };

struct EventFactor {
  std::string_view kind;
  double factor;
};

struct CauseRow {
  std::string_view code;
  std::string_view words;       ///< for a person: `the rail is clamped off a dog`
  std::string_view size_words;  ///< of its own size `{size}`, mm; empty: none of its own
  double weight;                ///< beforehand, against the others
  SeatingEffect seating;
  double curved;                      ///< chance that strips of a check are curved while it acts
  std::vector<EventFactor> likelier;  ///< to begin just after such an event
  std::string_view cure;              ///< what to do about it
  std::string_view habit;             ///< for the card on the wall; may be empty
  std::function<std::vector<Hypothesis>(const Scene&)> hypotheses;
};

const std::vector<CauseRow>& cause_rows();
/// \throws std::out_of_range
const CauseRow& cause_row(std::string_view code);

/// Two causes that no test of the setup can tell apart, and why.
struct Inseparable {
  std::string_view a, b, why;
};
const std::vector<Inseparable>& never_separable();

}  // namespace quarterturn::history
