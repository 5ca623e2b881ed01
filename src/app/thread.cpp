// SPDX-License-Identifier: MIT
#include "app/thread.hpp"

#include <algorithm>

#include "app/find_memory.hpp"
#include "files/dates.hpp"
#include "history/history.hpp"

namespace quarterturn::app {
namespace {

constexpr std::size_t kDayText = 10;  // of 2026-03-14T10:20:00

using What = Step::What;

bool is_within(const Step& step) {
  return step.what == What::checked && step.verdict == "within";
}

/// What the newest check asks for when nothing has happened behind it. \param was_good  a check before was
std::string next_of_check(const Step& check, Advised advised, bool was_good, bool cause_before) {
  if (is_within(check)) return "";
  switch (advised) {
    case Advised::correct:
      return "correct";
    case Advised::find:
      return "find";
    case Advised::more:
      return "more";
    case Advised::check:
      return "check";
    case Advised::nothing:
      break;
  }
  if (check.verdict == "cannot-tell") return "more";
  if (check.verdict != "outside") return "";
  return was_good || cause_before ? "find" : "correct";
}

/// \param since  what came behind the newest check, in order
std::string next_of(std::span<const Step> since, const std::string& of_check) {
  std::string next = of_check;
  for (const auto& step : since) {
    if (step.what == What::searched) continue;
    if (step.what == What::cause) {
      next = step.words == "chance" ? of_check : cured_by_a_move(step.words) ? "correct" : "check";
    } else if (step.what == What::corrected || files::ends_validity(step.words)) {
      next = "check";
    }
  }
  return next;
}

}  // namespace

bool cured_by_a_move(std::string_view cause) {
  return cause == "shifted-dog" || cause == "built-out";
}

Advised advised(const correct::Outcome& outcome) {
  if (outcome.settle_first) return Advised::check;
  if (!outcome.advice) return Advised::nothing;
  const auto& decision = outcome.advice->decision;
  if (decision.find_first) return Advised::find;
  if (outcome.rail_bowed) return Advised::check;
  switch (decision.correct) {
    case correct::Correct::yes:
      return Advised::correct;
    case correct::Correct::unclear:
      return Advised::more;
    case correct::Correct::no:
      break;
  }
  const bool outside = outcome.verdict && outcome.verdict->setup == check::Answer::outside;
  return outside ? Advised::check : Advised::nothing;
}

Thread thread_of(std::span<const Step> record, Advised advised) {
  Thread thread;
  thread.next = "check";
  const auto last = std::find_if(record.rbegin(), record.rend(),
                                 [](const Step& step) { return step.what == What::checked; });
  if (last == record.rend()) return thread;
  const auto newest = static_cast<std::size_t>(record.rend() - last) - 1;
  const auto before = record.first(newest);
  // The check that was good before the newest one, and whether a cause was noted since.
  const auto good = std::find_if(before.rbegin(), before.rend(), is_within);
  const bool was_good = good != before.rend();
  const auto from = was_good ? static_cast<std::size_t>(before.rend() - good) - 1 : 0;
  const auto between = before.subspan(from);
  const bool set_anew = std::ranges::any_of(between, [](const Step& s) { return s.what == What::corrected; });
  const bool cause = std::ranges::any_of(between, [](const Step& step) { return step.what == What::cause; });
  const auto since = record.subspan(newest + 1);
  thread.next = next_of(since, next_of_check(*last, advised, was_good && !set_anew, cause));
  const bool wrong =
      was_good && (!is_within(*last) || std::ranges::any_of(between.subspan(1), [](const Step& step) {
        return step.what == What::checked || step.what == What::cause;
      }));
  thread.journey = wrong ? Journey::something_wrong : was_good ? Journey::in_use : Journey::new_table;
  const auto shown = record.subspan(thread.journey == Journey::in_use ? newest : from);
  thread.steps.assign(shown.begin(), shown.end());
  return thread;
}

std::vector<Step> steps_of(const logbook::Logbook& log, const std::string& station,
                           const std::string& setup) {
  std::vector<std::pair<files::Order, Step>> timed;
  const auto add = [&](const std::string& date, std::int64_t utc, const std::string& recorded, Step step) {
    step.date = date.substr(0, kDayText);
    timed.emplace_back(files::order_of(date, utc, recorded), std::move(step));
  };
  log.at_one_moment([&] {
    const auto checks = log.results(station, setup);
    for (const auto& kept : checks)
      add(kept.date, kept.utc, kept.recorded,
          {What::checked, "", kept.result.verdict, kept.result.provisional});
    for (const auto& kept : log.events(station)) {
      const auto& event = kept.event;
      if (kept.withdrawn || (!event.setup.empty() && event.setup != setup)) continue;
      Step step{What::happened, "", "", false, event.kind};
      if (event.kind == "corrected") step.what = What::corrected;
      if (event.kind == history::kCauseNoted)
        step = {What::cause, "", "", false, event.note.substr(0, event.note.find(':'))};
      add(event.date, event.utc, event.recorded, std::move(step));
    }
    if (checks.empty()) return;
    const auto& newest = *std::ranges::max_element(
        checks, {}, [](const auto& kept) { return files::order_of(kept.date, kept.utc, kept.recorded); });
    const auto remembered = remembered_of(log, newest.id);
    if (remembered.order.empty()) return;
    Step step{What::searched, "", "", false, {}, static_cast<int>(remembered.order.size())};
    const std::string day = remembered.last_recorded.substr(0, kDayText);
    add(day, files::parse_date(day, "note").utc_second, remembered.last_recorded, std::move(step));
  });
  std::ranges::stable_sort(timed, {}, [](const auto& one) -> const files::Order& { return one.first; });
  std::vector<Step> steps;
  for (auto& one : timed) steps.push_back(std::move(one.second));
  return steps;
}

}  // namespace quarterturn::app
