// SPDX-License-Identifier: MIT
#include "cli/parse.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <deque>
#include <set>

#include "cli/options.hpp"
#include "cli/said.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {
namespace {

std::string with_hint(const std::string& message, const std::string& hint) {
  return hint.empty() ? message : message + " Hint: " + hint;
}

/// An option that is known, but of other words, or that stands in front of its word.
void refuse_of_other_word(const std::string& typed, const WordRow* row) {
  std::vector<std::string> owners;
  for (const auto& other : word_rows()) {
    const auto own = std::find_if(other.options.begin(), other.options.end(),
                                  [&](const auto& option) { return option.name == typed; });
    if (own != other.options.end()) owners.emplace_back(other.word);
  }
  if (owners.empty()) return;
  const std::string form = row == nullptr ? "WORD" : std::string(row->word);
  const bool own = std::find(owners.begin(), owners.end(), form) != owners.end();
  throw UsageError("option '" + typed +
                   (own || row == nullptr ? "' stands before its word, but must stand behind "
                                          : "' is not of '" + form + "', but must go with ") +
                   units::one_of(owners) + ". Hint: quarterturn " +
                   (own ? form + " … " + typed : form + " --help"));
}

[[noreturn]] void unknown(const std::string& typed, const WordRow* row, bool word) {
  const auto names = word ? word_names() : option_names(row);
  if (!word) refuse_of_other_word(typed, row);
  throw UsageError(with_hint((word ? "word '" : "option '") + units::inert(typed) +
                                 "' is not known, but must be " +
                                 (word ? units::one_of(names) : "one of those that --help lists") + ".",
                             units::did_you_mean(typed, names)));
}

/// One option of CLI11 for one row, its values kept where they do not move.
struct Bound {
  const OptionRow* row;
  std::vector<std::string> values;
  CLI::Option* option;
};

/// What was typed that may be the name of something: of `--seed=4` what stands in front.
std::set<std::string> names_in(const std::vector<std::string>& typed) {
  std::set<std::string> names;
  for (const auto& one : typed) {
    names.insert(one);
    if (one.starts_with("--")) names.insert(one.substr(0, one.find('=')));
  }
  return names;
}

/// Rows that nobody named are left out: binding all of them takes longer than all else at the start.
void bind(CLI::App& app, const std::vector<OptionRow>& rows, const std::set<std::string>& named,
          std::deque<Bound>& bound) {
  for (const auto& row : rows) {
    if (!named.contains(std::string(row.name))) continue;
    auto& slot = bound.emplace_back(Bound{&row, {}, nullptr});
    const std::string name(row.name);
    if (row.value.empty()) {
      slot.option = app.add_flag(name);
    } else {
      slot.option = app.add_option(name, slot.values)->expected(1);
      // Given twice, a single option is refused below, by name.
      slot.option->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
      // A value, then a FILE: the file is not a second value.
      slot.option->allow_extra_args(false);
    }
  }
}

void collect(const std::deque<Bound>& bound, Parsed& parsed) {
  for (const auto& slot : bound) {
    if (slot.option->count() == 0) continue;
    const std::string name(slot.row->name);
    if (slot.values.size() > 1 && !slot.row->repeats) throw UsageError("option " + name + " is given twice.");
    parsed.options[name] = slot.values;
  }
}

/// What belongs to the installation goes with no word.
void refuse_beside_word(const Parsed& parsed) {
  if (parsed.word.empty()) return;
  for (const auto& row : lone_options()) {
    if (parsed.options.count(std::string(row.name)) != 0)
      throw UsageError("option " + std::string(row.name) + " stands with the word '" + parsed.word +
                       "', but must stand alone.");
  }
}

/// `--apart: 1 required TEXT missing` names the option before the colon.
std::string option_in(const std::string& message) {
  return message.substr(0, message.find(':'));
}

void refuse_extras(const std::vector<std::string>& extras, const WordRow* row, const Parsed& parsed) {
  if (extras.empty()) return;
  const auto option = std::find_if(extras.begin(), extras.end(),
                                   [](const auto& e) { return e.size() > 1 && e.front() == '-'; });
  if (option != extras.end()) unknown(option->substr(0, option->find('=')), row, false);
  if (row == nullptr) unknown(extras.front(), nullptr, true);
  throw UsageError("argument '" + units::inert(extras.front()) + "' is one too many for '" + parsed.word +
                   "'. Hint: put quotation marks around what belongs together; quarterturn " + parsed.word +
                   " --help");
}

}  // namespace

