// SPDX-License-Identifier: MIT
/// \file parse.hpp
/// Words typed, sorted into word, arguments and options by the table of options.hpp.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

namespace quarterturn::cli {

struct Parsed {
  std::string word;  ///< empty: none was typed
  std::vector<std::string> arguments;
  std::map<std::string, std::vector<std::string>> options;  ///< by name; a flag has no values

  [[nodiscard]] bool has(const std::string& option) const { return options.contains(option); }
  [[nodiscard]] std::optional<std::string> value(const std::string& option) const;
  [[nodiscard]] std::vector<std::string> values(const std::string& option) const;
};

/// \throws UsageError on unknown words and options (with the nearest), missing values, too many arguments
Parsed parse(const std::vector<std::string>& typed);

/// A line of the prompt as words; blanks inside "…" or '…' do not part. \throws UsageError on an open
/// quotation
std::vector<std::string> words_of_line(const std::string& line);

}  // namespace quarterturn::cli
