// SPDX-License-Identifier: MIT
/// \file readings_parts.cpp
/// The two compound values of a readings file's head: `caliper` and `panel-size`.
#include <array>
#include <vector>

#include "files/caliper_classes.hpp"
#include "files/readings_file.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;
using units::Unit;

namespace {

constexpr double kMostResolutionMm = 1.0, kMostRepeatabilityMm = 1.0;
constexpr double kLeastReachMm = 10.0, kMostReachMm = 3000.0;
constexpr double kLeastPanelMm = 50.0, kMostPanelMm = 10'000.0;
constexpr double kLeastThicknessMm = 1.0, kMostThicknessMm = 200.0;

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Parts a list at the commas and semicolons that a word follows; a comma between digits is a decimal comma.
std::vector<std::string_view> split_items(std::string_view text) {
  std::vector<std::string_view> items;
  std::size_t start = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != ',' && text[i] != ';') continue;
    const std::string_view behind = units::trimmed(text.substr(i + 1));
    if (!behind.empty() && !is_letter(behind[0])) continue;
    items.push_back(units::trimmed(text.substr(start, i - start)));
    start = i + 1;
  }
  items.push_back(units::trimmed(text.substr(start)));
  return items;
}

struct Item {
  const char* word;
  const char* must_be;
  bool (*take)(check::Caliper&, const units::Number&, Unit);
};

constexpr std::array<Item, 4> kItems{{
    {"resolution", "above 0 and at most 1 mm",
     [](check::Caliper& caliper, const units::Number& number, Unit unit) {
       caliper.resolution_mm = number.length(unit).mm();
       return caliper.resolution_mm > 0 && caliper.resolution_mm <= kMostResolutionMm;
     }},
    {"repeatability", "above 0 and at most 1 mm",
     [](check::Caliper& caliper, const units::Number& number, Unit unit) {
       caliper.repeatability_mm = number.length(unit).mm();
       return caliper.repeatability_mm > 0 && caliper.repeatability_mm <= kMostRepeatabilityMm;
     }},
    {"reliability", "a plain number above 0 and at most 1, such as 0.25 when the figure is good to a quarter",
     [](check::Caliper& caliper, const units::Number& number, Unit) {
       caliper.reliability = number.value;
       return !number.unit && number.value > 0 && number.value <= 1;
     }},
    {"reach", "10 mm to 3 m",
     [](check::Caliper& caliper, const units::Number& number, Unit unit) {
       caliper.reach_mm = number.length(unit).mm();
       return caliper.reach_mm >= kLeastReachMm && caliper.reach_mm <= kMostReachMm;
     }},
}};

std::vector<std::string> item_words() {
  std::vector<std::string> words;
  words.reserve(kItems.size());
  for (const Item& item : kItems) words.emplace_back(item.word);
  return words;
}

std::size_t item_of(std::string_view word) {
  for (std::size_t i = 0; i < kItems.size(); ++i) {
    if (units::lowered(word) == kItems[i].word) return i;
  }
  const std::vector<std::string> words = item_words();
  throw InputError("caliper", std::string(word), units::one_of(words) + ", each with its number", {},
                   units::did_you_mean(word, words));
}

check::Caliper stated_caliper(std::string_view text, Unit unit) {
  check::Caliper caliper;
  caliper.name = "stated";
  std::array<bool, kItems.size()> given{};
  for (const std::string_view item : split_items(text)) {
    std::size_t end = 0;
    while (end < item.size() && is_letter(item[end])) ++end;
    const std::string_view word = item.substr(0, end);
    const std::size_t i = item_of(word);
    const std::string what = "caliper " + std::string(kItems[i].word);
    if (given[i]) throw InputError(what, std::string(item), "given once", {}, "take one of the two out");
    given[i] = true;
    const units::Number number = units::parse_number(item.substr(end), what);
    if (!kItems[i].take(caliper, number, unit))
      throw InputError(what, number.as_typed, kItems[i].must_be, {},
                       "for example: resolution 0.01, repeatability 0.012, reliability 0.25");
  }
  if (!given[0]) {
    throw InputError("caliper resolution", std::string(units::kMissing), "given", {},
                     "for example: resolution 0.01, repeatability 0.012, reliability 0.25");
  }
  return caliper;
}

/// Parts at `x`, `X` or the sign for times; without any, at blanks.
std::vector<std::string_view> split_sizes(std::string_view text) {
  std::vector<std::string_view> parts;
  std::size_t start = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::size_t n = text[i] == 'x' || text[i] == 'X' || text[i] == '*' ? 1
                          : text.substr(i).starts_with("×")                  ? 2
                                                                             : 0;
    if (n == 0) continue;
    parts.push_back(units::trimmed(text.substr(start, i - start)));
    start = i + n;
  }
  if (!parts.empty()) {
    parts.push_back(units::trimmed(text.substr(start)));
    return parts;
  }
  for (const units::Piece& piece : units::split_numbers(text)) parts.push_back(piece.text);
  return parts;
}

}  // namespace

check::Caliper parse_caliper(const std::string& text, Unit unit) {
  const std::string_view value = units::trimmed(text);
  const bool listed = value.find_first_of(",; ") != std::string_view::npos;
  return listed ? stated_caliper(value, unit) : caliper_of_class(std::string(value));
}

check::PanelSize parse_panel_size(const std::string& text, Unit unit) {
  const std::vector<std::string_view> parts = split_sizes(units::trimmed(text));
  if (parts.size() < 2 || parts.size() > 3) {
    throw InputError("panel-size", text, "two or three lengths such as 600 x 600 x 18 mm", {},
                     "width, depth and, if you like, thickness, with an x between");
  }
  std::vector<units::Number> numbers;
  numbers.reserve(parts.size());
  for (const std::string_view part : parts) numbers.push_back(units::parse_number(part, "panel-size"));
  // `24 x 24 in`: the unit at the end holds for all that carry none.
  const Unit bare = numbers.back().unit.value_or(unit);
  const auto length = [&](std::size_t i, double least, double most, const char* must_be) {
    const double mm = numbers[i].length(bare).mm();
    if (!(mm >= least && mm <= most))
      throw InputError("panel-size", numbers[i].as_typed, must_be, {}, "for example: 600 x 600 x 18 mm");
    return mm;
  };
  check::PanelSize size;
  size.width_mm = length(0, kLeastPanelMm, kMostPanelMm, "a panel's edge, 50 mm to 10 m");
  size.depth_mm = length(1, kLeastPanelMm, kMostPanelMm, "a panel's edge, 50 mm to 10 m");
  if (numbers.size() == 3) {
    size.thickness_mm = length(2, kLeastThicknessMm, kMostThicknessMm, "a panel's thickness, 1 to 200 mm");
  }
  return size;
}

}  // namespace quarterturn::files
