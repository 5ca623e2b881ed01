// SPDX-License-Identifier: MIT
#include "files/observation_cells.hpp"

#include <algorithm>
#include <cmath>

#include "units/angle.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;

namespace {

constexpr double kMostDeg = 1;  // beyond, it is another angle and not an error

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words;
  std::string word;
  for (const char c : text) {
    if (c != ' ' && c != '\t' && c != '\n' && c != ',' && c != ';') {
      word += c;
    } else if (!word.empty()) {
      words.push_back(std::move(word));
      word.clear();
    }
  }
  if (!word.empty()) words.push_back(word);
  return words;
}

/// Letters, then digits, then the end or `=`: else it goes on with the name of a dog.
bool begins_with_hole(std::string_view word) {
  const std::size_t digits = word.find_first_of("0123456789");
  if (digits == 0 || digits == std::string_view::npos || digits > 3) return false;
  const bool letters = std::all_of(word.begin(), word.begin() + static_cast<std::ptrdiff_t>(digits),
                                   [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); });
  const std::size_t end = word.find_first_not_of("0123456789", digits);
  return letters && (end == std::string_view::npos || word[end] == '=');
}

}  // namespace

const std::vector<std::string>& taken_words() {
  static const std::vector<std::string> words{"outside", "inside", "centre"};
  return words;
}

std::size_t word_in(std::string_view typed, const std::string& what, const std::vector<std::string>& words) {
  const std::string word = units::lowered(typed);
  const auto found = std::ranges::find(words, word);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  const bool compound = word.starts_with("distance-");
  throw InputError(what, std::string(typed), units::one_of(words), {},
                   compound ? "write distance, and " + word.substr(9) + " in the column side"
                            : units::did_you_mean(word, words));
}

Via parse_via(const std::string& typed) {
  Via via;
  for (const std::string& word : words_of(typed)) {
    if (!via.holes.empty() && !via.dogs.back().empty() && !begins_with_hole(word)) {
      via.dogs.back() += " " + word;
      continue;
    }
    const std::size_t equals = std::min(word.find('='), word.size());
    try {
      via.holes.push_back(station::parse_hole(word.substr(0, equals)));
    } catch (const InputError& error) {
      throw InputError("via", word, error.must_be(), {}, "two holes with a blank between: A1 B2");
    }
    via.dogs.push_back(equals < word.size() ? word.substr(equals + 1) : "");
    if (equals < word.size() && via.dogs.back().empty())
      throw InputError("via", word, "a hole, =, and the dog in it", {}, "as A9=low-1");
  }
  return via;
}

Faces parse_faces(const std::string& typed) {
  Faces faces;
  int rail = 0, panel = 0;
  for (const std::string& word : words_of(units::lowered(typed))) {
    if (word == "left" || word == "right") {
      faces.rail = word == "left" ? station::Side::left : station::Side::right;
      ++rail;
    } else if (word == "before" || word == "beyond") {
      faces.panel = word == "before" ? station::PanelSide::before : station::PanelSide::beyond;
      ++panel;
    } else {
      rail = 9;
    }
  }
  if (rail == 1 && panel == 1) return faces;
  throw InputError(
      "side", typed, "left or right, and before or beyond", {},
      "the face of the rail dogs that the rail rests on, and the side of the fence the panel is on: "
      "right before");
}

double parse_observed(const std::string& typed, const std::string& what, units::Unit unit) {
  const units::Number number = units::parse_number(typed, what);
  if (number.fraction && !number.unit && unit == units::Unit::mm)
    throw InputError(what, number.as_typed, "a fraction with its unit", {},
                     "write " + number.as_typed + " in");
  return number.length(unit).mm();
}

double parse_slope(const std::string& typed, const std::string& what, units::Unit unit) {
  const std::string text(units::trimmed(typed));
  double rad = 0;
  if (const std::size_t over = text.find(" over "); over != std::string::npos) {
    const double base = parse_observed(text.substr(over + 6), what + ", behind over", unit);
    if (!(base > 0)) throw InputError(what, typed, "over a length above 0", {}, "for example: 0.06 over 600");
    rad = parse_observed(text.substr(0, over), what, unit) / base;
  } else if (text.ends_with("deg") || text.ends_with("°")) {
    const std::size_t size = text.size() - (text.ends_with("deg") ? 3 : 2);
    rad = units::Angle::from_deg(units::parse_number(text.substr(0, size), what).value).rad();
  } else if (text.ends_with("rad")) {
    rad = units::parse_number(text.substr(0, text.size() - 3), what).value;
  } else {
    throw InputError(what, typed, "a length over a length, or an angle in deg", {},
                     "for example: 0.06 over 600, or 0.006 deg");
  }
  if (!(std::fabs(rad) <= units::Angle::from_deg(kMostDeg).rad()))
    throw InputError(what, typed, "at most 1 degree", {}, "how far the corner is off the nominal angle");
  return rad;
}

}  // namespace quarterturn::files
