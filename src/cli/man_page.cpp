// SPDX-License-Identifier: MIT
#include "cli/man_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "cli/said.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {
namespace {

/// Text as roff keeps it: a backslash, a hyphen that must stay one (options are copied from pages), and a
/// line that would begin like a request.
std::string roff(std::string_view text) {
  std::string out;
  bool at_start = true;
  for (const char c : text) {
    if (at_start && (c == '.' || c == '\'')) out += "\\&";
    if (c == '\\')
      out += "\\e";
    else if (c == '-')
      out += "\\-";
    else
      out += c;
    at_start = c == '\n';
  }
  return out;
}

/// Placeholders slanted, the rest as typed: `\fB\-\-station\fR \fINAME|FILE\fR`.
std::string option_head(const OptionRow& row) {
  std::string text = "\\fB" + roff(row.name) + "\\fR";
  if (!row.value.empty()) text += " \\fI" + roff(row.value) + "\\fR";
  return text;
}

std::string option_list(const std::vector<OptionRow>& rows) {
  std::string text;
  for (const auto& row : rows)
    text += ".TP\n" + option_head(row) + "\n" + roff(row.help) + (row.repeats ? "; may be given again" : "") +
            "\n";
  return text;
}

/// Lines that keep their breaks and are not filled.
std::string as_typed(const std::vector<std::string_view>& lines) {
  std::string text = ".nf\n";
  for (const auto line : lines) text += roff(line) + "\n";
  return text + ".fi\n";
}

std::string name_of(const WordRow* row) {
  return row == nullptr ? "quarterturn" : "quarterturn-" + std::string(row->word);
}

std::string head(const WordRow* row, std::string_view summary) {
  std::string title = name_of(row);
  std::ranges::transform(title, title.begin(),
                         [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  return ".\\\" Written by: quarterturn --man-page; change src/cli/options.cpp, not this.\n" +
         fmt::format(".TH {} 1 \"\" \"quarterturn {}\" \"\"\n.SH NAME\n{} \\- {}\n", roff(title),
                     QUARTERTURN_VERSION, roff(name_of(row)), roff(summary));
}

std::string exit_section() {
  std::string text = ".SH EXIT STATUS\n";
  for (const auto& row : exit_rows()) text += fmt::format(".TP\n{}\n{}\n", row.status, roff(row.means));
  return text;
}

constexpr std::string_view kEnvironment =
    ".SH ENVIRONMENT\n.TP\nQUARTERTURN_LOG\nthe log, where \\fB\\-\\-log\\fR is not given\n"
    ".TP\nXDG_DATA_HOME\nbelow it lies quarterturn/log.db, where neither is given; else below "
    "~/.local/share\n"
    ".TP\nXDG_STATE_HOME\nbelow it lies what the prompt remembers beside the log; else below ~/.local/state\n"
    ".TP\nNO_COLOR\nno colour, where \\fB\\-\\-color\\fR is not given\n"
    ".SH NOTES\nA setup found within is not a safe saw. The program measures squareness; it certifies "
    "nothing. "
    "The manual of the saw's maker comes first.\n";

std::string program_page() {
  std::string text = head(nullptr, "is the station square, how sure is that, and what to move");
  text +=
      ".SH SYNOPSIS\n\\fBquarterturn\\fR\n.br\n\\fBquarterturn\\fR \\fIWORD\\fR [\\fIOPTIONS\\fR] "
      "[\\fIARGUMENTS\\fR]\n";
  text +=
      ".SH DESCRIPTION\nReads the strips of a multi-cut test and answers with the angular error, its ±, a "
      "verdict "
      "and a correction. Alone it is the guided way: it describes the station, then asks for the readings.\n";
  text += ".SH WORDS\n";
  for (const auto& row : word_rows())
    text += fmt::format(".TP\n\\fB{}\\fR\n{}; \\fB{}\\fR(1)\n", roff(row.word), roff(row.summary),
                        roff(name_of(&row)));
  text += ".SH OPTIONS\nOf every word:\n" + option_list(global_options());
  text += ".SS Without a word\n" + option_list(lone_options());
  text += exit_section() + std::string(kEnvironment) + ".SH EXAMPLES\n";
  std::vector<std::string_view> examples;
  for (const auto& row : word_rows()) examples.push_back(row.examples.front());
  return text + as_typed(examples);
}

}  // namespace

std::string man_page(const WordRow* row) {
  if (row == nullptr) return program_page();
  std::string text = head(row, row->summary) + ".SH SYNOPSIS\n";
  for (const auto& usage : row->usage)
    text += fmt::format("{}\\fBquarterturn {}\\fR {}\n", &usage == &row->usage.front() ? "" : ".br\n",
                        roff(row->word), roff(usage));
  text += ".SH OPTIONS\n" + option_list(row->options);
  text += ".SS Of every word\n" + option_list(global_options());
  if (row->names != nullptr) text += ".SH VALUES\n.nf\n" + roff(row->names()) + ".fi\n";
  text += exit_section() + ".SH EXAMPLES\n" + as_typed(row->examples);
  return text + ".SH SEE ALSO\n\\fBquarterturn\\fR(1)\n";
}

std::string man_page_named(const std::string& page) {
  if (page == "quarterturn") return man_page(nullptr);
  const auto* row = find_word(page);
  if (row != nullptr) return man_page(row);
  auto pages = word_names();
  pages.insert(pages.begin(), "quarterturn");
  throw UsageError("--man-page is '" + units::inert(page) + "', but must be " + units::one_of(pages) + ".");
}

}  // namespace quarterturn::cli
