// SPDX-License-Identifier: MIT
/// \file verdict.hpp
/// Within, outside or cannot tell: of the setup, and of the next panel (M37)–(M39), [JCGM106], [ISO14253]
/// second-hand.
#pragma once

#include <optional>
#include <string_view>

#include "check/fit.hpp"

namespace quarterturn::check {

enum class Answer { within, outside, cannot_tell };
/// `within`, `outside`, `cannot-tell`: as JSON and the log have it.
const char* answer_word(Answer answer);
/// Empty for any other word.
std::optional<Answer> answer_of(std::string_view word);

/// *Within* from this probability on, *outside* up to its complement. JCGM 106 leaves it to the parties; ISO
/// 14253-1:2017 takes 95 %, second-hand.
inline constexpr double kConforms = 0.95;

struct Verdict {
  Answer setup = Answer::cannot_tell;
  double setup_probability = 0;  ///< P(|eta| <= T)
  std::optional<Answer> next_panel;
  std::optional<double> next_panel_probability;  ///< P(|eta + e| <= T)
  double tolerance_rad = 0;
  bool provisional = false;
  bool seating_too_wide = false;  ///< sigma_r > T/2: no move of dogs can bring panels within
};

/// Of the setup alone. \param strict  the whole interval inside or outside, instead of 0.95 / 0.05
Answer setup_answer(const Fit& fit, double tolerance_rad, bool strict);
/// Of the setup and the next panel.
Verdict verdict_of(const Fit& fit, double tolerance_rad, bool strict = false);

/// P(|x| <= T) for x located at `x` with scale u under t(dof). JCGM 106 7.
double probability_inside(double x, double u, double dof, double tolerance);

}  // namespace quarterturn::check
