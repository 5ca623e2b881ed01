// SPDX-License-Identifier: MIT
// From one evening to the next: the last kept check of the station in use is taken up where it was left.
#include <fmt/format.h>

#include "app/rail_bow.hpp"
#include "app/station_state.hpp"
#include "app/taken_up.hpp"
#include "cli/prompt_session.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "files/text_file.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::int64_t kDay = 86400;
/// From so many days on an edge may have moved with the damp; common practice, no source.
constexpr std::int64_t kOldEdgeDays = 7;

std::int64_t days_since(const std::string& date, std::int64_t now_utc) {
  return now_utc / kDay - files::parse_date(date, "date").day;
}

std::string step_words(const app::Step& step, std::int64_t now_utc) {
  using What = app::Step::What;
  const std::string day = files::day_name(step.date, now_utc);
  switch (step.what) {
    case What::checked: {
      const std::string verdict = step.verdict == "cannot-tell" ? "cannot tell yet" : step.verdict;
      return "checked " + day + (verdict.empty() ? "" : " (" + verdict + ")");
    }
    case What::corrected:
      return "corrected " + day;
    case What::searched:
      return fmt::format("searched {} ({} answer{})", day, step.answers, step.answers == 1 ? "" : "s");
    case What::cause:
      return "cause noted " + day;
    case What::happened:
      break;
  }
  return step.words + " " + day;
}

const char* journey_words(const app::Thread& thread) {
  switch (thread.journey) {
    case app::Journey::new_table:
      return "New table";
    case app::Journey::something_wrong:
      return thread.next.empty() ? "Put right" : "Something is off";
    case app::Journey::in_use:
      break;
  }
  return "In use";
}

/// The first, and the last few.
std::string steps_words(const std::vector<app::Step>& steps, std::int64_t now_utc) {
  constexpr std::size_t kShown = 5;
  std::string text;
  for (std::size_t k = 0; k < steps.size(); ++k) {
    if (steps.size() > kShown && k > 0 && k + kShown <= steps.size()) {
      if (k == 1) text += ", ...";
      continue;
    }
    text += (text.empty() ? "" : ", ") + step_words(steps[k], now_utc);
  }
  return text;
}

}  // namespace

/// What the newest check asks for, as far as it can be computed; only its verdict counts without.
app::Advised Session::advised_now(const std::string& station) {
  try {
    if (!last_) take_up_last();
    const auto newest = app::newest_check(*context_.log, *station_);
    const bool of_newest =
        last_ && kept_ && newest && kept_->made.id == newest->made.id && kept_->made.station == station;
    return of_newest ? app::advised(last_->outcome) : app::Advised::nothing;
  } catch (const units::InputError&) {
    return app::Advised::nothing;
  } catch (const UsageError&) {
    return app::Advised::nothing;
  }
}

/// `New table: checked 14 March (outside), corrected 14 March; next: check.` Empty without a station.
/// \param only_open  empty, too, where nothing comes next
std::string Session::thread_line(bool only_open) {
  if (!station_ || station_->setups.empty()) return "";
  const auto& log = *context_.log;
  const std::string id = log.known_station(*station_);
  if (id.empty()) return "";
  std::string setup = log.last_setup(id);
  if (!station_->setups.contains(setup)) setup = station_->setups.begin()->first;
  const auto steps = app::steps_of(log, id, setup);
  const bool open =
      !steps.empty() && steps.back().verdict != "within" &&
      (steps.back().what == app::Step::What::checked || steps.back().what == app::Step::What::searched);
  const auto thread = app::thread_of(steps, open ? advised_now(id) : app::Advised::nothing);
  if (only_open && thread.next.empty()) return "";
  std::string text = station_->setups.size() > 1 ? units::inert(setup) + ". " : "";
  text += std::string(journey_words(thread)) + ": ";
  text += thread.steps.empty() ? "not checked yet" : steps_words(thread.steps, context_.now_utc);
  if (!thread.next.empty()) return text + "; next: " + thread.next + ".";
  for (const auto& state : app::station_states(log, *station_, context_.now_utc)) {
    if (state.setup == setup && state.last.result.verdict == "within")
      text += fmt::format(". Next check {}, or after any knock",
                          state.overdue ? "now" : files::day_name(state.due, context_.now_utc));
  }
  return text + ".";
}

