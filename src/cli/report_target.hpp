// SPDX-License-Identifier: MIT
/// \file report_target.hpp
/// Reports, from the command line: what is asked for, and where it goes.
#pragma once

#include <string>
#include <vector>

#include "cli/commands.hpp"
#include "report/check_page.hpp"

namespace quarterturn::cli {

/// A name that any system takes as one file: letters, figures, dots and dashes; whatever else becomes a dash.
std::string file_name_of(const std::string& stem, const std::string& ending);

/// Writes it, beside and renamed. \param inputs  files that were read, never to be written over
/// \returns what goes to standard output: where it was written, or with `--output -` the content
/// \throws UsageError; files::FileTrouble
std::string write_report(const Context& context, const Parsed& parsed, const std::string& stem,
                         const std::string& ending, const std::string& content,
                         std::vector<std::string> inputs = {});

/// A kept check, or a readings file, with what the log has about it. \throws units::InputError;
/// files::FileTrouble; check::NoInterval
report::CheckShown check_to_show(const Context& context, const Parsed& parsed, const std::string& word,
                                 Said& said);

/// Of a check without an interval.
inline constexpr const char* kNoReport =
    "error: no ± can be told for one of these checks, so there is no report of it. Hint: 'check' shows what "
    "is missing.\n";

/// `report card`, `bench-sheet`, `client-sheet`; empty when it is none of these.
std::optional<Said> sheet_command(const Context& context, const Parsed& parsed);

}  // namespace quarterturn::cli
