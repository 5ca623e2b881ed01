// SPDX-License-Identifier: MIT
/// \file dialogue.hpp
/// Asking at the prompt: one question a line, the answer echoed as understood, a bad answer asked again.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cli/line_source.hpp"
#include "cli/transcript.hpp"
#include "report/check_report.hpp"

namespace quarterturn::cli {

/// Thrown out of a question: the person leaves what they were doing.
struct Leave {
  enum class Why { later, quit, end_of_input } why;
};
/// Thrown out of a question by `undo`: back to the question before.
struct Back {};

class Dialogue {
 public:
  Dialogue(LineSource& lines, const report::TextOptions& shown, bool bells)
      : options(shown), lines_(lines), bells_(bells) {}

  /// Shows text; spelled for the terminal. Of what is only given again nothing is shown. \throws OutputGone
  void say(const std::string& text);
  /// Says how the next questions are to be met: it is said once more when a conversation is taken up there.
  void show(const std::string& text);
  void forget_shown() { shown_last_.clear(); }
  /// What is said from here on is shown. Called by every question that nothing typed before answers.
  void live();
  /// One bell for accepted, two for doubtful; none when quiet or into a pipe.
  void bell(int times);
  /// One line, trimmed; nothing at the end of input. The question is broken at words where it is too long.
  /// \param offered  words that the Tab key offers besides those understood at every question
  std::optional<std::string> line(const std::string& question, const std::vector<std::string>& offered = {});
  /// The same, but a command: the arrow keys offer those before it.
  std::optional<std::string> command(const std::string& question);

  /// Asks until `take` accepts. `undo`, `later`, `quit`, `help [topic]`, `quiet`, `units mm|in` are
  /// understood at every question. An empty line takes `fallback`; without one `take` is given it, to say
  /// what is wanted. \param take  throws units::InputError or UsageError with what is wrong
  void ask(const std::string& question, const std::optional<std::string>& fallback,
           const std::function<void(const std::string&)>& take, const std::vector<std::string>& offered = {});
  /// One of a few words, in any case; a beginning that only one of them has is enough. Gives its index.
  std::size_t choose(const std::string& question, const std::optional<std::string>& fallback,
                     const std::vector<std::string>& words);
  /// Yes or no. \param fallback  what an empty line means
  bool yes(const std::string& question, bool fallback);

  /// Handles the words that are understood everywhere. True when it was one.
  bool handled_everywhere(const std::string& typed);
  /// Handles what is understood at every question, leaving too. True: the question comes again.
  /// `help` alone is of the question itself. \throws Leave
  bool handled_at_question(const std::optional<std::string>& typed, const std::string& question);
  /// Says what was wrong with an answer. A word that the prompt knows elsewhere is told to wait,
  /// unless the question itself speaks of it. Call it inside a catch block.
  void refuse(const std::string& typed, const std::string& question);

  /// Whether somebody types: else lines come out of a pipe or a file.
  [[nodiscard]] bool is_with_person() const;

  /// What the Tab key offers of stations, checks, files; may be empty.
  std::function<std::vector<std::string>(Known, const std::string& beginning)> known;
  report::TextOptions options;
  bool quiet = false;
  Transcript transcript;
  std::function<void(const std::vector<files::DraftLine>&)> on_live;  ///< given what was typed before
  bool nothing_lost = false;          ///< what is typed is on disk: leaving needs no asking
  std::size_t at_stake = 0;           ///< readings that leaving now would lose: it is asked first
  const char* at_stake_of = "strip";  ///< what they are the readings of

 private:
  /// \throws Leave, unless readings are at stake and the person stays
  void leave(Leave::Why why);
  void explain(const std::string& question);
  /// Ctrl-D at a question: once it asks, twice it leaves.
  void leave_by_key();
  std::optional<std::string> read(const std::string& question, bool command,
                                  const std::vector<std::string>& offered);
  [[nodiscard]] std::string shown(const std::string& question) const;

  LineSource& lines_;
  bool bells_;
  std::string shown_last_;
  bool leaving_ = false;                                     ///< it is being asked whether to leave
  bool told_at_command_ = false, told_at_question_ = false;  ///< how to leave
};

/// `help` and `help TOPIC`.
std::string prompt_help(const std::string& topic, const report::TextOptions& options);
/// METHOD.md, care: in full, and in one line.
std::string care_notes(units::Unit unit);
std::string care_line();

}  // namespace quarterturn::cli
