// SPDX-License-Identifier: MIT
// The wall card, the blank bench sheet and the client's sheet.
#include <algorithm>

#include "app/keep_check.hpp"
#include "app/nominal.hpp"
#include "app/station_state.hpp"
#include "cli/gap_test_shown.hpp"
#include "cli/report_target.hpp"
#include "cli/sub_words.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "report/log_report.hpp"
#include "report/sheets.hpp"
#include "report/station_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

/// The setup that is named, else the one checked last, else the only one.
std::string setup_for(const Context& context, const Parsed& parsed, const station::Station& station) {
  if (const auto named = parsed.value("--setup")) return station.setup(*named).name;
  const std::string id = context.log->known_station(station);
  const std::string last = id.empty() ? std::string() : context.log->last_setup(id);
  return last.empty() || station.setups.count(last) == 0 ? station.setup("").name : last;
}

station::Station station_for(const Context& context, const Parsed& parsed, const std::string& named) {
  if (!named.empty() && parsed.has("--station"))
    throw UsageError("the station is given twice, but must be given once.");
  const auto opened = open_station(context, named.empty() ? parsed.value("--station").value_or("") : named);
  return opened.store->find(opened.name);
}

std::string due_words(const logbook::SetupState& state) {
  if (!state.since.empty()) return "now (" + state.since + " since then)";
  if (state.last.result.verdict == "outside") return "as soon as it is put right";
  return state.due + (state.overdue ? " (over)" : "");
}

/// What the last check left for the card: its words, and how far apart strips are measured here.
void take_last(const Context& context, const Parsed& parsed, const logbook::SetupState& state,
               report::CardShown& card) {
  const auto check =
      files::parse_readings(files::text_of(context.log->readings(state.last.version), "the log"));
  card.unit = text_options(context, parsed, check.unit).unit;
  if (!check.gaps() && !check.strips.empty()) {
    const auto& spots = check.strips.back().spots;
    card.apart_mm = spots.back().position_mm - spots.front().position_mm;
  }
  card.last_date = state.last.date.substr(0, 10);
  card.last_result = report::result_words(state.last.result, card.unit);
  if (const auto answer = check::answer_of(state.last.result.verdict)) {
    check::Verdict verdict;
    verdict.setup = *answer;
    verdict.provisional = state.last.result.provisional;
    card.last_verdict = report::verdict_words(verdict);
  }
  card.due = due_words(state);
}

Said card(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 0, 1, "card [STATION]");
  report::CardShown shown;
  shown.station = station_for(context, parsed, rest.empty() ? "" : rest[0]);
  shown.setup = setup_for(context, parsed, shown.station);
  shown.unit = text_options(context, parsed, units::Unit::mm).unit;
  for (const auto& state : app::station_states(*context.log, shown.station, context.now_utc)) {
    if (state.setup == shown.setup) take_last(context, parsed, state, shown);
  }
  std::string stem = "card-" + shown.station.name;
  if (shown.station.setups.size() > 1) stem += "-" + shown.setup;
  Said said{
      write_report(context, parsed, stem, "html", report::card_page(shown, files::day_text(context.now_utc))),
      ""};
  if (!shown.due.empty() && said.out.ends_with(" written.\n"))
    said.out = said.out.substr(0, said.out.size() - 2) + "; next check: " + shown.due + ".\n";
  return said;
}

