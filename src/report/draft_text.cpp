// SPDX-License-Identifier: MIT
#include "report/draft_text.hpp"

#include <fmt/format.h>

#include <ctime>

#include "files/dates.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::report {
namespace {

constexpr std::size_t kShown = 12;  ///< lines of a draft that is gone on with
constexpr std::size_t kMostOfAnswer = 60;

/// `2026-03-14 10:20`, by the clock on the wall.
std::string when_words(std::int64_t utc) {
  const std::time_t moment = utc;
  std::tm local{};
  if (::localtime_r(&moment, &local) == nullptr) return files::day_text(utc);
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}", local.tm_year + 1900, local.tm_mon + 1, local.tm_mday,
                     local.tm_hour, local.tm_min);
}

/// Enter alone took what stood in brackets, if anything.
std::string answer_words(const files::DraftLine& line) {
  if (!line.answer.empty()) return units::inert(line.answer, kMostOfAnswer);
  const auto open = line.question.rfind('[');
  return open != std::string::npos && line.question.ends_with("]")
             ? units::inert(line.question.substr(open), kMostOfAnswer)
             : "(Enter)";
}

std::string question_words(const files::DraftLine& line) {
  const auto open = line.question.rfind(" [");
  return units::inert(line.question.ends_with("]") ? line.question.substr(0, open) : line.question);
}

}  // namespace

std::string draft_title(const files::Draft& draft) {
  return units::inert(draft.begun.words, kMostOfAnswer) +
         (draft.begun.station.empty() ? "" : " of " + units::inert(draft.begun.station)) + ", begun " +
         when_words(draft.begun.utc);
}

std::string draft_size_words(const files::Draft& draft) {
  const auto count = draft.lines.size();
  if (count == 0) return "no answers yet";
  return fmt::format("{} answer{}, the last {}", count, count == 1 ? "" : "s",
                     answer_words(draft.lines.back()));
}

std::string draft_lines_text(std::span<const files::DraftLine> lines, const TextOptions& options, bool all) {
  std::string text;
  const std::size_t first = all || lines.size() <= kShown ? 0 : lines.size() - kShown;
  if (first > 0) text += fmt::format("  {} more before\n", first);
  for (const auto& line : lines.subspan(first))
    text += "  " + question_words(line) + ": " + answer_words(line) + "\n";
  return finished(text, options);
}

std::string drafts_text(std::span<const DraftRow> rows, const TextOptions& options) {
  if (rows.empty()) return "Nothing is unfinished.\n";
  std::string text = "Unfinished:\n";
  for (const auto& row : rows) {
    text += fmt::format("{}  {}: {}{}{}\n", row.number, draft_title(*row.draft), draft_size_words(*row.draft),
                        row.in_spare ? "; not in the log" : "", row.in_use ? "; open in another window" : "");
  }
  text += "drafts show N, drafts resume N, drafts drop N\n";
  return finished(text, options);
}

}  // namespace quarterturn::report
