// SPDX-License-Identifier: MIT
#include "cli/report_target.hpp"

#include <filesystem>
#include <system_error>

#include "files/text_file.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kLongestName = 120;  // bytes; file systems take 255

bool same_file(const std::string& a, const std::string& b) {
  std::error_code ignored;
  return std::filesystem::equivalent(a, b, ignored);
}

}  // namespace

std::string file_name_of(const std::string& stem, const std::string& ending) {
  std::string name;
  for (std::string_view rest = stem; !rest.empty() && name.size() < kLongestName;) {
    const std::size_t length = std::max<std::size_t>(1, units::utf8_length(rest));
    const std::string_view character = rest.substr(0, length);
    rest.remove_prefix(length);
    const char c = character.front();
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       (c == '.' && !name.empty() && name.back() != '.' && name.back() != '-');
    // A letter of another script stays; blanks, marks of direction and the like do not.
    const bool letter =
        length > 1 && units::blank_length(character) == 0 && units::inert(character) == character;
    if (plain || letter)
      name += character;
    else if (!name.empty() && name.back() != '-')
      name += '-';
  }
  while (!name.empty() && (name.back() == '-' || name.back() == '.')) name.pop_back();
  return name + "." + ending;
}

std::string write_report(const Context& context, const Parsed& parsed, const std::string& stem,
                         const std::string& ending, const std::string& content,
                         std::vector<std::string> inputs) {
  const auto named = parsed.value("--output");
  const std::string path = named ? *named : parsed.has("--json") ? "-" : file_name_of(stem, ending);
  if (path == "-") return content;
  if (path.empty()) throw UsageError("--output is empty, but must be a file, or - for standard output.");
  inputs.push_back(context.log->path());
  if (const auto station = parsed.value("--station")) inputs.push_back(*station);
  for (const auto& input : inputs) {
    if (same_file(path, input))
      throw UsageError("--output is '" + units::inert(path, 4096) +
                       "', but must not be a file that is read here.");
  }
  files::write_text(path, content);
  return units::inert(path, 4096) + " written.\n";
}

}  // namespace quarterturn::cli
