// SPDX-License-Identifier: MIT
/// \file options.hpp
/// The one table of words and options: it feeds the parser, --help, 'did you mean' and the prompt.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::cli {

struct OptionRow {
  std::string_view name;   ///< `--apart`
  std::string_view value;  ///< what follows it, `MM`; empty: nothing follows
  std::string_view help;
  bool repeats = false;  ///< may be given several times
};

struct WordRow {
  std::string_view word;
  std::string_view summary;             ///< one line
  std::vector<std::string_view> usage;  ///< what follows `quarterturn WORD`, one line a form
  std::vector<OptionRow> options;
  std::vector<std::string_view> examples;  ///< whole command lines
  int most_arguments = 1;
  std::string (*names)() = nullptr;  ///< what its values may be, lines of their own; empty: nothing to name
};

/// Words of the command line; the prompt knows them too.
const std::vector<WordRow>& word_rows();
/// nullptr when there is no such word
const WordRow* find_word(std::string_view word);
/// Options that every word takes.
const std::vector<OptionRow>& global_options();

/// Options that stand alone, without a word: they write what belongs to the program's installation.
const std::vector<OptionRow>& lone_options();

struct ExitRow {
  int status;
  std::string_view means;
};
/// What the exit status says.
const std::vector<ExitRow>& exit_rows();

/// All words, and all options of a word with the global ones, for 'did you mean'.
std::vector<std::string> word_names();
std::vector<std::string> option_names(const WordRow* row);

}  // namespace quarterturn::cli
