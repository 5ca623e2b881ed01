// SPDX-License-Identifier: MIT
#include "cli/candidate_list.hpp"

#include <algorithm>

#include "report/amounts.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kMostListed = 100;
constexpr std::size_t kBetween = 2;

/// `readings/dock.csv` among others of its folder is `dock.csv`.
std::string last_part(const std::string& path) {
  if (path.size() < 2) return path;
  const auto slash = path.rfind('/', path.size() - 2);
  return slash == std::string::npos ? path : path.substr(slash + 1);
}

}  // namespace

std::string candidate_list(const std::vector<std::string>& candidates, int width) {
  std::vector<std::string> names;
  std::size_t widest = 1;
  for (const auto& candidate : candidates) {
    if (names.size() == kMostListed) break;
    names.push_back(units::inert(last_part(candidate)));
    widest = std::max(widest, report::columns_of(names.back()));
  }
  const std::size_t room = static_cast<std::size_t>(std::max(width, 1));
  const std::size_t columns = std::max<std::size_t>(1, (room + kBetween - 1) / (widest + kBetween));
  const std::size_t rows = (names.size() + columns - 1) / columns;
  std::string text;
  for (std::size_t row = 0; row < rows; ++row) {
    std::size_t blanks = 0;
    for (std::size_t at = row; at < names.size(); at += rows) {
      text += std::string(blanks, ' ') + names[at];
      blanks = widest + kBetween - report::columns_of(names[at]);
    }
    text += "\n";
  }
  if (candidates.size() > names.size())
    text += "and " + std::to_string(candidates.size() - names.size()) + " more: type on, then Tab\n";
  return text;
}

}  // namespace quarterturn::cli
