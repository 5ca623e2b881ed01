// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <utility>

#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kMoreCuts = 2;

double apart_of(const check::Strip& strip) {
  return strip.spots.back().position_mm - strip.spots.front().position_mm;
}

/// While it is open, or settled only if panels seat as usual.
bool goes_on(const correct::Outcome& outcome) {
  if (!outcome.look || outcome.settle_first) return false;
  const auto strips = outcome.check.strips.size();
  return outcome.look->goes_on(strips) ||
         (outcome.fit.provisional && static_cast<int>(strips) < outcome.look->planned);
}

}  // namespace

/// One more strip of the check, measured on. False: its strip cannot be used, or nothing can be told.
/// \param cuts_left  with this one, of those that `more` makes; 0: as many as it takes
bool Session::one_more_cut(const Computed& base, int cuts_left) {
  if (kept_) begin_draft("more", kept_->made.id, cuts_left);  // else nothing could be gone on with
  app::CheckRequest request = base.request;
  auto& check = request.check;
  const int cut = check.strips.back().to_cut + 1;
  check.test = check::TestKind::progressive;
  const auto& outcome = base.outcome;
  show_cuts(cut, cut, outcome.station ? &outcome.station->setup(outcome.setup_name) : nullptr);
  const auto ends =
      ask_strip(fmt::format("strip {}-{}, ", cut - 4, cut), apart_of(check.strips.back()), cut, check);
  if (!ends) return false;
  check.strips.push_back(app::strip_of(*ends, check.strips.back().panel, cut - 4, cut));
  return compute(std::move(request), kept_ ? kept_->made.id : "");
}

void Session::more_cuts() {
  const Computed& base = last();
  const auto& check = base.request.check;
  if (base.edges_old || stands_otherwise()) {
    throw UsageError(check.gaps() ? "these pieces were cut before something was moved: begin a new test."
                                  : "all four edges are old since something was moved: begin again at cut 1 "
                                    "with 'check'.");
  }
  if (check.gaps()) {
    if (check.test == check::TestKind::rail || edges_untouched()) one_more_joint();
    return;
  }
  if (check.strips.back().from_cut == 0 || check.strips.front().panel != check.strips.back().panel) {
    throw UsageError("'more' carries on a five-cut on one panel; this check is another test.");
  }
  const auto& look = base.outcome.look;
  if (look && static_cast<int>(check.strips.size()) >= look->planned) {
    throw UsageError(fmt::format(
        "the test was planned for at most {} strips, and they are measured: begin a new one with 'check'.",
        look->planned));
  }
  if (!edges_untouched()) return;
  checking_ = true;
  told_ = static_cast<int>(check.strips.size());
  talk_.say(care_line());
  if (look) {
    go_on();
  } else {
    const double strip_mm = check.strips.back().spots.front().readings.front().mm;
    const bool large =
        !check.panel_size || stays_large_enough(*check.panel_size, check.strips.back().to_cut + 2, strip_mm);
    const int cuts = std::exchange(cuts_left_, 0) == 1 ? 1 : kMoreCuts;
    for (int left = cuts; large && left > 0 && one_more_cut(Computed(last()), left); --left) {
    }
  }
  checking_ = false;
}

/// Strip after strip of a planned test: until it is settled, the plan or the panel is used up, or the person
/// stops. At least one, where the panel bears it.
void Session::go_on() {
  do {
    const Computed base = last();
    const auto& strips = base.request.check.strips;
    bool large = true;
    if (const auto& panel = base.request.check.panel_size) {
      try {
        large = stays_large_enough(*panel, strips.back().to_cut + 1,
                                   check::mean_mm(strips.back().spots.front().readings));
      } catch (const Back&) {
        large = false;  // no cut is made that was not agreed to
      }
    }
    if (!large) {
      talk_.say(
          fmt::format("  Stopped after strip {} of at most {}; it stays open. A larger panel begins a new "
                      "test: 'check'.\n",
                      strips.size(), *base.request.planned_strips));
      return;
    }
    if (!one_more_cut(base, 0)) return;
  } while (goes_on(last().outcome));
}

}  // namespace quarterturn::cli
