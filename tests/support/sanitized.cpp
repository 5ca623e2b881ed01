// SPDX-License-Identifier: MIT
#include "support/sanitized.hpp"

#include <algorithm>
#include <iterator>
#include <set>

namespace quarterturn::test {

std::string sanitizer_options(const std::vector<std::string>& words) {
  static std::set<std::vector<std::string>> seen;  // of each: the words of the command, its options
  const auto is_name = [](const std::string& word) {
    return word.starts_with('-') || std::ranges::all_of(word, [](char c) { return c >= 'a' && c <= 'z'; });
  };
  std::vector<std::string> names;
  std::ranges::copy_if(words, std::back_inserter(names), is_name);
  const bool looks = seen.insert(names).second;
  return std::string("ASAN_OPTIONS=quarantine_size_mb=16:detect_leaks=") + (looks ? "1" : "0");
}

}  // namespace quarterturn::test
