// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <map>
#include <vector>

#include "cli/offers.hpp"
#include "cli/options.hpp"
#include "cli/shell_completion.hpp"

namespace quarterturn::cli {
namespace {

/// In single quotes, as a shell reads it.
std::string bash_quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

/// The assignments that an offer comes to.
std::string assignments(const Offer& offer) {
  std::string out;
  if (!offer.words.empty()) {
    out += "words=(";
    for (const auto& word : offer.words) out += (out.ends_with('(') ? "" : " ") + bash_quoted(word);
    out += ")";
  }
  const auto set = [&](bool wanted, const char* name) {
    if (wanted) out += (out.empty() ? "" : " ") + std::string(name) + "=1";
  };
  set(offer.stations, "stations");
  set(offer.files, "files");
  set(offer.open_ended, "open_ended");
  return out;
}

/// The arms of a `case`: patterns that come to the same stand together.
class Arms {
 public:
  void put(const std::string& pattern, const Offer& offer) {
    patterns_[assignments(offer)].push_back(pattern);
  }
  [[nodiscard]] std::string text() const {
    std::string out;
    for (const auto& [does, patterns] : patterns_) {
      out += "    ";
      for (const auto& pattern : patterns) out += (&pattern == &patterns.front() ? "" : " | ") + pattern;
      out += fmt::format(") {}{};;\n", does, does.empty() ? "" : " ");
    }
    return out;
  }

 private:
  std::map<std::string, std::vector<std::string>> patterns_;
};

std::string values() {
  Arms arms;
  const auto put = [&](const std::string& word, const std::vector<OptionRow>& options) {
    for (const auto& option : options) {
      if (!option.value.empty()) arms.put(fmt::format("{}:{}", word, option.name), offer_of(option));
    }
  };
  for (const auto& row : word_rows()) put(std::string(row.word), row.options);
  put("*", global_options());
  put("", lone_options());
  return arms.text();
}

std::string places() {
  Arms arms;
  for (const auto& row : word_rows()) {
    Offer first;
    for (const auto& form : forms_of(row)) {
      if (!form.sub_word.empty()) {
        first.words.push_back(form.sub_word);
      } else if (!form.places.empty()) {
        first.files = first.files || form.places.front().files;
        first.stations = first.stations || form.places.front().stations;
      }
      for (std::size_t i = 0; i < form.places.size() && !form.sub_word.empty(); ++i) {
        const bool last = form.on_and_on && i + 1 == form.places.size();
        arms.put(fmt::format("{}:{}:{}", row.word, form.sub_word, last ? "*" : std::to_string(i + 1)),
                 form.places[i]);
      }
    }
    arms.put(fmt::format("{}::0", row.word), first);
  }
  return arms.text();
}

std::string names_of(const std::vector<OptionRow>& options) {
  std::string text;
  for (const auto& option : options) text += (text.empty() ? "" : " ") + std::string(option.name);
  return text;
}

std::string options() {
  std::string text;
  for (const auto& row : word_rows()) {
    if (!row.options.empty()) text += fmt::format("    {}) echo {} ;;\n", row.word, names_of(row.options));
  }
  return text + fmt::format("    '') echo {} ;;\n", names_of(lone_options()));
}

// Parts that no table feeds. `=` parts words for bash and not for quarterturn, so pieces are joined again.
constexpr const char* kBody = R"BASH(
_quarterturn() {
  COMPREPLY=()
  local program=$1 word='' sub='' option='' log='' cur bare i
  local -a typed=() words=()
  local stations='' files='' open_ended='' number=0
  for ((i = 1; i <= COMP_CWORD; i++)); do
    if ((i > 1)) && [[ ${COMP_WORDS[i]} == '=' || ${COMP_WORDS[i - 1]} == '=' ]]; then
      typed[-1]+=${COMP_WORDS[i]}
    else
      typed+=("${COMP_WORDS[i]}")
    fi
  done
  cur=${typed[-1]}
  unset 'typed[-1]'
  for i in "${typed[@]}"; do
    if [[ -n $option ]]; then
      [[ $option == --log ]] && log=$i
      option=''
    elif [[ $i == --*=* ]]; then
      [[ $i == --log=* ]] && log=${i#*=}
    elif [[ $i == -* ]]; then
      _quarterturn_value "$word" "$i" && option=$i
    elif [[ -z $word ]]; then
      word=$i
    else
      ((number == 0)) && sub=$i
      ((number += 1))
    fi
  done
  words=() stations='' files='' open_ended=''
  local before=''
  if [[ -z $option && $cur == --*=* ]]; then
    option=${cur%%=*} before=$option=
    cur=${cur#*=}
  fi
  if [[ -n $option ]]; then
    _quarterturn_value "$word" "$option" || return
  elif [[ $cur == -* ]]; then
    words=($(_quarterturn_options "$word") @GLOBAL@)
  elif [[ -z $word ]]; then
    words=(@WORDS@)
  elif ((number == 0)); then
    _quarterturn_place "$word" '' 0
  else
    _quarterturn_place "$word" "$sub" "$number"
  fi
  if [[ -n $stations ]]; then
    while IFS= read -r i; do
      [[ $i == '@NONE@' ]] || words+=("$i")
    done < <("$program" ${log:+--log "$log"} station list 2>/dev/null </dev/null)
  fi
  bare=${cur#[\"\']} bare=${bare//\\/}
  for i in "${words[@]}"; do
    [[ $i == "$bare"* ]] || continue
    # Readline itself quotes what it takes for file names, and keeps a quotation mark that was typed.
    if [[ -n $files || $cur == [\"\']* ]]; then COMPREPLY+=("$i"); else COMPREPLY+=("$(printf '%q' "$i")"); fi
  done
  if [[ -n $files ]]; then
    compopt -o filenames 2>/dev/null
    while IFS= read -r i; do COMPREPLY+=("$i"); done < <(compgen -f -- "$bare")
  fi
  [[ -n $open_ended ]] && compopt -o nospace 2>/dev/null
  # What stands before a `=` is not replaced, where bash parts words there.
  before+=$cur
  if [[ $before == *=* && $COMP_WORDBREAKS == *=* ]]; then
    before=${cur%"${cur##*=}"}
    COMPREPLY=("${COMPREPLY[@]#"$before"}")
  fi
}
complete -F _quarterturn quarterturn
)BASH";

std::string with(std::string text, const std::string& mark, const std::string& value) {
  return text.replace(text.find(mark), mark.size(), value);
}

}  // namespace

std::string bash_completion() {
  std::string words;
  for (const auto& word : word_names()) words += (words.empty() ? "" : " ") + word;
  std::string out =
      "# bash completion for quarterturn, written by: quarterturn --completion bash\n\n"
      "# WORD OPTION: what may follow it; fails where nothing does.\n"
      "_quarterturn_value() {\n  case $1:$2 in\n" +
      values() +
      "    *) return 1 ;;\n  esac\n}\n\n"
      "# WORD SUB-WORD NUMBER: what may stand as that argument.\n"
      "_quarterturn_place() {\n  case $1:$2:$3 in\n" +
      places() + "  esac\n}\n\n_quarterturn_options() {\n  case $1 in\n" + options() + "  esac\n}\n";
  out += with(with(with(kBody, "@GLOBAL@", names_of(global_options())), "@WORDS@", words), "@NONE@",
              std::string(kNoStation));
  return out;
}

}  // namespace quarterturn::cli
