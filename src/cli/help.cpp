// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/amounts.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kHelpWidth = 80;

std::string option_lines(const std::vector<OptionRow>& rows) {
  std::string text;
  for (const auto& row : rows) {
    const std::string left = std::string(row.name) + (row.value.empty() ? "" : " " + std::string(row.value));
    text += left.size() > 25 ? fmt::format("  {}\n  {:<26}{}\n", left, "", row.help)
                             : fmt::format("  {:<26}{}\n", left, row.help);
  }
  return text;
}

std::string program_help() {
  std::string text =
      "quarterturn: is the station square, how sure is that, and what to move?\n"
      "It reads the strips of a multi-cut test and answers with the angular error, its ±, a verdict and a "
      "correction.\n\n"
      "  quarterturn                the guided way: describe the station, cut, type the readings\n";
  for (const auto& row : word_rows()) text += fmt::format("  quarterturn {:<14} {}\n", row.word, row.summary);
  text += "\nOptions of every word:\n" + option_lines(global_options());
  text += "\nEach word has its own: quarterturn check --help\n\nWithout a word:\n" +
          option_lines(lone_options()) + "\nExamples:\n";
  for (const auto& row : word_rows()) text += fmt::format("  {}\n", row.examples.front());
  text += "\nExit status: ";
  for (const auto& row : exit_rows())
    text += fmt::format("{}{} {}", &row == &exit_rows().front() ? "" : "; ", row.status, row.means);
  return text + ".\n";
}

}  // namespace

std::string help_text(const WordRow* row) {
  if (row == nullptr) return program_help();
  std::string text = fmt::format("{}: {}\n\n", row->word, row->summary);
  for (const auto& usage : row->usage)
    text += fmt::format("  quarterturn {}{}{}\n", row->word, usage.empty() ? "" : " ", usage);
  if (!row->options.empty()) text += "\nOptions:\n" + option_lines(row->options);
  if (row->names != nullptr) text += "\n" + report::wrapped(row->names(), kHelpWidth);
  text += "\nOptions of every word:\n" + option_lines(global_options()) + "\nExamples:\n";
  for (const auto& example : row->examples) text += fmt::format("  {}\n", example);
  return text;
}

}  // namespace quarterturn::cli