std::optional<std::string> Parsed::value(const std::string& option) const {
  const auto found = options.find(option);
  if (found == options.end() || found->second.empty()) return std::nullopt;
  return found->second.front();
}

std::vector<std::string> Parsed::values(const std::string& option) const {
  const auto found = options.find(option);
  return found == options.end() ? std::vector<std::string>{} : found->second;
}

Parsed parse(const std::vector<std::string>& typed) {
  CLI::App app;
  app.set_help_flag();
  app.allow_extras();
  std::vector<std::string> reversed(typed.rbegin(), typed.rend());
  std::ranges::replace(reversed, "-h", "--help");
  if (reversed.size() == 1 && reversed.front() == "help") reversed.front() = "--help";
  const auto named = names_in(reversed);
  std::deque<Bound> bound;
  bind(app, global_options(), named, bound);
  bind(app, lone_options(), named, bound);
  std::map<std::string, std::vector<std::string>> arguments;
  for (const auto& row : word_rows()) {
    if (!named.contains(std::string(row.word))) continue;
    auto* word = app.add_subcommand(std::string(row.word));
    word->set_help_flag();
    word->fallthrough();
    word->allow_extras();
    word->add_option("arguments", arguments[std::string(row.word)])->expected(-1);
    bind(*word, row.options, named, bound);
  }
  // Behind a word, another one is an argument: `log amend dock/3 caliper digital`.
  app.require_subcommand(0, 1);
  Parsed parsed;
  try {
    app.parse(reversed);
  } catch (const CLI::ArgumentMismatch& fault) {
    throw UsageError("option " + option_in(fault.what()) +
                     " is without a value, but must be followed by one.");
  } catch (const CLI::ParseError& fault) {
    throw UsageError(std::string(fault.what()) + ".");
  }
  const WordRow* row = nullptr;
  for (const auto* word : app.get_subcommands()) row = find_word(word->get_name());
  if (row != nullptr) {
    parsed.word = row->word;
    parsed.arguments = arguments[parsed.word];
    const bool file_first = row->most_arguments < 2;  // else what stands first is a word of its own
    if (file_first && !parsed.arguments.empty() && find_word(parsed.arguments.front()) != nullptr) {
      throw UsageError("two words, '" + parsed.word + "' and '" + parsed.arguments.front() +
                       "': one at a time.");
    }
  }
  auto extras = app.remaining(true);
  if (row != nullptr && parsed.arguments.size() > static_cast<std::size_t>(row->most_arguments)) {
    extras.push_back(parsed.arguments[static_cast<std::size_t>(row->most_arguments)]);
  }
  refuse_extras(extras, row, parsed);
  collect(bound, parsed);
  refuse_beside_word(parsed);
  return parsed;
}

std::vector<std::string> words_of_line(const std::string& line) {
  std::vector<std::string> words;
  std::string word;
  bool inside = false;
  char quote = 0;
  for (const char c : line) {
    if (quote != 0) {
      if (c == quote)
        quote = 0;
      else
        word += c;
    } else if ((c == '"' || c == '\'') && !inside) {
      // A quotation mark inside a word is an inch mark: 37/64".
      quote = c;
      inside = true;
    } else if (c == ' ' || c == '\t') {
      if (inside) words.push_back(word);
      word.clear();
      inside = false;
    } else {
      word += c;
      inside = true;
    }
  }
  if (quote != 0) throw UsageError(std::string("a quotation ") + quote + " is opened and not closed.");
  if (inside) words.push_back(word);
  return words;
}

}  // namespace quarterturn::cli
