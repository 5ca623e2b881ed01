// SPDX-License-Identifier: MIT
// The check that proves a cause closes the search for it.
#include <fmt/format.h>

#include "cli/prompt_session.hpp"
#include "files/dates.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

/// Before the check is kept: the search that it answers, with what was answered in it on any evening.
std::optional<Session::Closing> Session::search_to_close(const app::CheckRequest& request) const {
  if (!request.noted || !request.station) return std::nullopt;
  const auto& log = *context_.log;
  try {
    const auto bad = log.check(request.noted->check);
    const auto past = app::remembered_of(log, bad.made.id);
    auto noted = app::cause_behind(log, bad);
    if (!noted || !past.proved.empty()) return std::nullopt;
    (void)history::cause_row(noted->code);
    app::FindRequest ask;
    ask.station = *request.station;
    ask.setup = bad.made.setup;
    ask.check = bad.made.id;
    ask.answers = past.answers;
    ask.told = past.told;
    return Closing{app::find_step(log, ask), std::move(*noted), bad.made.id};
  } catch (const units::InputError&) {
    return std::nullopt;  // the check stands without it
  } catch (const std::out_of_range&) {
    return std::nullopt;  // noted by hand, in words of its own
  }
}

void Session::close_search(const Closing& closing, const correct::Outcome& proof) {
  if (!proof.noted || !proof.verdict || proof.verdict->setup != check::Answer::within) return;
  const auto& search = closing.search;
  const auto& options = talk_.options;
  report::Proved proved{closing.noted.code, "", search.panel_mm * (proof.fit.eta.x - proof.noted->was_rad)};
  if (search.found.good && search.scene.checks[*search.found.good].within)
    proved.good_day = files::day_name(search.names[*search.found.good].date, context_.now_utc);
  talk_.say(
      report::finished(report::explained_text(search, proved, options) +
                           fmt::format("Cause noted: {} ({}).\n", units::inert(closing.noted.words, 200),
                                       report::agreeing_words(search, options.unit)),
                       options));
  bool right = true;
  try {
    right = talk_.yes("Right?", true);
  } catch (const Back&) {
    return;  // it stays as it was noted
  }
  if (!right) {
    files::WithdrawalRecord record;
    record.about = closing.noted.event;
    record.reason = "not the cause, said after the check that was to prove it";
    context_.log->keep(record);
    talk_.say("  Withdrawn: it is within, and why it was out is not known.\n");
    return;
  }
  app::remember(*context_.log, closing.bad, {files::FindNote::Kind::proved, closing.noted.code, {}});
  talk_.say(report::finished(report::after_proof_text(search, proved, options), options));
}

}  // namespace quarterturn::cli
