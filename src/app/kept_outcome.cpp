// SPDX-License-Identifier: MIT
#include "app/kept_outcome.hpp"

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"

namespace quarterturn::app {

correct::Outcome outcome_of_kept(const logbook::Logbook& log, const logbook::KeptCheck& kept) {
  auto request = request_of(log, kept.latest);
  request.setup = kept.made.setup;
  inform(request, log, kept.latest.utc, kept.made.id);
  // Checks that were kept later, or were no longer thought alike, informed nothing then.
  request.earlier = EarlierAsKept(log).at(kept.made.setup, kept.latest.result.used, kept.latest.recorded);
  return run_check(request);
}

}  // namespace quarterturn::app
