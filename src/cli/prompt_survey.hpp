// SPDX-License-Identifier: MIT
/// \file prompt_survey.hpp
/// A survey of the holes, measured by measured at the prompt: what to measure next is proposed with a
/// drawing, each answer is in the file before the next question.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "app/plan_survey.hpp"
#include "cli/commands.hpp"
#include "cli/dialogue.hpp"
#include "files/observation_book.hpp"

namespace quarterturn::cli {

class SurveyTalk {
 public:
  SurveyTalk(Dialogue& talk, Context context, station::Station station)
      : talk_(talk), context_(std::move(context)), station_(std::move(station)) {}

  /// \throws Leave, when the program is left; Back out of its first question
  void run();
  /// The file of a survey that was ended with something measured; else empty.
  [[nodiscard]] std::string path() const {
    return finished_ && book_ && !book_->file().rows.empty() ? path_ : "";
  }

 private:
  // prompt_survey_begin.cpp: how it begins
  void begin();
  void ask_file();
  void open(const std::string& path);
  void hold_to_station(const files::ObservationRow& row) const;
  void ask_plan(int question);
  void ask_dogs();
  void ask_reach();
  void plan_and_begin();

  // prompt_survey.cpp: the way round
  void hold_on_to(const Leave& leave);
  void step();
  void propose();
  void obey(const std::string& typed, const files::ObservationRow* next);
  void undo();
  void redo(const std::string& typed);
  void skip(const std::string& typed, const files::ObservationRow* next);
  bool show_result();
  [[nodiscard]] std::string counts() const;

  // prompt_survey_answers.cpp: what is typed
  void take(const std::string& typed, files::ObservationRow row, std::optional<std::size_t> again);
  void take_lengths(const std::string& typed, files::ObservationRow& row);
  void take_check(const std::string& typed, const files::ObservationRow* instead);
  [[nodiscard]] std::string doubt(const files::ObservationRow& row, std::optional<std::size_t> again) const;
  bool settle(const std::string& why, files::ObservationRow& row, std::size_t at);
  void settle_open();
  void told(const files::ObservationRow& row, std::size_t at);
  void accept(const files::ObservationRow& row, std::optional<std::size_t> again);
  [[nodiscard]] std::string reading_text(const survey::Observation& o) const;
  [[nodiscard]] std::string asked_words(const survey::Observation& o) const;
  [[nodiscard]] survey::Observation with_u(survey::Observation o) const;
  void other();
  files::ObservationRow ask_length();
  files::ObservationRow ask_compare();
  files::ObservationRow ask_offset();
  std::pair<station::Hole, station::Hole> ask_two_holes(const std::string& question);

  Dialogue& talk_;
  Context context_;
  station::Station station_;
  app::SurveyPlanRequest request_;
  std::string path_;
  std::optional<files::ObservationBook> book_;
  std::string shown_;                ///< the proposal that was told last
  std::optional<std::size_t> redo_;  ///< row that is measured again
  double spread_mm_ = 0;             ///< of the readings of the line in hand
  std::size_t readings_ = 0;         ///< on it
  bool legend_ = false, finished_ = false;
};

}  // namespace quarterturn::cli
