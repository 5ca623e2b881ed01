// SPDX-License-Identifier: MIT
/// \file report_target.hpp
/// Where a report goes: --output, or a name of its own in the working folder.
#pragma once

#include <string>
#include <vector>

#include "cli/commands.hpp"

namespace quarterturn::cli {

/// A name that any system takes as one file: letters, figures, dots and dashes; whatever else becomes a dash.
std::string file_name_of(const std::string& stem, const std::string& ending);

/// Writes it, beside and renamed. \param inputs  files that were read, never to be written over
/// \returns what goes to standard output: where it was written, or with `--output -` the content
/// \throws UsageError; files::FileTrouble
std::string write_report(const Context& context, const Parsed& parsed, const std::string& stem,
                         const std::string& ending, const std::string& content,
                         std::vector<std::string> inputs = {});

}  // namespace quarterturn::cli
