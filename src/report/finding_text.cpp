// SPDX-License-Identifier: MIT
#include "check/finding.hpp"
#include "report/check_report.hpp"
#include "report/pattern.hpp"

namespace quarterturn::report {

std::string finding_text(const check::Finding& finding, units::Unit unit) {
  const auto& row = check::finding_row(finding.code);
  std::string text = filled_pattern(row.sentence, finding, unit);
  if (!row.advice.empty()) text += " " + filled_pattern(row.advice, finding, unit);
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  return text;
}

std::string move_text(const correct::Move& move, units::Unit unit) {
  return filled_pattern(move.text, {"move", {}, move.numbers, {}}, unit);
}

}  // namespace quarterturn::report
