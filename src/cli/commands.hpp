// SPDX-License-Identifier: MIT
/// \file commands.hpp
/// One function a word; command line and prompt call the same.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "app/run_check.hpp"
#include "check/fit.hpp"
#include "cli/parse.hpp"
#include "cli/said.hpp"
#include "cli/terminal.hpp"
#include "correct/outcome.hpp"
#include "logbook/logbook.hpp"
#include "report/check_report.hpp"
#include "station/station.hpp"

namespace quarterturn::cli {

/// What the commands stand on.
struct Context {
  station::Store* store = nullptr;  ///< the person's stations
  logbook::Logbook* log = nullptr;  ///< the same, with all that was kept of them
  std::int64_t now_utc = 0;         ///< seconds from 1970: when the word in hand was typed
  /// The clock on the wall, the only one; the prompt looks at it anew for every word.
  std::function<std::int64_t()> clock = {};
  Terminal terminal;
  std::string spare_drafts;  ///< keeps what is typed while the log cannot; empty: nothing does
  std::string station;       ///< the one in use at the prompt; empty on the command line
};

/// A station by its name in the store, or by its file (a name with a `/`, one ending in .json, or a file that
/// is there).
/// Whether anything of that name can be opened.
bool is_there(const std::string& path);

struct Opened {
  station::Store* store = nullptr;
  std::string name;
  std::unique_ptr<station::Store> own;  ///< keeps a file's store alive
};
/// With empty text: the one in use, else the only one of the store.
/// \throws units::InputError, files::FileTrouble
Opened open_station(const Context& context, const std::string& text);

/// \throws UsageError on a value that is none of the option's
report::TextOptions text_options(const Context& context, const Parsed& parsed, units::Unit unit);

/// --confidence, else 0.95. \throws UsageError
double confidence_of(const Parsed& parsed);

/// The request that the options and the file describe. \throws UsageError, units::InputError,
/// files::FileTrouble
app::CheckRequest request_of(const Context& context, const Parsed& parsed, Said& said);

/// Runs the survey of that file for the station. \throws units::InputError, files::FileTrouble
app::SurveyInUse survey_of_file(const Context& context, const std::string& file,
                                const station::Station& station);
/// The survey that the words `survey ...` ask for, to name other holes by.
app::SurveyInUse survey_of_words(const Context& context, const Parsed& parsed);
/// --survey, put into the request. \throws UsageError without a station; units::InputError,
/// files::FileTrouble
void take_survey_option(const Context& context, const Parsed& parsed, app::CheckRequest& request);

/// --most-strips. \throws units::InputError
std::optional<int> most_strips_of(const Parsed& parsed);
/// --strips, else 1. \throws units::InputError, UsageError
int strips_of(const Parsed& parsed);
/// Whether readings are given, in a file or as options.
bool has_readings(const Parsed& parsed);
/// Whether a `check` has neither readings nor anything about them: it is the guided one.
bool asks_for_readings(const Parsed& parsed);

/// Takes --test, --form and --pieces over into a check. \throws UsageError; units::InputError
void take_test(const Parsed& parsed, check::Check& made);
/// A gap test without its readings: `check rail`, `check halves`, `check --test turn-over --form pair`. Its
/// word stands before a file of that name.
struct GapTestNamed {
  check::TestKind test = check::TestKind::rail;
  check::Form form = check::Form::none;  ///< none in a turn-over: it is asked for
  int pieces = 0;                        ///< 0 in a frame: it is asked for
};
/// Empty where it is none. \throws UsageError on a form or pieces that do not go with the test
std::optional<GapTestNamed> gap_test_named(const Parsed& parsed);

Said check_command(const Context& context, const Parsed& parsed);
/// What `check` shows of its outcome, as its options want it.
std::string shown_check(const Context& context, const Parsed& parsed, const app::CheckRequest& request,
                        const correct::Outcome& outcome, const report::TextOptions& options);
/// What more cuts would do, for where a person waits: 0.1 s, with a log up to 0.8 s.
report::MoreCuts more_cuts_of(const app::CheckRequest& request, const correct::Outcome& outcome);
Said correct_command(const Context& context, const Parsed& parsed);
Said station_command(const Context& context, const Parsed& parsed);
Said shims_command(const Context& context, const Parsed& parsed);
Said caliper_command(const Context& context, const Parsed& parsed);
Said log_command(const Context& context, const Parsed& parsed);
Said plan_command(const Context& context, const Parsed& parsed);
Said survey_command(const Context& context, const Parsed& parsed);
Said history_command(const Context& context, const Parsed& parsed);
/// How each station of the store stands, and which is due; a line a setup.
std::string stations_text(const Context& context, const report::TextOptions& options);
/// What a word's answer rests on, computed as the word itself computes it: `why` at the prompt.
std::string plan_why(const Context& context, const Parsed& parsed);
std::string survey_why(const Context& context, const Parsed& parsed);
std::string history_why(const Context& context, const Parsed& parsed);
Said find_command(const Context& context, const Parsed& parsed);
Said report_command(const Context& context, const Parsed& parsed);
/// Finds the word's function; help where it is asked for.
Said run_word(const Context& context, const Parsed& parsed);

/// --help of a word, or of the whole program with nullptr.
struct WordRow;
std::string help_text(const WordRow* row);

}  // namespace quarterturn::cli
