// SPDX-License-Identifier: MIT
#include "app/keep_check.hpp"
#include "app/kept_move.hpp"
#include "app/known_checks.hpp"
#include "app/settle_check.hpp"
#include "cli/commands.hpp"
#include "cli/progress.hpp"
#include "report/table_drawing.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

/// The command line once more, for somebody who has to add to it.
std::string as_typed(const Parsed& parsed) {
  std::string line = "quarterturn " + parsed.word;
  for (const auto& [option, values] : parsed.options) {
    if (values.empty()) line += " " + option;
    for (const auto& value : values) {
      const bool plain = !value.empty() && value.find_first_of(" \t\"'") == std::string::npos;
      line += " " + option + " " + (plain ? value : "\"" + value + "\"");
    }
  }
  return line;
}

std::string save(const Context& context, const app::CheckRequest& request, const correct::Outcome& outcome) {
  const auto kept =
      app::keep_check(*context.log, request, outcome, context.now_utc, app::ids_of(request.earlier));
  return std::string(kept.latest.reason.empty() ? "Saved" : "Measured on, kept") + " as check " +
         units::inert(app::name_of(*context.log, kept)) + ".\n";
}

/// What is asked of a corner cannot be asked of a rail test.
void hold_to_rail(const Parsed& parsed, const correct::Outcome& outcome) {
  if (outcome.check.test != check::TestKind::rail) return;
  for (const char* option : {"--budget", "--simulate", "--require", "--most-strips", "--done"}) {
    if (parsed.has(option))
      throw UsageError(std::string(option) + " is given with a rail test, which tells no corner.");
  }
}

/// Runs the check; a check without interval says so on standard error and leaves nothing on standard output.
template <typename Show>
Said with_outcome(const Context& context, const Parsed& parsed, Show show) {
  Said said;
  auto request = request_of(context, parsed, said);
  if (!parsed.has("--no-log")) {
    app::inform(request, *context.log, context.now_utc);
    app::find_pending(request, *context.log, context.now_utc);
  }
  take_survey_option(context, parsed, request);
  const auto options = text_options(context, parsed, request.check.unit);
  try {
    const auto outcome = app::run_check(request);
    hold_to_rail(parsed, outcome);
    show(request, outcome, options, said);
    if (parsed.has("--save")) said.err += save(context, request, outcome);
  } catch (const check::NoInterval& arithmetic) {
    said.out.clear();
    said.err += report::no_interval_text(arithmetic, request.check, options,
                                         parsed.arguments.empty() ? as_typed(parsed) : std::string());
    said.status = kBadInput;
  }
  return said;
}

void require_within(const correct::Outcome& outcome, Said& said) {
  if (!outcome.verdict) {
    said.err += "not within: no tolerance was stated, so there is no verdict.\n";
    said.status = kNotWithin;
  } else if (outcome.verdict->setup != check::Answer::within || outcome.verdict->provisional) {
    said.err += "not within: the verdict is " + report::verdict_words(*outcome.verdict) + ".\n";
    said.status = kNotWithin;
  }
}

}  // namespace

