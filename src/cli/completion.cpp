// SPDX-License-Identifier: MIT
#include "cli/completion.hpp"

#include <algorithm>
#include <array>

#include "cli/completion_places.hpp"
#include "cli/help_topics.hpp"
#include "cli/options.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

/// A word of the line, as parse.hpp cuts it.
struct Token {
  std::size_t from = 0;  ///< its quotation mark, when it has one
  std::string text;
};

/// The words before the cursor; the last one is the one under it, empty behind a blank.
std::vector<Token> tokens_of(std::string_view text) {
  std::vector<Token> tokens{{}};
  bool inside = false;
  char quote = 0;
  for (std::size_t at = 0; at < text.size(); ++at) {
    const char c = text[at];
    if (quote != 0) {
      if (c == quote)
        quote = 0;
      else
        tokens.back().text += c;
    } else if (c == ' ' || c == '\t') {
      if (inside) tokens.emplace_back();
      tokens.back().from = at + 1;
      inside = false;
    } else {
      if ((c == '"' || c == '\'') && !inside)
        quote = c;
      else
        tokens.back().text += c;
      inside = true;
    }
  }
  return tokens;
}

bool begins(std::string_view word, const std::string& typed) {
  return word.size() >= typed.size() && units::lowered(word.substr(0, typed.size())) == units::lowered(typed);
}

std::string quoted(const std::string& word) {
  if (word.find_first_of(" \t'\"") == std::string::npos) return word;
  if (word.find_first_of(" \t") == std::string::npos && word.front() != '"' && word.front() != '\'')
    return word;
  const char mark = word.find('"') == std::string::npos ? '"' : '\'';
  // A folder goes on behind its `/`.
  return mark + word + (word.ends_with('/') ? "" : std::string(1, mark));
}

class Candidates {
 public:
  Candidates(const Token& typed, const CompletionContext& context) : typed_(typed.text), context_(context) {
    found_.from = typed.from;
  }

  void add(std::string_view word) {
    if (!begins(word, typed_)) return;
    std::string spelled = quoted(std::string(word));
    auto& all = found_.candidates;
    if (std::find(all.begin(), all.end(), spelled) == all.end()) all.push_back(std::move(spelled));
  }
  template <typename Words>
  void add_all(const Words& words) {
    for (const auto& word : words) add(word);
  }
  void add(const Place& place) {
    add_all(place.words);
    if (!context_.known) return;
    for (const auto kind : place.known) add_all(context_.known(kind, typed_));
  }
  [[nodiscard]] bool is_option() const { return typed_.starts_with('-'); }

  Completion take() { return std::move(found_); }

 private:
  std::string typed_;
  const CompletionContext& context_;
  Completion found_;
};

/// Words that have no row: only the prompt knows them.
constexpr std::array<std::string_view, 8> kOnlyHere{"more", "ways",  "why",   "drafts",
                                                    "help", "units", "quiet", "quit"};
constexpr std::array<std::string_view, 6> kAtQuestions{"undo", "later", "help", "units", "quiet", "quit"};

/// The words behind one that has no row. False: it is none.
bool without_row(const std::string& first, std::size_t index, Candidates& candidates) {
  if (first == "help" && index == 1) candidates.add_all(help_topics());
  if (first == "units" && index == 1) candidates.add_all(std::array<std::string_view, 2>{"mm", "in"});
  if (first == "drafts" && index == 1)
    candidates.add_all(std::array<std::string_view, 3>{"show", "resume", "drop"});
  return first == "help" || first == "units" || first == "drafts";
}

const OptionRow* option_of(const WordRow& row, const std::string& name) {
  for (const auto* rows : {&row.options, &global_options()}) {
    for (const auto& option : *rows) {
      if (option.name == name) return &option;
    }
  }
  return nullptr;
}

void add_options(const WordRow& row, const std::vector<Token>& tokens, Candidates& candidates) {
  for (const auto& name : option_names(&row)) {
    const bool given =
        std::any_of(tokens.begin(), tokens.end() - 1, [&](const auto& t) { return t.text == name; });
    if (name != "--version" && (!given || option_of(row, name)->repeats)) candidates.add(name);
  }
}

/// What stands behind a word of the table.
void add_arguments(const WordRow& row, const std::vector<Token>& tokens, Candidates& candidates) {
  std::vector<std::string> arguments;
  const OptionRow* open = nullptr;  ///< an option whose value comes next
  for (std::size_t i = 1; i + 1 < tokens.size(); ++i) {
    const auto* option = open == nullptr ? option_of(row, tokens[i].text) : nullptr;
    if (open == nullptr && option == nullptr) arguments.push_back(tokens[i].text);
    open = option != nullptr && !option->value.empty() ? option : nullptr;
  }
  if (open != nullptr) {
    candidates.add(place_of_value(*open));
  } else if (candidates.is_option()) {
    add_options(row, tokens, candidates);
  } else {
    candidates.add(place_of_argument(row, arguments));
  }
}

}  // namespace

Completion completed(std::string_view text, std::size_t cursor, const CompletionContext& context) {
  const auto tokens = tokens_of(text.substr(0, std::min(cursor, text.size())));
  Candidates candidates(tokens.back(), context);
  const std::string first = units::lowered(tokens.front().text);
  const std::size_t index = tokens.size() - 1;
  if (index == 0) {
    if (context.command) {
      candidates.add_all(word_names());
      candidates.add_all(kOnlyHere);
    } else {
      candidates.add_all(context.answers);
      candidates.add_all(kAtQuestions);
    }
  } else if (!without_row(first, index, candidates) && context.command) {
    if (const auto* row = find_word(first)) add_arguments(*row, tokens, candidates);
  }
  return candidates.take();
}

std::string common_beginning(const std::vector<std::string>& candidates) {
  if (candidates.empty()) return {};
  std::string common = candidates.front();
  for (const auto& other : candidates) {
    const auto parts = std::mismatch(common.begin(), common.end(), other.begin(), other.end());
    common.erase(parts.first, common.end());
  }
  // Not in the midst of a character.
  while (!common.empty() && common.size() < candidates.front().size() &&
         (static_cast<unsigned char>(candidates.front()[common.size()]) & 0xC0) == 0x80)
    common.pop_back();
  return common;
}

}  // namespace quarterturn::cli
