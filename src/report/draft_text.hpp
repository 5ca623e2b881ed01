// SPDX-License-Identifier: MIT
/// \file draft_text.hpp
/// Unfinished conversations, as a person reads them.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "files/draft.hpp"
#include "report/check_report.hpp"

namespace quarterturn::report {

/// `check of dock, begun 2026-03-14 10:20`
std::string draft_title(const files::Draft& draft);
/// `7 answers, the last '22.14'`
std::string draft_size_words(const files::Draft& draft);
/// Question and answer, a line each. \param all  else the last dozen
std::string draft_lines_text(std::span<const files::DraftLine> lines, const TextOptions& options,
                             bool all = false);

/// One of a numbered list.
struct DraftRow {
  const files::Draft* draft;
  bool in_spare, in_use;
  int number;
};
std::string drafts_text(std::span<const DraftRow> rows, const TextOptions& options);

}  // namespace quarterturn::report
