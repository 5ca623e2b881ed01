// SPDX-License-Identifier: MIT
#include "cli/offers.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <regex>

#include "check/check.hpp"
#include "files/caliper_classes.hpp"
#include "files/log_document.hpp"
#include "history/causes.hpp"
#include "history/find.hpp"

namespace quarterturn::cli {
namespace {

using Words = std::vector<std::string>;

bool is_small(std::string_view word) {
  return !word.empty() && std::ranges::all_of(word, [](unsigned char c) {
    return std::islower(c) != 0 || std::isdigit(c) != 0 || c == '-' || c == '|';
  }) && std::isalpha(static_cast<unsigned char>(word.front())) != 0;
}

Words split(std::string_view text, char at) {
  Words parts;
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t end = std::min(text.find(at, from), text.size());
    if (end > from) parts.emplace_back(text.substr(from, end - from));
    from = end + 1;
  }
  return parts;
}

/// The words that a kind of value may be, of which each option's help names its own.
Words vocabulary(std::string_view value) {
  if (value == "WHEN") return {"auto", "always", "never"};
  if (value == "SIDE") return {"left", "right", "before", "beyond", "over-90", "under-90", "unknown"};
  if (value == "FORM") return {"pair", "halves", "separate", "shared"};
  if (value == "FORMAT") return {"html", "svg", "json", "csv", "text"};
  if (value == "DRAWING") return {"strips", "interval", "table", "history"};
  Words tests;
  if (value == "KIND") {
    for (const auto& row : check::test_rows()) tests.emplace_back(row.word);
  }
  return tests;
}

/// Whether a text has the word, not as a part of another: `five-cut` has no `cut`.
bool names(std::string_view text, const std::string& word) {
  const auto inside = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '-'; };
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    if ((at == 0 || !inside(text[at - 1])) && (end == text.size() || !inside(text[end]))) return true;
  }
  return false;
}

}  // namespace

Offer offer_of_name(std::string_view value) {
  Offer offer;
  if (is_small(value)) {
    offer.words = split(value, '|');
  } else if (value == "EVENT") {
    offer.words = files::event_kinds();
  } else if (value == "CLASS") {
    for (const auto& row : files::caliper_classes()) offer.words.push_back(row.caliper.name);
  } else if (value == "CAUSE") {
    for (const auto& row : history::cause_rows()) offer.words.emplace_back(row.code);
  } else if (value.starts_with("TEST=")) {
    for (const auto& row : history::test_rows()) {
      if (row.answered)
        for (const auto& end : split(value.substr(5), '|'))
          offer.words.push_back(std::string(row.code) + "=" + end);
    }
    offer.open_ended = true;
  }
  for (const auto& part : split(value, '|')) {
    offer.files = offer.files || part == "FILE";
    offer.stations = offer.stations || part == "STATION";
  }
  return offer;
}

namespace {

/// `NAME`, `NAME|FILE`, `OLD`: of a station, where the word is about stations.
bool is_station_name(std::string_view word, std::string_view place) {
  return word == "station" && (place.starts_with("NAME") || place == "OLD");
}

/// The words of a form up to where its spoken explanation begins: two blanks.
Words words_of_form(std::string_view usage) {
  return split(usage.substr(0, usage.find("  ")), ' ');
}

}  // namespace

Offer offer_of(const OptionRow& option) {
  Offer offer = offer_of_name(option.value);
  for (const auto& word : vocabulary(option.value)) {
    if (names(option.help, word)) offer.words.push_back(word);
  }
  if (option.name == "--station") offer.stations = true;
  if (option.value == "PAGE") {
    offer.words = word_names();
    offer.words.insert(offer.words.begin(), "quarterturn");
  }
  // `--settle READINGS`: a readings file.
  if (names(option.help, "file") && option.value == "READINGS") offer.files = true;
  return offer;
}

std::vector<WrittenForm> forms_of(const WordRow& row) {
  std::vector<WrittenForm> forms;
  for (const auto usage : row.usage) {
    Words words = words_of_form(usage);
    if (words.empty() || words.front().starts_with('-')) continue;  // options, which have rows of their own
    Words starts{""};
    if (is_small(words.front())) {
      starts = split(words.front(), '|');
      words.erase(words.begin());
    }
    WrittenForm form;
    for (std::string place : words) {
      if (place.starts_with('-')) break;
      std::erase_if(place, [](char c) { return c == '[' || c == ']'; });
      if (place.ends_with("...")) {
        form.on_and_on = true;
        place.resize(place.size() - 3);
      }
      form.places.push_back(offer_of_name(place));
      if (is_station_name(row.word, place)) form.places.back().stations = true;
    }
    for (const auto& start : starts) {
      form.sub_word = start;
      forms.push_back(form);
    }
  }
  return forms;
}

Words sub_words(const WordRow& row) {
  Words words;
  for (const auto& form : forms_of(row)) {
    if (!form.sub_word.empty()) words.push_back(form.sub_word);
  }
  return words;
}

}  // namespace quarterturn::cli
