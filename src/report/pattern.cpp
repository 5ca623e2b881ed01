// SPDX-License-Identifier: MIT
#include "report/pattern.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <stdexcept>

#include "report/amounts.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr double kSizeMm = 100;

/// Sizes of panels and distances of holes show hundredths only when they have some.
std::string amount_text(double mm, units::Unit unit) {
  const bool whole = std::fabs(mm - std::round(mm)) < 0.005;
  return std::fabs(mm) >= kSizeMm && whole ? size_text(mm, unit) : length_text(mm, unit);
}

std::string where_words(const check::Where& where, units::Unit unit) {
  std::string text;
  if (where.from_cut && where.to_cut) text = fmt::format("strip {}-{}", *where.from_cut, *where.to_cut);
  if (where.panel) text += fmt::format("{}{} {}", text.empty() ? "" : " of ", where.counted, *where.panel);
  const char* const end = where.counted == "ring" ? "outer" : where.counted == "rail" ? "near" : "fence";
  const char* const comma = text.empty() ? "" : ", ";
  if (where.position_mm && *where.position_mm == 0) {
    text += fmt::format("{}at its {} end", comma, end);
  } else if (where.position_mm) {
    text += fmt::format("{}{} from the {} end", comma, size_text(*where.position_mm, unit), end);
  }
  if (where.line) text += fmt::format("{}line {}", text.empty() ? "" : ", ", *where.line);
  return text.empty() ? "the check" : text;
}

/// A missing number or word is a fault of ours: the row and the finding are written by the same hands.
[[noreturn]] void missing(const std::string& code, const std::string& name) {
  throw std::logic_error("finding '" + code + "' lacks '" + name + "'");
}

std::string filled(const check::Finding& finding, std::string_view key, units::Unit unit) {
  if (key == "where") return where_words(finding.where, unit);
  if (key.ends_with('$')) {
    const std::string name(key.substr(0, key.size() - 1));
    const auto word = finding.words.find(name);
    if (word == finding.words.end()) missing(finding.code, name);
    return units::inert(word->second);
  }
  const auto colon = key.find(':');
  const std::string name(key.substr(0, colon));
  const auto number = finding.numbers.find(name);
  if (number == finding.numbers.end()) missing(finding.code, name);
  if (colon == std::string_view::npos) {
    return amount_text(number->second, unit);
  }
  const auto digits = key.substr(colon + 1);
  if (digits == "F") {
    return fmt::format("{} {} at F", amount_text(std::fabs(number->second), unit),
                       number->second < 0 ? "narrower" : "wider");
  }
  int decimals = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), decimals);
  return fixed(number->second, decimals);
}

/// Whether the finding has every number and word that the pattern names.
bool fits(const check::Finding& finding, std::string_view pattern) {
  for (auto open = pattern.find('{'); open != std::string_view::npos; open = pattern.find('{', open + 1)) {
    const auto key = pattern.substr(open + 1, pattern.find('}', open) - open - 1);
    if (key == "where") continue;
    const bool there = key.ends_with('$')
                           ? finding.words.contains(std::string(key.substr(0, key.size() - 1)))
                           : finding.numbers.contains(std::string(key.substr(0, key.find(':'))));
    if (!there) return false;
  }
  return true;
}

/// Of sentences parted by `|` the first that the finding can fill.
std::string_view chosen(const check::Finding& finding, std::string_view patterns) {
  for (auto rest = patterns;;) {
    const auto bar = rest.find('|');
    const auto pattern = rest.substr(0, bar);
    if (bar == std::string_view::npos || fits(finding, pattern)) return pattern;
    rest.remove_prefix(bar + 1);
  }
}

std::string fill(const check::Finding& finding, std::string_view pattern, units::Unit unit) {
  std::string text;
  while (!pattern.empty()) {
    const auto open = pattern.find('{');
    text += pattern.substr(0, open);
    if (open == std::string_view::npos) break;
    const auto close = pattern.find('}', open);
    if (close == std::string_view::npos)
      throw std::logic_error("finding '" + finding.code + "': brace not closed");
    text += filled(finding, pattern.substr(open + 1, close - open - 1), unit);
    pattern.remove_prefix(close + 1);
  }
  return text;
}

}  // namespace

std::string filled_pattern(std::string_view patterns, const check::Finding& values, units::Unit unit) {
  return fill(values, chosen(values, patterns), unit);
}

}  // namespace quarterturn::report
