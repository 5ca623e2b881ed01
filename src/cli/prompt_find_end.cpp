// SPDX-License-Identifier: MIT
// How a search for a cause ends: found and noted, named by the person, or left open with what comes next.
#include <fmt/format.h>

#include <algorithm>

#include "check/test_cost.hpp"
#include "cli/prompt_session.hpp"
#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kFewestOfCheck = 5;  ///< cuts; fewer are further ones on the panel at hand

}  // namespace

/// A fault that a test found and that is not what moved the corner is a fault all the same.
void Session::say_found_besides(const history::Search& search) {
  if (!search_) return;
  const bool settled = search.found.settled();
  for (const auto& code : search_->asked) {
    const auto& answer = search_->request.answers.at(code);
    const auto* test = history::find_test_row(code);
    if (test == nullptr || !answer.found || answer.skipped) continue;
    std::vector<std::string_view> causes = test->shows;
    causes.insert(causes.end(), test->may.begin(), test->may.end());
    if (causes.empty()) continue;
    const auto* leads = search.found.suspects.front().row;
    if (settled && std::ranges::find(causes, leads->code) != causes.end()) continue;
    const auto& cure = history::cause_row(causes.front()).cure;
    if (cure.empty()) continue;
    const std::string size = answer.mm ? ", " + report::length_text(*answer.mm, talk_.options.unit) : "";
    talk_.say(
        report::finished(fmt::format("Found besides: {}{}. Put it right, whatever moved the corner. {}\n",
                                     test->positive, size, cure),
                         talk_.options));
  }
}

/// A person may know what no test tells: the code of that cause, empty when nobody does.
std::string Session::ask_known_cause(const history::Search& search) {
  const auto& codes = letters_.second;
  std::string code;
  talk_.ask("which was it, by its letter [not known]", std::string(), [&](const std::string& typed) {
    code.clear();
    if (typed.empty()) return;
    const std::string small = units::lowered(typed);
    const auto at = static_cast<std::size_t>(small.front() - 'a');
    const bool shown = small.size() == 1 && small.front() >= 'a' && at < codes.size() &&
                       codes[at] != "chance" &&
                       std::ranges::any_of(search.found.suspects,
                                           [&](const auto& each) { return each.row->code == codes[at]; });
    if (!shown)
      throw units::InputError("answer", typed, "the letter of a cause above, or nothing", {},
                              "for instance: B");
    code = codes[at];
  });
  return code;
}

/// The tests that are made by looking have told what they can, and more than one cause is left. True: the
/// person proves one now.
bool Session::end_unsettled(const history::Search& search, std::size_t steps) {
  const auto* next = search.found.next;
  if (next != nullptr) {
    talk_.say(report::finished(
        fmt::format("Next, {}: {} Then '{}', and 'find' again.\n", report::test_cost(*next), next->ask,
                    next->cuts > 0 && next->cuts < kFewestOfCheck ? "more" : "check"),
        talk_.options));
  }
  talk_.say(report::finished(report::spared_text(search), talk_.options));
  if (next == nullptr) talk_.say("No test tells what is left apart.\n");
  talk_.say("If you know which it was, type its letter: it is noted as the cause.\n");
  std::string code;
  try {
    code = ask_known_cause(search);
  } catch (const Leave& leave) {
    if (leave.why != Leave::Why::later) throw;
  }
  if (!code.empty()) {
    app::note_cause(*context_.log, search, code, "", context_.now_utc);
    talk_.say("Cause noted.\n");
    return ask_proof(code, steps + 1);
  }
  if (next != nullptr) return false;
  talk_.say(
      search.now_within
          ? "It is within: leave the dogs alone, and check again soon.\n"
          : "Then 'check' once more, with new cuts. If it reads as this one did, the table stands so now, "
            "and "
            "'correct' moves a dog for it, whatever the cause was. If it reads otherwise: 'find' again.\n");
  return false;
}

/// True: the person proves it now.
bool Session::end_search(const history::Search& search, std::size_t steps) {
  if (report::nothing_to_find(search)) {
    talk_.say("Leave it alone.\n");
    return false;
  }
  say_found_besides(search);
  if (!search.found.settled()) return end_unsettled(search, steps);
  talk_.say(report::finished(report::cure_text(search), talk_.options));
  const std::string cause(search.found.suspects.front().row->code);
  if (cause == "chance") return false;
  if (!talk_.yes("Note it as the cause?", true)) return false;
  app::note_cause(*context_.log, search, cause, "", context_.now_utc);
  talk_.say("Cause noted.\n");
  return ask_proof(cause, steps + 1);
}

/// Whether five cuts are made now that tell whether it is put right.
bool Session::ask_proof(const std::string& cause, std::size_t step) {
  if (app::cured_by_a_move(cause)) {
    talk_.say("Put it right with 'correct', then prove it: 'check'.\n");
    return false;
  }
  talk_.say(report::finished(fmt::format("Step {}, {}: put right, five cuts prove it, cuts 1-5 anew.\n", step,
                                         report::minutes_text(check::kMinutesFiveCut)),
                             talk_.options));
  try {
    if (talk_.choose("now / later", std::nullopt, {"now", "later"}) == 0) return true;
  } catch (const Back&) {
    // The cause stays noted.
  } catch (const Leave& leave) {
    if (leave.why != Leave::Why::later) throw;
  }
  talk_.say("  'check' proves it, today or another day.\n");
  return false;
}

/// True: a cause is noted for this check already, and what comes next was said.
bool Session::say_noted_before(const std::string& bad) {
  const auto noted = app::cause_behind(*context_.log, context_.log->check(bad));
  if (!noted) return false;
  talk_.say(report::finished(
      fmt::format("Noted as the cause on {}: {}.\n{} If it was another: 'log withdraw {} --reason ...', then "
                  "'find'.\n",
                  files::day_name(noted->date, context_.now_utc), units::inert(noted->words, 200),
                  app::cured_by_a_move(noted->code) ? "'correct' puts it right, 'check' proves it."
                                                    : "Put right, 'check' proves it.",
                  noted->event.substr(0, 8)),
      talk_.options));
  return true;
}

}  // namespace quarterturn::cli
