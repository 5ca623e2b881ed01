// SPDX-License-Identifier: MIT
#include "app/kept_move.hpp"

#include <algorithm>
#include <cmath>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "files/dates.hpp"
#include "files/log_document.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

constexpr std::int64_t kDay = 86400;

/// The instruction with its lengths in mm: a record has no unit of a person, and outlives the pattern.
std::string text_of(const correct::Move& move) {
  std::string out;
  std::string_view rest = move.text;
  while (!rest.empty()) {
    const std::size_t open = std::min(rest.find('{'), rest.size());
    out += rest.substr(0, open);
    rest.remove_prefix(open);
    const std::size_t close = rest.find('}');
    if (rest.empty() || close == std::string_view::npos) break;
    const std::string name(rest.substr(1, std::min(rest.find(':'), close) - 1));
    out += units::shortest(std::round(move.numbers.at(name) * 1000) / 1000) + " mm";
    rest.remove_prefix(close + 1);
  }
  return out;
}

}  // namespace

void keep_move(logbook::Logbook& log, const logbook::KeptCheck& kept, const correct::Outcome& outcome,
               std::size_t move, const files::Moment& when) {
  if (when.as_typed.substr(0, 10) < kept.latest.date.substr(0, 10))
    throw units::InputError("date", when.as_typed, "not before the check it answers, " + kept.latest.date, {},
                            "the day on which it was moved");
  for (const auto& event : log.events(kept.made.station)) {
    if (event.withdrawn || !event.move || event.move->check != kept.made.id) continue;
    throw units::InputError("correction", name_of(log, kept), "one that was not answered yet", {},
                            "a correction of " + event.event.date.substr(0, 10) +
                                " is noted with it already: check again, or 'log withdraw " +
                                event.event.id.substr(0, 8) + "' if it was not made");
  }
  files::EventRecord event;
  event.station = kept.made.station;
  event.setup = kept.made.setup;
  event.kind = "corrected";
  event.date = when.as_typed;
  event.utc = when.utc_second;
  files::MoveRecord record;
  record.check = kept.made.id;
  const auto& decision = outcome.advice->decision;
  record.mu = decision.mu;
  record.v = decision.v;
  if (move < outcome.advice->moves.size()) {
    const auto& made = outcome.advice->moves[move];
    record.means = correct::means_row(made.means).word;
    record.text = text_of(made);
    event.target = made.hole ? made.hole->name() : "";
    if (!made.bound_only) {
      record.moved = made.moved_rad;
      record.u_action = made.u_action_rad;
    }
  } else {
    record.means = "other";
  }
  event.note = record.means;
  log.keep(event, record);
}

std::optional<correct::PendingMove> pending_move(const logbook::Logbook& log, const std::string& station,
                                                 const std::string& setup, std::int64_t utc) {
  std::optional<logbook::KeptEvent> last;
  for (auto& kept : log.events(station)) {
    if (kept.withdrawn || kept.event.utc > utc + kDay) continue;
    if (kept.move && kept.event.setup == setup)
      last = std::move(kept);
    else if (last && files::ends_validity(kept.event.kind) &&
             (kept.event.setup.empty() || kept.event.setup == setup))
      last.reset();  // something else was changed since: nothing is expected any more
  }
  if (!last || !last->move->moved) return std::nullopt;
  std::optional<logbook::KeptCheck> before;
  for (auto& kept : log.checks(station)) {
    if (kept.withdrawn || kept.made.setup != setup || kept.latest.result.test == files::kRailTest) continue;
    // Any check that was kept behind the move answers for it.
    if (kept.made.recorded > last->event.recorded) return std::nullopt;
    if (kept.made.id == last->move->check) before = std::move(kept);
  }
  if (!before) return std::nullopt;
  CheckRequest request = request_of(log, before->latest);
  request.earlier = EarlierAsKept(log).at(setup, before->latest.result.used, before->latest.recorded);
  const auto outcome = run_check(request);
  if (!outcome.geometry || outcome.geometry->q == 0) return std::nullopt;
  if (outcome.check.form == check::Form::halves)
    return std::nullopt;  // the next board has a taper of its own
  const auto& strip = outcome.check.strips.back();
  return correct::PendingMove{expected_after(outcome, *last->move->moved, last->move->u_action.value_or(0)),
                              strip.spots.back().position_mm - strip.spots.front().position_mm,
                              outcome.check.gaps(), outcome.check.form};
}

void find_pending(CheckRequest& request, const logbook::Logbook& log, std::int64_t now_utc) {
  if (request.check.test == check::TestKind::progressive || request.check.strips.size() != 1) return;
  if (const auto asked = asked_of(request, log, now_utc)) {
    request.pending = pending_move(log, asked->station, asked->setup, asked->utc);
    // What a strip was expected to read says nothing of a gap, nor the other way round.
    if (request.pending && !request.pending->like(request.check)) request.pending.reset();
  }
}

}  // namespace quarterturn::app