/// Once, until it changes.
void Session::say_thread(bool only_open) {
  const std::string line = thread_line(only_open);
  if (line.empty() || line == thread_told_) return;
  thread_told_ = line;
  talk_.say(report::finished(line + "\n", talk_.options));
}

/// Out of the log, where no check was made since the program was begun. It says so, once a word.
const Computed& Session::last() {
  if (!last_) take_up_last();
  if (!last_) throw UsageError("there is no check yet. Hint: 'check' begins one, 'check FILE' reads one");
  if (!taken_up_.empty() && !taken_up_told_) talk_.say("From check " + taken_up_ + ":\n");
  taken_up_told_ = true;
  return *last_;
}

void Session::take_over(app::TakenUp taken) {
  last_ = Computed{std::move(taken.request), std::move(taken.outcome), taken.otherwise.has_value()};
  kept_ = std::move(taken.kept);
  taken_up_ = units::inert(taken.name) + " of " + files::day_name(kept_->latest.date, context_.now_utc);
}

void Session::take_up_last() {
  if (!station_) return;
  try {
    auto taken = app::take_up(*context_.log, *station_, context_.now_utc);
    if (!taken) return;
    take_over(std::move(*taken));
  } catch (const check::NoInterval&) {
    throw UsageError(
        "the last check gives no ± any more. Hint: 'log verify' tells of it; 'check' begins one");
  }
}

/// What lies on the bench: the panel of the last strips, and how far apart they were measured.
void Session::take_up_bench() {
  if (!station_ || panel_ || apart_mm_ > 0) return;
  const auto kept = app::newest_check(*context_.log, *station_);
  if (!kept) return;
  const auto check = files::parse_readings(files::text_of(kept->latest.readings, "the log"));
  if (check.gaps() || check.strips.back().from_cut == 0) return;
  const auto& strip = check.strips.back();
  apart_mm_ = strip.spots.back().position_mm - strip.spots.front().position_mm;
  panel_ = check.panel_size;
  cuts_ = app::last_cut_of(check);
  strip_mm_ = check::mean_mm(strip.spots.front().readings);
}

bool Session::stands_otherwise() const {
  return kept_ && station_ && app::stands_otherwise(*context_.log, *kept_, *station_);
}

/// Further strips of an earlier evening: only on a panel that nothing has happened to.
bool Session::edges_untouched() {
  if (taken_up_.empty()) return true;
  const bool gaps = last().outcome.check.gaps();
  const auto days = days_since(kept_->latest.date, context_.clock());  // of a draft, too, as of today
  if (resuming_ && days <= 0) return true;                             // its readings go on, on the same day
  std::string text = fmt::format("{} cut {}.", gaps ? "The pieces were" : "The panel's edges were",
                                 days <= 0   ? std::string("today")
                                 : days == 1 ? std::string("yesterday")
                                             : fmt::format("{} days ago", days));
  if (days >= kOldEdgeDays) text += " An edge that old may have moved with the damp: a new check is surer.";
  talk_.say(report::wrapped("  " + text + "\n", talk_.options.width));
  // What is old is not agreed to by Enter alone.
  const auto fallback = days <= 0 ? std::optional<std::string>("yes") : std::nullopt;
  const char* what = gaps ? "Pieces untouched, nothing moved at the table since? yes, no"
                          : "Panel and edges untouched, nothing moved at the table since? yes, no";
  if (talk_.choose(what, fallback, {"yes", "no"}) == 0) return true;
  talk_.say("  Then begin again: 'check'. A strip across a change tells of neither.\n");
  return false;
}

}  // namespace quarterturn::cli
