// SPDX-License-Identifier: MIT
// `survey` at the prompt: how it begins, what is proposed next, and the words that steer it.
#include "cli/prompt_survey.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "cli/prompt_session.hpp"
#include "cli/said.hpp"
#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/survey_where.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr double kLeastReachMm = 20, kMostReachMm = 3000;
constexpr int kMostDistances = 5000;
constexpr const char* kWords = "skip, undo, redo, other, so far, done or later";

/// Letters and digits of a station's name, for the name of a file.
std::string plain_name(const std::string& name) {
  std::string out;
  for (const char c : name) {
    const bool kept = std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-' || c == '_';
    if (kept || (!out.empty() && out.back() != '-')) out += kept ? c : '-';
  }
  return out.empty() ? "table" : out;
}

bool is_square(const station::Setup& setup) {
  return std::fabs(setup.nominal_deg - 90) < 0.01;
}

}  // namespace

void Session::guided_survey() {
  if (!station_) throw UsageError("no station is in use. Hint: station add describes one");
  SurveyTalk(talk_, in_use(), *station_).run();
}

void SurveyTalk::run() {
  try {
    begin();
    while (!finished_) step();
  } catch (const Leave& leave) {
    if (!book_) throw;
    hold_on_to(leave);
    if (leave.why != Leave::Why::later) throw;
  }
}

std::string SurveyTalk::counts() const {
  return fmt::format("{} measured, {} to go", book_->file().rows.size(), book_->waiting().size());
}

/// Where it is kept, and how it goes on.
void SurveyTalk::hold_on_to(const Leave& leave) {
  if (leave.why == Leave::Why::end_of_input) talk_.say("\n");
  talk_.say(fmt::format("  Kept in {}: {}. To go on: 'survey' at the prompt, and that file.\n",
                        units::inert(path_, path_.size()), counts()));
}

void SurveyTalk::begin() {
  talk_.say(
      "Where the holes are: two dogs are carried from hole to hole and the length over them is read. Unplug "
      "the saw, take rail and fence off where they are in the way. Swing the jaws a little: over dogs the "
      "largest reading counts, between them the smallest. (help survey)\n");
  request_.station = station_;
  std::tie(request_.dog_1, request_.dog_2) = app::usual_dogs(station_);
  for (;;) {
    ask_file();
    if (book_ && !book_->waiting().empty()) return;
    try {
      for (int question = 0; question < 6;) {
        try {
          ask_plan(question);
          ++question;
        } catch (const Back&) {
          if (question-- == 0) throw;
        }
      }
      return;
    } catch (const Back&) {
      book_.reset();  // back to the file
    }
  }
}

void SurveyTalk::ask_file() {
  const std::string usual =
      "survey-" + plain_name(station_.name) + "-" + files::day_text(context_.now_utc) + ".csv";
  talk_.ask("file to keep it in", usual, [&](const std::string& typed) {
    if (typed == "-" || typed.find_first_of("\"'") != std::string::npos)
      throw units::InputError("file", typed, "a name for a file, such as " + usual);
    if (is_there(typed)) {
      try {
        open(typed);
      } catch (const files::FileTrouble& trouble) {
        throw UsageError(trouble.message);
      }
    }
    path_ = typed;
  });
}

/// A file that is there is gone on with: what it holds counts as measured.
void SurveyTalk::open(const std::string& path) {
  files::ObservationBook book(path);
  const files::ObservationFile& file = book.file();
  if (!file.station.empty() && file.station != station_.name)
    throw units::InputError("station", file.station, "'" + station_.name + "', the one in use", {path, 0, 0},
                            "another name begins another file");
  if (!file.rows.empty()) (void)app::observed_of(station_, file, context_.log);
  for (const auto* rows : {&file.rows, &file.unmeasured}) {
    for (const auto& row : *rows) {
      if (!row.measured) hold_to_station(row);
      if (row.observation.kind != survey::Kind::distance || row.observation.dog_from.empty()) continue;
      request_.dog_1 = row.observation.dog_from;
      request_.dog_2 = row.observation.dog_to;
    }
  }
  book_.emplace(std::move(book));
  talk_.say("  Goes on with " + units::inert(path, path.size()) + ": " + counts() + ".\n");
}

/// A row that waits: its holes and dogs are those of the station, before anybody goes there.
void SurveyTalk::hold_to_station(const files::ObservationRow& row) const {
  for (const std::string& dog : row.observation.dogs()) {
    if (!station_.dogs.contains(dog))
      throw units::InputError("dog", dog, "a dog of the station", row.dogs_at);
  }
  survey::Observation nominal = with_u(row.observation);
  nominal.value = survey::nominal_value(station_, nominal);
  try {
    survey::validate(station_, nominal, "observation");
  } catch (const units::InputError& error) {
    throw error.at(row.at);
  }
}

