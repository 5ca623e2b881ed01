// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <vector>

#include "cli/offers.hpp"
#include "cli/options.hpp"
#include "cli/shell_completion.hpp"

namespace quarterturn::cli {
namespace {

/// With a backslash before each of some characters.
std::string escaped(std::string_view text, std::string_view special) {
  std::string out;
  for (const char c : text) {
    if (special.find(c) != std::string_view::npos) out += '\\';
    out += c;
  }
  return out;
}

/// In single quotes for zsh, where a quotation mark inside ends them, stands, and begins them anew.
std::string zsh_quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

/// What zsh does for a value: `:station:_quarterturn_stations`.
std::string zsh_action(const Offer& offer, std::string_view shown) {
  std::string action;
  if (offer.stations && offer.files) {
    action = "_quarterturn_stations_or_files";
  } else if (offer.stations) {
    action = "_quarterturn_stations";
  } else if (!offer.words.empty()) {
    action = "(";
    for (const auto& word : offer.words) action += (action.size() == 1 ? "" : " ") + escaped(word, " :()");
    action += ")";
  } else if (offer.files) {
    action = "_files";
  }
  return fmt::format(":{}:{}", escaped(shown, ":[]"), action);
}

std::string zsh_option(const OptionRow& option) {
  std::string text =
      fmt::format("{}{}[{}]", option.repeats ? "*" : "", option.name, escaped(option.help, "[]:\\"));
  if (!option.value.empty()) text += zsh_action(offer_of(option), option.value);
  return "      " + zsh_quoted(text) + " \\\n";
}

/// The first argument of a word, then those behind each sub-word.
std::string zsh_word(const WordRow& row) {
  std::string options, arms, starts;
  bool files = false;
  for (const auto& option : row.options) options += zsh_option(option);
  for (const auto& form : forms_of(row)) {
    if (form.sub_word.empty()) {
      files = files || (!form.places.empty() && form.places.front().files);
      continue;
    }
    starts += (starts.empty() ? "" : " ") + form.sub_word;
    if (form.places.empty()) continue;
    std::string does;
    for (std::size_t i = 0; i < form.places.size(); ++i) {
      const std::string place = form.on_and_on && i + 1 == form.places.size() ? "*" : std::to_string(i + 2);
      does += " " + zsh_quoted(place + zsh_action(form.places[i], "argument"));
    }
    arms += fmt::format("        {}) places=({}) ;;\n", form.sub_word, does.substr(1));
  }
  std::string text = fmt::format("    {})\n", row.word);
  if (!starts.empty()) text += fmt::format("      first=({})\n", starts);
  if (files) text += "      first_files=1\n";
  if (!arms.empty()) text += "      case $sub in\n" + arms + "      esac\n";
  return text + "      options=( \\\n" + options + "      )\n      ;;\n";
}

}  // namespace

std::string zsh_completion() {
  std::string out =
      "#compdef quarterturn\n# zsh completion for quarterturn, written by: quarterturn --completion zsh\n\n"
      "_quarterturn_stations() {\n  local -a names\n"
      "  names=(${(f)\"$(_call_program stations quarterturn station list 2>/dev/null)\"})\n"
      "  names=(${names:#" +
      escaped(kNoStation, " ") +
      "})\n  compadd -a names\n}\n\n"
      "_quarterturn_stations_or_files() {\n  _quarterturn_stations\n  _files\n}\n\n"
      "_quarterturn_first() {\n  (( ${#first} )) && compadd -a first\n  [[ -n $first_files ]] && "
      "_files\n}\n\n"
      "_quarterturn() {\n  local curcontext=$curcontext state sub first_files\n"
      "  local -a line words_there first options places global\n  words_there=(\n";
  for (const auto& row : word_rows())
    out += "    " + zsh_quoted(fmt::format("{}:{}", row.word, escaped(row.summary, ":"))) + "\n";
  out += "  )\n  global=( \\\n";
  for (const auto& option : global_options()) out += zsh_option(option);
  out += "  )\n  _arguments -C $global \\\n";
  for (const auto& option : lone_options()) out += zsh_option(option);
  out +=
      "      '1: :->word' '*:: :->arguments' && return\n"
      "  if [[ $state == word ]]; then\n    _describe word words_there\n    return\n  fi\n"
      "  sub=${${words[2,-1]:#-*}[1]}\n  case $words[1] in\n";
  for (const auto& row : word_rows()) out += zsh_word(row);
  return out +
         "    *) return 1 ;;\n  esac\n"
         "  _arguments $global $options '1: :_quarterturn_first' $places\n}\n\n"
         "if [[ $funcstack[1] == _quarterturn ]]; then _quarterturn \"$@\"; else compdef _quarterturn "
         "quarterturn; "
         "fi\n";
}

namespace {

std::string fish_quoted(std::string_view text) {
  return "'" + escaped(text, "\\'") + "'";
}

/// What fish offers: words and names, one a line.
std::string fish_offer(const Offer& offer) {
  std::string text;
  for (const auto& word : offer.words) text += (text.empty() ? "" : " ") + escaped(word, " ()$\\\"'");
  if (offer.stations) text += std::string(text.empty() ? "" : " ") + "(__quarterturn_stations)";
  std::string out = text.empty() ? "" : " -a " + fish_quoted(text);
  if (offer.files) out += " -F";
  return out;
}

std::string fish_option(const std::string& condition, const OptionRow& option) {
  std::string text = fmt::format("complete -c quarterturn{} -l {}", condition, option.name.substr(2));
  if (!option.value.empty()) {
    const auto offer = offer_of(option);
    text += (offer.files ? " -r" : " -x") + fish_offer(offer);
  }
  return text + " -d " + fish_quoted(option.help) + "\n";
}

std::string fish_word(const WordRow& row) {
  const std::string seen = fmt::format("__fish_seen_subcommand_from {}", row.word);
  const auto when = [](const std::string& condition) { return " -n " + fish_quoted(condition); };
  std::string out = fmt::format("complete -c quarterturn -n __fish_use_subcommand -a {} -d {}\n", row.word,
                                fish_quoted(row.summary));
  std::string starts;
  for (const auto& word : sub_words(row)) starts += (starts.empty() ? "" : " ") + word;
  const std::string fresh = starts.empty() ? seen : seen + "; and not __fish_seen_subcommand_from " + starts;
  if (!starts.empty())
    out += fmt::format("complete -c quarterturn{} -a {}\n", when(fresh), fish_quoted(starts));
  for (const auto& form : forms_of(row)) {
    const std::string there =
        form.sub_word.empty() ? fresh : seen + "; and __fish_seen_subcommand_from " + form.sub_word;
    for (const auto& place : form.places) {
      const std::string offer = fish_offer(place);
      if (!offer.empty()) out += "complete -c quarterturn" + when(there) + offer + "\n";
    }
  }
  for (const auto& option : row.options) out += fish_option(when(seen), option);
  return out;
}

}  // namespace

std::string fish_completion() {
  std::string out =
      "# fish completion for quarterturn, written by: quarterturn --completion fish\n\n"
      "function __quarterturn_stations\n  quarterturn station list 2>/dev/null | string match -v -- " +
      fish_quoted(kNoStation) + "\nend\n\ncomplete -c quarterturn -f\n";
  for (const auto& option : global_options()) out += fish_option("", option);
  for (const auto& option : lone_options()) out += fish_option(" -n __fish_use_subcommand", option);
  for (const auto& row : word_rows()) out += fish_word(row);
  return out;
}

}  // namespace quarterturn::cli
