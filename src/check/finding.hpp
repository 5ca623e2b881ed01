// SPDX-License-Identifier: MIT
/// \file finding.hpp
/// What the numbers show beside the answer: codes that stay, and where they point.
/// The words of a code stand in its own row in finding.cpp; report/ only puts numbers into them.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::check {

struct Where {
  std::optional<int> panel, from_cut, to_cut, line;
  std::optional<double> position_mm;
  std::string_view counted = "panel";  ///< what `panel` counts: panels, or in a gap test pairs or rings
};

struct Finding {
  std::string code;
  Where where;
  std::map<std::string, double> numbers;     ///< for the sentence, by name; lengths in mm, angles in rad
  std::map<std::string, std::string> words;  ///< for the sentence
};

/// One row a code.
struct FindingRow {
  std::string_view code;
  /// `{name_mm}` a length with its unit, `{name:0}` a number with so many decimals, `{name$}` a word,
  /// `{where}` strip and spot. Where the same code has two sentences they stand apart by `|`; the first whose
  /// names are all given is meant.
  std::string_view sentence;
  std::string_view advice;    ///< may be empty
  bool settle_first = false;  ///< the result may be this mistake: nothing is moved before it is cleared up
};
/// All rows, for help and documents. \throws std::logic_error on an unknown code
const std::vector<FindingRow>& finding_rows();
const FindingRow& finding_row(std::string_view code);

}  // namespace quarterturn::check