/// The test that is named; else the one that can tell the setup: strips at a right angle, else a ring.
/// \throws UsageError, units::InputError on one that cannot
check::Check test_of_sheet(const Parsed& parsed, const station::Setup* setup) {
  check::Check made;
  const int pieces = setup != nullptr ? app::pieces_that_close(*setup) : 0;
  if (parsed.has("--pieces") || (pieces > 0 && !parsed.has("--test"))) made.test = check::TestKind::frame;
  take_test(parsed, made);
  if (made.test == check::TestKind::four_cut || made.form == check::Form::shared)
    throw UsageError("a bench sheet is of a five-cut, turn-over, frame with separate cuts, or rail.");
  if (made.test == check::TestKind::frame) {
    made.form = check::Form::separate;
    if (made.pieces == 0) made.pieces = pieces > 0 ? pieces : 4;
  } else if (parsed.has("--pieces")) {
    throw UsageError("--pieces is given, but only a frame has pieces.");
  }
  const bool turn_over = made.test == check::TestKind::turn_over;
  if (turn_over && made.form == check::Form::none) made.form = check::Form::pair;
  if (turn_over != (made.form == check::Form::pair || made.form == check::Form::halves))
    throw UsageError("--form is pair or halves with a turn-over, and left out with the others.");
  if (setup != nullptr) hold_to_setup(made, *setup);
  return made;
}

Said bench_sheet(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 0, 1, "bench-sheet [STATION]");
  report::BenchSheetShown shown;
  const auto options = text_options(context, parsed, units::Unit::mm);
  shown.unit = options.unit;
  const bool named = !rest.empty() || parsed.has("--station") || context.store->list().size() == 1;
  std::optional<station::Setup> setup;
  if (named || !context.station.empty()) {
    const auto station = station_for(context, parsed, rest.empty() ? "" : rest[0]);
    shown.station = station.name;
    shown.setup = setup_for(context, parsed, station);
    setup = station.setup(shown.setup);
    shown.keep_left = setup->keep == station::Side::left;
    shown.before = setup->panel_side == station::PanelSide::before;
    shown.sides_known = true;
    if (setup->tolerance) shown.tolerance = report::tolerance_words(*setup->tolerance, options);
  }
  const auto test = test_of_sheet(parsed, setup ? &*setup : nullptr);
  std::string stem = "bench-sheet-" + shown.station;
  if (test.gaps()) {
    shown.gaps = gap_test_shown(test, setup ? &*setup : nullptr, shown.unit);
    stem += std::string("-") + check::test_row(test.test).word;
  }
  return {write_report(context, parsed, stem, "html", report::bench_sheet_page(shown)), ""};
}

Said client_sheet(const Context& context, const Parsed& parsed) {
  const auto rest = rest_of(parsed, 1, 1, "client-sheet CHECK");
  Said said;
  try {
    const auto shown = check_to_show(context, parsed, rest[0], said);
    const bool strict =
        shown.log_id.empty() ? parsed.has("--strict") : context.log->check(rest[0]).latest.result.strict;
    const std::string stem = shown.log_id.empty() ? shown.name.substr(0, shown.name.rfind('.')) : shown.name;
    said.out = write_report(context, parsed, "client-sheet-" + stem, "html",
                            report::client_page(shown, strict, files::day_text(context.now_utc)), {rest[0]});
  } catch (const check::NoInterval&) {
    said.err += kNoReport;
    said.status = kBadInput;
  }
  return said;
}

}  // namespace

std::optional<Said> sheet_command(const Context& context, const Parsed& parsed) {
  const std::string word = parsed.arguments.empty() ? "" : parsed.arguments.front();
  Said (*run)(const Context&, const Parsed&) = nullptr;
  if (word == "card") run = card;
  if (word == "bench-sheet") run = bench_sheet;
  if (word == "client-sheet") run = client_sheet;
  for (const char* option : {"--test", "--form", "--pieces"}) {
    if (parsed.has(option) && run != bench_sheet)
      throw UsageError(std::string(option) + " is given, but only 'bench-sheet' has a test to choose.");
  }
  if (run == nullptr) return std::nullopt;
  for (const char* option : {"--format", "--drawing", "--json"}) {
    if (parsed.has(option))
      throw UsageError(std::string(option) + " is given with '" + word +
                       "', which is a page and nothing else.");
  }
  return run(context, parsed);
}

}  // namespace quarterturn::cli
