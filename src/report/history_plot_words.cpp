// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "report/amounts.hpp"
#include "report/history_parts.hpp"
#include "report/history_report.hpp"

namespace quarterturn::report {
namespace {

constexpr std::size_t kMostTold = 12;  ///< checks told one by one; events

std::string one_check(const Record& record, std::size_t at, units::Unit unit) {
  const auto& entry = record.entries[at];
  const double mm = mm_of(record, entry.eta);
  const std::string amount = entry.hollow && entry.u == 0
                                 ? length_text(std::fabs(mm), unit)
                                 : plus_minus_text(std::fabs(mm), half_of(record, entry), unit);
  // What rounds to nothing has no side.
  const bool some = amount.substr(0, amount.find(' ')).find_first_of("123456789") != std::string::npos;
  return record.entry_names[at].date + " " + amount + (some ? std::string(" ") + side_word(mm) : "") +
         (entry.hollow ? " (an old result)" : "");
}

/// The latest ones, those alike in day and words once.
std::string happened(const Record& record) {
  std::vector<std::string> told;
  for (std::size_t k = 0; k < record.events.size(); ++k) {
    const std::string words = "- " + event_words(record, k) + "\n";
    if (told.empty() || told.back() != words) told.push_back(words);
  }
  if (told.empty()) return "";
  const std::size_t first = told.size() - std::min(kMostTold, told.size());
  std::string text = "What happened:\n";
  if (first > 0) text += fmt::format("- {} earlier\n", first);
  for (std::size_t k = first; k < told.size(); ++k) text += told[k];
  return text;
}

}  // namespace

std::string history_plot_words(const Record& record, const TextOptions& options) {
  if (record.entries.size() < 2) return "";
  const auto& entries = record.entries;
  const auto less = [](const auto& a, const auto& b) { return a.eta < b.eta; };
  const auto [low, high] = std::minmax_element(entries.begin(), entries.end(), less);
  std::string text = fmt::format("The checks, over {}", size_text(record.panel_mm, options.unit));
  const auto& tolerance = record.settings.tolerance_rad;
  if (tolerance) {
    const auto outside = std::count_if(entries.begin(), entries.end(),
                                       [&](const auto& entry) { return std::fabs(entry.eta) > *tolerance; });
    text += fmt::format("; allowed {} either way, {} of {} beyond it",
                        length_text(mm_of(record, *tolerance), options.unit), outside, entries.size());
  }
  text += ":\n";
  if (entries.size() <= kMostTold) {
    for (std::size_t i = 0; i < entries.size(); ++i) text += "- " + one_check(record, i, options.unit) + "\n";
  } else {
    const auto at = [&](const char* what, std::size_t i) {
      return fmt::format("- {}: {}\n", what, one_check(record, i, options.unit));
    };
    text += at("first", 0) + at("least", static_cast<std::size_t>(low - entries.begin())) +
            at("most", static_cast<std::size_t>(high - entries.begin())) + at("last", entries.size() - 1);
  }
  text += happened(record);
  return finished(text, options);
}

}  // namespace quarterturn::report
