// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "app/keep_check.hpp"
#include "app/kept_move.hpp"
#include "app/known_checks.hpp"
#include "app/station_state.hpp"
#include "cli/prompt_session.hpp"
#include "files/text_file.hpp"
#include "report/log_report.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
/// How the station stood at its last check, and when the next is due.
void Session::say_state() {
  for (const auto& state : app::station_states(*context_.log, *station_, context_.now_utc))
    talk_.say("  " + report::state_words(state, talk_.options.unit) + "\n");
}

/// What the log made of it; nothing, with its reason said, when it could not take it: that does not take the
/// answer away.
std::optional<logbook::KeptCheck> Session::kept_of(const std::function<logbook::KeptCheck()>& keep) {
  try {
    auto kept = keep();
    const auto& reason = kept.latest.reason;
    const bool on = reason == app::kMeasuredOn || reason == app::kJointAdded;
    talk_.say(fmt::format("{} as check {}.\n",
                          on               ? "Measured on, kept"
                          : reason.empty() ? "Saved"
                                           : "Read again, kept",
                          units::inert(app::name_of(*context_.log, kept))));
    return kept;
  } catch (const units::InputError& error) {
    talk_.say(std::string("Not saved: ") + error.what() + "\n");
  } catch (const files::FileTrouble& trouble) {
    talk_.say("Not saved: " + trouble.message + "\n");
  }
  return std::nullopt;
}

/// What is measured on goes on from the check as it stands: not withdrawn, and no other version meanwhile.
void Session::hold_to_kept(const logbook::KeptCheck& now) const {
  const std::string name = app::name_of(*context_.log, now);
  if (now.withdrawn)
    throw units::InputError("check", name, "one that was not withdrawn", {}, "'check' begins a new one");
  if (kept_ && kept_->made.id == now.made.id && kept_->latest.id != now.latest.id) {
    throw units::InputError("check", name, "as it was when this was begun", {},
                            "it was changed meanwhile: 'more' goes on from it as it stands now");
  }
}

void Session::keep(const app::CheckRequest& request, const correct::Outcome& outcome,
                   const std::string& more_of) {
  if (!outcome.station) {  // it is told, and cannot be kept
    finish_draft();
    return;
  }
  auto& log = *context_.log;
  kept_ = kept_of([&] {
    logbook::KeptCheck made;
    log.together([&] {  // that it is kept, and is no draft any more
      if (!more_of.empty()) hold_to_kept(log.check(more_of));
      made = more_of.empty()
                 ? app::keep_check(log, request, outcome, context_.now_utc, app::ids_of(request.earlier))
                 : app::amend_with(log, log.check(more_of), request, outcome,
                                   request.check.gaps() ? app::kJointAdded : app::kMeasuredOn,
                                   context_.now_utc, app::ids_of(request.earlier));
      drafts_.take_out();
    });
    return made;
  });
  if (kept_)
    finish_draft();
  else if (leave_draft())
    talk_.say("  What was typed stays in 'drafts'.\n");
}

void Session::keep_done(std::size_t move) {
  if (!kept_) return;
  try {
    app::keep_move(*context_.log, *kept_, last().outcome, move, files::today(context_.now_utc));
  } catch (const files::FileTrouble& trouble) {
    talk_.say("Not in the log: " + trouble.message + "\n");
  }
}

/// A move of an earlier evening is held against the next check just as one of a minute ago.
void Session::find_pending(const std::string& setup) {
  if (moved_ || !station_) return;
  const std::string id = context_.log->known_station(*station_);
  if (id.empty()) return;
  moved_ = app::pending_move(*context_.log, id, setup, context_.now_utc);
}

}  // namespace quarterturn::cli
