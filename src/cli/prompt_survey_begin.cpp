// SPDX-License-Identifier: MIT
// How a survey at the prompt begins: its file, and for a new one what is to be measured.
#include <fmt/format.h>

#include <cctype>
#include <cmath>

#include "cli/prompt_survey.hpp"
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
  const std::string usual = report::size_text(caliper.reach_mm, talk_.options.unit);
  talk_.ask("longest length your caliper reads", usual, [&](const std::string& typed) {
    const double mm = typed == usual  // which is rounded
                          ? caliper.reach_mm
                          : units::parse_length(typed, "length", talk_.options.unit).mm();
    if (!(mm >= kLeastReachMm && mm <= kMostReachMm))
      throw units::InputError(
          "length", typed,
          report::size_range_text(kLeastReachMm, kMostReachMm, talk_.options.unit) +
              (talk_.options.unit == units::Unit::inch ? ", such as 6" : ", such as 150 mm"));
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

}  // namespace quarterturn::cli