void SurveyTalk::ask_dogs() {
  std::vector<std::string> names;
  for (const auto& [name, dog] : station_.dogs) names.push_back(name);
  talk_.ask("the two dogs you carry", request_.dog_1 + " " + request_.dog_2, [&](const std::string& typed) {
    const auto words = words_of_line(typed);
    if (words.size() != 2)
      throw units::InputError("dogs", typed, "two of " + units::one_of(names) + ", a blank between them");
    for (const std::string& word : words) {
      if (!station_.dogs.contains(word))
        throw units::InputError("dog", word, units::one_of(names), {}, units::did_you_mean(word, names));
    }
    if (words[0] == words[1]) throw units::InputError("dogs", typed, "two different ones");
    request_.dog_1 = words[0];
    request_.dog_2 = words[1];
  });
}

void SurveyTalk::ask_reach() {
  const check::Caliper caliper = app::survey_caliper(station_, request_.file);
  talk_.ask("longest length your caliper reads", report::size_text(caliper.reach_mm, talk_.options.unit),
            [&](const std::string& typed) {
              const double mm = units::parse_length(typed, "length", talk_.options.unit).mm();
              if (!(mm >= kLeastReachMm && mm <= kMostReachMm))
                throw units::InputError("length", typed, "from 20 mm to 3 m, such as 150 mm");
              request_.reach_mm = mm;
            });
  request_.file.caliper = caliper;
  request_.file.caliper->reach_mm = request_.reach_mm;
}

/// One of the questions that a plan wants; the last makes it.
void SurveyTalk::ask_plan(int question) {
  if (question == 0) {
    request_.file = book_ ? book_->file() : files::ObservationFile{};
    ask_dogs();
  } else if (question == 1) {
    ask_reach();
  } else if (question == 2) {
    request_.between = false;
    if (app::between_helps(request_))
      request_.between =
          talk_.yes("Diagonals are too long over the dogs. Does it read between them too?", true);
  } else if (question == 3) {
    std::vector<std::string> wanted{"table"};
    for (const auto& [name, setup] : station_.setups) {
      if (is_square(setup)) wanted.push_back(name);
    }
    request_.setup.clear();
    if (wanted.size() > 1) {
      const std::size_t chosen =
          talk_.choose("what is wanted: the table as a whole, or one setup (" + units::one_of(wanted) + ")",
                       "table", wanted);
      if (chosen > 0) request_.setup = wanted[chosen];
    }
  } else if (question == 4) {
    talk_.say("  Long diagonals and checks see what short lengths do not: rows against columns.\n");
    request_.closing = static_cast<survey::Closing>(talk_.choose(
        "by a stick and feelers, by checks (cuts), or none of both", "stick", {"stick", "checks", "none"}));
  } else {
    const int usual = survey::usual_distances(station_.grid);
    talk_.ask("how many distances, about a minute each", std::to_string(usual),
              [&](const std::string& typed) {
                request_.distances = units::parse_whole(typed, "distances", 1, kMostDistances);
                plan_and_begin();
              });
  }
}

void SurveyTalk::plan_and_begin() {
  const app::SurveyPlan plan = app::plan_survey(request_, context_.log);
  try {
    if (book_) {
      book_->plan(plan.rows);
    } else {
      files::ObservationFile begun;
      begun.station = station_.name;
      begun.setup = request_.setup;
      begun.date = files::day_text(context_.now_utc);
      begun.unit = talk_.options.unit;
      begun.caliper = request_.file.caliper;
      begun.unmeasured = plan.rows;
      book_.emplace(path_, std::move(begun));
    }
  } catch (const files::FileTrouble& trouble) {
    throw UsageError(trouble.message + ". 'undo' goes back to the file's name");
  }
  talk_.say(report::to_measure_text(plan.to_measure, request_.setup, talk_.options));
  talk_.say(std::string("A number is the reading; the words ") + kWords + " steer. Each reading is in " +
            units::inert(path_, path_.size()) + " before the next question.\n");
}

/// Where to go next, told once: with the holes around it, or in words alone.
void SurveyTalk::propose() {
  const auto waiting = book_->waiting();
  const std::string now = redo_             ? "again"
                          : waiting.empty() ? "none"
                                            : report::short_words(station_, waiting.front().observation);
  if (now == shown_) return;
  shown_ = now;
  if (redo_) return;
  if (waiting.empty()) {
    talk_.say("All that was planned is measured.\n");
    return;
  }
  std::vector<survey::Observation> measured;
  for (const auto& row : book_->file().rows) {
    if (row.check.empty()) measured.push_back(row.observation);
  }
  const survey::Observation& next = waiting.front().observation;
  report::WhereShown where{station_, next, measured, {}};
  if (!measured.empty()) {
    const survey::Observation& last = measured.back();
    if (last.dog_from == next.dog_from && last.dog_to == next.dog_to)
      where.standing = {last.from, last.to};
    else if (last.dog_from == next.dog_to && last.dog_to == next.dog_from)
      where.standing = {last.to, last.from};
  }
  const std::size_t done = book_->file().rows.size();
  talk_.say(fmt::format("\n{} of {}. {}", done + 1, done + waiting.size(), report::where_words(where)));
  if (talk_.options.plain) return;
  talk_.say(report::where_drawing(where, talk_.options.width));
  if (!legend_ && next.kind == survey::Kind::distance) talk_.say(report::kWhereLegend);
  legend_ = true;
}

