// SPDX-License-Identifier: MIT
/// \file result.hpp
/// Everything that `plan` gives: what app/ computes and report/ shows.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "check/finding.hpp"
#include "plan/further.hpp"
#include "plan/plan.hpp"
#include "plan/sizes.hpp"
#include "units/number.hpp"

namespace quarterturn::plan {

/// Where a size comes from.
enum class From { given, log, caliper, assumed, nothing };
/// `given`, `log`, … as JSON has it.
const char* from_word(From from);

struct Result {
  std::string station, setup;  ///< empty from options alone
  Bench bench;                 ///< with the sizes planned for
  From reading = From::caliper, saw_marks = From::nothing, seating = From::assumed;
  LogSizes log;
  bool caliper_assumed = false, panel_assumed = false, span_assumed = false;
  double span_mm = 0;
  std::optional<Aim> aim;  ///< empty without a tolerance
  double over_mm = 600;    ///< the length over which mm are told
  int most_cuts = 0;
  double least_mm = 0;  ///< of panel that must be left
  Plan plan;
  std::vector<check::Finding> findings;  ///< what the table and the panel have against it
};

/// What further cuts would settle.
struct Settling {
  std::string station, setup, check;  ///< check: `dock/3`, or empty
  double over_mm = 600;
  bool panel_known = false;
  bool settle_first = false;  ///< a finding of the check asks to be cleared up before anything else
  bool find_first = false;    ///< why it moved is to be found first
  Further further;
};

}  // namespace quarterturn::plan