namespace {

std::optional<check::Simulation> simulated(const Context& context, const Parsed& parsed,
                                           const app::CheckRequest& request,
                                           const correct::Outcome& outcome) {
  const auto seed = parsed.value("--seed");
  if (!parsed.has("--simulate")) {
    if (seed) throw UsageError("--seed is given without --simulate: nothing else is left to chance.");
    return std::nullopt;
  }
  check::SimulationOptions options;
  if (seed) options.seed = static_cast<std::uint64_t>(units::parse_whole(*seed, "--seed", 0, 2'000'000'000));
  Progress progress(context.terminal, "percent simulated", 100);
  options.progress = [&](double share) { progress.show(static_cast<std::size_t>(100 * share)); };
  auto made = app::simulate_check(request, outcome, options);
  progress.end();
  return made;
}

}  // namespace

std::string shown_check(const Context& context, const Parsed& parsed, const app::CheckRequest& request,
                        const correct::Outcome& outcome, const report::TextOptions& options) {
  const report::Shown shown{.budget = parsed.has("--budget"),
                            .simulation = simulated(context, parsed, request, outcome),
                            .settles = app::what_settles(request, outcome)};
  if (parsed.has("--json")) return report::check_json(outcome, shown);
  return report::check_text(outcome, options, {.settles = shown.settles}) +
         (shown.budget ? "\n" + report::budget_text(outcome, options) : std::string()) +
         (shown.simulation ? "\n" + report::simulation_text(outcome, *shown.simulation, options)
                           : std::string());
}

report::MoreCuts more_cuts_of(const app::CheckRequest& request, const correct::Outcome& outcome) {
  return {.settles = app::what_settles(request, outcome),
          .two_more = app::what_two_more_bring(request, outcome)};
}

Said check_command(const Context& context, const Parsed& parsed) {
  return with_outcome(context, parsed,
                      [&](const auto& request, const auto& outcome, const auto& options, Said& said) {
                        said.out = shown_check(context, parsed, request, outcome, options);
                        if (parsed.has("--require")) require_within(outcome, said);
                      });
}

namespace {

/// `--done N`: the move is kept with its check, which is kept too if it was not yet.
std::string note_done(const Context& context, const app::CheckRequest& request,
                      const correct::Outcome& outcome, const std::string& number, const files::Moment& when,
                      const report::TextOptions& options) {
  if (!outcome.advice) throw UsageError("--done is given, but nothing can be said about moving dogs here.");
  const auto ways = static_cast<int>(outcome.advice->moves.size());
  const int way = units::parse_whole(number, "--done", 0, ways);
  auto kept = app::kept_already(*context.log, request, outcome, context.now_utc);
  if (!kept)
    kept = app::keep_check(*context.log, request, outcome, context.now_utc, app::ids_of(request.earlier));
  const auto move = static_cast<std::size_t>(way == 0 ? ways : way - 1);
  app::keep_move(*context.log, *kept, outcome, move, when);
  const std::string expect = way == 0 ? "" : report::expect_text(outcome, move, options);
  return report::finished(
      "Noted with check " + units::inert(app::name_of(*context.log, *kept)) + ": " +
          (way == 0 ? std::string("another way")
                    : report::move_text(outcome.advice->moves[move], options.unit)) +
          (outcome.check.gaps() ? "\nThese pieces are now old: cut fresh ones for the next test.\n"
                                : "\nAll four edges are now old: begin again at cut 1, same panel.\n") +
          (expect.empty() ? "" : expect + "\n"),
      options);
}

}  // namespace

Said correct_command(const Context& context, const Parsed& parsed) {
  return with_outcome(
      context, parsed, [&](const auto& request, const auto& outcome, const auto& options, Said& said) {
        if (const auto done = parsed.value("--done")) {
          const auto date = parsed.value("--date");
          const auto when =
              date ? files::parse_past_date(*date, "--date", context.now_utc) : files::today(context.now_utc);
          said.out = note_done(context, request, outcome, *done, when, options);
          return;
        }
        const auto settles = app::what_settles(request, outcome);
        if (parsed.has("--json")) {
          said.out = report::check_json(outcome, {.settles = settles});
          return;
        }
        if (outcome.check.test == check::TestKind::rail) {  // it moves no dog
          said.out = report::check_text(outcome, options);
          return;
        }
        const bool told_below = outcome.advice && outcome.advice->decision.correct == correct::Correct::yes &&
                                report::advised_move(outcome) < outcome.advice->moves.size();
        said.out = report::finished(
            report::answer_sentence(outcome, options) + "\n" +
                (told_below ? "" : report::to_do_text(outcome, options, {.settles = settles})),
            options);
        const bool rail_first = outcome.advice && outcome.advice->ask_rail_straight;
        if (rail_first) said.out += report::rail_first_text(options);
        const auto advised = report::advised_move(outcome);
        if (outcome.advice && advised < outcome.advice->moves.size()) {
          const std::string table = report::table_text(outcome, advised, options);
          said.out += "\n" + report::correction_text(outcome, advised, options, rail_first) +
                      (table.empty() ? "" : "\n" + table);
        }
        said.out += "\n" + report::ways_text(outcome, options);
      });
}

}  // namespace quarterturn::cli