void SurveyTalk::step() {
  propose();
  const auto waiting = book_->waiting();
  const files::ObservationRow* next = waiting.empty() ? nullptr : &waiting.front();
  const std::string question = redo_  ? asked_words(book_->file().rows[*redo_].observation) + ", again"
                               : next ? asked_words(next->observation)
                                      : std::string("other, undo, redo, so far, or done [done]");
  const auto typed = talk_.line(question);
  const std::string spoken_of = question + " done redo skip";
  try {
    if (!talk_.handled_at_question(typed)) obey(*typed, next);
  } catch (const Back&) {
    talk_.say("  Left; the file is as it was.\n");
    shown_.clear();
  } catch (const units::InputError&) {
    talk_.refuse(*typed, spoken_of);
  } catch (const UsageError&) {
    talk_.refuse(*typed, spoken_of);
  } catch (const files::FileTrouble& trouble) {
    talk_.say("error: " + trouble.message +
              ". The last answer is NOT kept: make room, then type it again.\n");
    talk_.bell(2);
  }
}

void SurveyTalk::obey(const std::string& typed, const files::ObservationRow* next) {
  const std::string small = units::lowered(typed);
  const std::string word = small.substr(0, small.find(' '));
  if (word == "undo" && small == word)
    undo();
  else if (word == "redo")
    redo(typed.substr(4));
  else if (small == "so far")
    show_result();
  else if (small == "other")
    other();
  else if (small == "skip")
    skip(next);
  else if (small == "done" || (typed.empty() && next == nullptr && !redo_))
    finished_ = show_result() || book_->file().rows.empty();
  else if (redo_)
    take(typed, book_->file().rows[*redo_], redo_);
  else if (next == nullptr)
    throw UsageError("all that was planned is measured, and '" + units::inert(typed) +
                     "' is none of other, undo, redo, so far, done.");
  else if (next->observation.kind == survey::Kind::corner)
    take_check(typed, next);
  else
    take(typed, *next, std::nullopt);
}

void SurveyTalk::undo() {
  if (redo_) {
    redo_.reset();
    talk_.say("  It stays as it was.\n");
    return;
  }
  const std::size_t before = book_->file().rows.size();
  const auto last = before > 0 ? std::optional(book_->file().rows.back()) : std::nullopt;
  if (!book_->undo()) {
    talk_.say("  Nothing to take back since this was begun. 'redo A1 B1' measures an earlier one again.\n");
    return;
  }
  shown_.clear();
  if (last && book_->file().rows.size() < before)
    talk_.say("  " + (last->check.empty() ? report::short_words(station_, last->observation) : last->check) +
              " taken back.\n");
  else
    talk_.say("  Taken back.\n");
}

/// `redo`: the last one; `redo 12`, `redo C4 D4`: that one.
void SurveyTalk::redo(const std::string& typed) {
  const auto& rows = book_->file().rows;
  const std::string which(units::trimmed(typed));
  if (rows.empty()) throw UsageError("nothing is measured yet.");
  std::size_t at = rows.size() - 1;
  if (!which.empty() && std::isdigit(static_cast<unsigned char>(which.front())) != 0) {
    at = static_cast<std::size_t>(
             units::parse_whole(which, "number of what is measured", 1, static_cast<int>(rows.size()))) -
         1;
  } else if (!which.empty()) {
    const auto words = words_of_line(which);
    if (words.size() != 2)
      throw UsageError(
          "redo is followed by a number, or by two holes such as C4 D4; alone it takes the last.");
    const auto a = station::parse_hole(words[0]), b = station::parse_hole(words[1]);
    const auto found = std::find_if(rows.rbegin(), rows.rend(), [&](const auto& row) {
      const auto& o = row.observation;
      return row.check.empty() && ((o.from == a && o.to == b) || (o.from == b && o.to == a));
    });
    if (found == rows.rend()) throw UsageError(a.name() + " " + b.name() + " is not measured yet.");
    at = rows.size() - 1 - static_cast<std::size_t>(found - rows.rbegin());
  }
  if (!rows[at].check.empty()) throw UsageError(rows[at].check + " is a check: it is not read here.");
  redo_ = at;
}

void SurveyTalk::skip(const files::ObservationRow* next) {
  if (redo_) {
    undo();
    return;
  }
  if (next == nullptr) throw UsageError("nothing is asked for that could be skipped.");
  const std::string what = report::short_words(station_, next->observation);
  book_->skip(*next);
  talk_.say("  " + what + " is left out. 'undo' takes that back.\n");
}

/// As `survey FILE` shows it. True: it could be computed.
bool SurveyTalk::show_result() {
  if (book_->file().rows.empty()) {
    talk_.say("  Nothing is measured yet.\n");
    return false;
  }
  shown_.clear();
  Parsed parsed;
  parsed.word = "survey";
  parsed.arguments = {path_};
  try {
    talk_.say(survey_command(context_, parsed).out);
  } catch (const units::InputError&) {
    talk_.say(said_of_current_exception().err);
    return false;
  }
  talk_.say("  " + units::inert(path_, path_.size()) + ": " + counts() + ".\n");
  return true;
}

}  // namespace quarterturn::cli
