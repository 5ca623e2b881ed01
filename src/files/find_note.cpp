// SPDX-License-Identifier: MIT
#include "files/find_note.hpp"

#include <charconv>
#include <cmath>

#include "files/log_document.hpp"
#include "units/text.hpp"

namespace quarterturn::files {
namespace {

constexpr std::string_view kLead = "find: ", kHappened = "happened ", kProved = "proved ";
constexpr std::string_view kNothing = "nothing", kTakenBack = "taken back", kSkipped = "skipped", kMm = " mm";

bool is_cause(std::string_view code) {
  for (const auto& row : history::cause_rows()) {
    if (row.code == code) return true;
  }
  return false;
}

bool may_happen(std::string_view kind) {
  if (kind == history::kOtherHand) return true;
  for (const auto& known : event_kinds()) {
    if (known == kind) return true;
  }
  return false;
}

/// `yes`, `yes 0.2 mm`, `no`, `skipped`
std::optional<history::Answer> answer_of(std::string_view text) {
  history::Answer answer;
  if (text == kSkipped) {
    answer.skipped = true;
    return answer;
  }
  if (text == "no") return answer;
  if (!text.starts_with("yes")) return std::nullopt;
  answer.found = true;
  text.remove_prefix(3);
  if (text.empty()) return answer;
  if (text.front() != ' ' || !text.ends_with(kMm) || text.size() <= kMm.size() + 1) return std::nullopt;
  text = text.substr(1, text.size() - 1 - kMm.size());
  double mm = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), mm);
  if (error != std::errc() || end != text.data() + text.size() || !(mm > 0) || !std::isfinite(mm))
    return std::nullopt;
  answer.mm = mm;
  return answer;
}

}  // namespace

std::string find_note_text(const FindNote& note) {
  std::string text(kLead);
  switch (note.kind) {
    case FindNote::Kind::happened:
      return text + std::string(kHappened) + (note.code.empty() ? std::string(kNothing) : note.code);
    case FindNote::Kind::proved:
      return text + std::string(kProved) + note.code;
    case FindNote::Kind::taken_back:
      return text + note.code + " " + std::string(kTakenBack);
    case FindNote::Kind::answer:
      break;
  }
  text += note.code + " ";
  if (note.answer.skipped) return text + std::string(kSkipped);
  if (!note.answer.found) return text + "no";
  return text + "yes" +
         (note.answer.mm ? " " + units::shortest(*note.answer.mm) + std::string(kMm) : std::string());
}

std::optional<FindNote> parse_find_note(const std::string& text) {
  std::string_view rest = text;
  if (!rest.starts_with(kLead)) return std::nullopt;
  rest.remove_prefix(kLead.size());
  FindNote note;
  if (rest.starts_with(kHappened)) {
    rest.remove_prefix(kHappened.size());
    if (rest != kNothing && !may_happen(rest)) return std::nullopt;
    note.kind = FindNote::Kind::happened;
    note.code = rest == kNothing ? "" : std::string(rest);
    return note;
  }
  if (rest.starts_with(kProved)) {
    rest.remove_prefix(kProved.size());
    if (!is_cause(rest)) return std::nullopt;
    note.kind = FindNote::Kind::proved;
    note.code = std::string(rest);
    return note;
  }
  const auto space = rest.find(' ');
  if (space == std::string_view::npos || history::find_test_row(rest.substr(0, space)) == nullptr)
    return std::nullopt;
  note.code = std::string(rest.substr(0, space));
  rest.remove_prefix(space + 1);
  if (rest == kTakenBack) {
    note.kind = FindNote::Kind::taken_back;
    return note;
  }
  const auto answer = answer_of(rest);
  if (!answer) return std::nullopt;
  note.answer = *answer;
  return note;
}

}  // namespace quarterturn::files
