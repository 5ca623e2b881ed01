// SPDX-License-Identifier: MIT
// src/METHOD.md is the only home of the mathematics: what code cites there exists there, and what stands
// there is cited by code or marked 'not yet'.
//
// An equation is defined by a line that begins with its number, apart from list and heading marks: `- (M7)
// kinds of test`,
// `**(M7)** …`. A source is defined likewise: `- [GUM] …` or `| [GUM] | …`. An entry reaches to the next one,
// and is marked by the words 'not yet' in it. Code cites in comments: `(M7)`, `(M4)–(M6)`, `[GUM]`.
#include <doctest/doctest.h>

#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>

#include "support/source_tree.hpp"

namespace {

using quarterturn::test::cpp_files;
using quarterturn::test::read_source;

/// Name of an equation or source ("M7", "GUM") -> whether it is marked 'not yet'.
using Definitions = std::map<std::string, bool>;

Definitions definitions_of(const std::string& method) {
  static const std::regex definition(
      R"(^[\s#*>|-]*(?:\((M\d+)\)|\[([A-Z][A-Za-z0-9]*[A-Z0-9-][A-Za-z0-9-]*)\]).*$)");
  Definitions all;
  std::string current, line;
  std::istringstream lines(method);
  while (std::getline(lines, line)) {
    std::smatch match;
    if (std::regex_match(line, match, definition)) {
      current = match[1].matched ? match[1] : match[2];
      if (!all.emplace(current, false).second) throw std::runtime_error(current + " is defined twice");
    } else if (line.starts_with("#")) {
      current.clear();
    }
    if (!current.empty() && line.find("not yet") != std::string::npos) all[current] = true;
  }
  return all;
}

/// The comments of a C++ file, line by line; string literals are left out.
std::string comments_of(const std::string& text) {
  std::string out, line;
  std::istringstream lines(text);
  bool in_block = false;
  while (std::getline(lines, line)) {
    std::size_t begin = in_block ? 0 : line.size();
    char quote = 0;
    for (std::size_t i = 0; !in_block && i < line.size(); ++i) {
      if (quote != 0) {
        if (line[i] == '\\')
          ++i;
        else if (line[i] == quote)
          quote = 0;
      } else if (line[i] == '"' || line[i] == '\'') {
        // a digit separator is no quote
        if (line[i] == '"' || i == 0 || !std::isalnum(static_cast<unsigned char>(line[i - 1])))
          quote = line[i];
      } else if (line.compare(i, 2, "//") == 0 || line.compare(i, 2, "/*") == 0) {
        begin = i;
        in_block = line[i + 1] == '*';
        break;
      }
    }
    const std::size_t end = in_block ? line.find("*/", begin) : std::string::npos;
    out += line.substr(begin, end == std::string::npos ? end : end - begin) + "\n";
    if (end != std::string::npos) in_block = false;
  }
  return out;
}

/// Every equation and source cited in the comments of one file.
std::set<std::string> citations_of(const std::string& text) {
  static const std::regex cited(R"(\(M(\d+)\)(?:(?:–|-)\(M(\d+)\))?)");
  static const std::regex key(R"(\[([A-Z][A-Za-z0-9]*[A-Z0-9-][A-Za-z0-9-]*)\])");
  const std::string comments = comments_of(text);
  std::set<std::string> all;
  for (std::sregex_iterator it(comments.begin(), comments.end(), cited), end; it != end; ++it) {
    const int first = std::stoi((*it)[1]), last = (*it)[2].matched ? std::stoi((*it)[2]) : first;
    for (int n = first; n <= last; ++n) all.insert("M" + std::to_string(n));
  }
  for (std::sregex_iterator it(comments.begin(), comments.end(), key), end; it != end; ++it)
    all.insert((*it)[1]);
  return all;
}

}  // namespace

TEST_SUITE("house") {
  TEST_CASE("what code and tests cite stands in METHOD.md") {
    const Definitions defined = definitions_of(read_source("src/METHOD.md"));
    CHECK(defined.count("M1") == 1);
    for (const char* folder : {"src", "tests"})
      for (const auto& file : cpp_files(folder)) {
        CAPTURE(file.path);
        for (const std::string& name : citations_of(file.text)) {
          CAPTURE(name);
          CHECK(defined.count(name) == 1);
        }
      }
  }

  TEST_CASE("what stands in METHOD.md is cited by code or marked 'not yet'") {
    std::set<std::string> cited;
    for (const auto& file : cpp_files("src")) cited.merge(citations_of(file.text));
    for (const auto& entry : definitions_of(read_source("src/METHOD.md"))) {
      const std::string& name = entry.first;
      CAPTURE(name);
      CHECK((cited.count(name) == 1) != entry.second);
    }
  }

  TEST_CASE("the equations are numbered without a gap") {
    const Definitions defined = definitions_of(read_source("src/METHOD.md"));
    int last = 0;
    for (const auto& [name, not_yet] : defined)
      if (name[0] == 'M' && name.find_first_not_of("0123456789", 1) == std::string::npos)
        last = std::max(last, std::stoi(name.substr(1)));
    for (int n = 1; n <= last; ++n) {
      CAPTURE(n);
      CHECK(defined.count("M" + std::to_string(n)) == 1);
    }
  }

  TEST_CASE("citations and definitions are found where they stand, and only there") {
    const std::string code =
        "/// Maths (M4)–(M6), [GUM] G.4 and [NIST-HB]; what[index], a[N] are no keys\n"
        "double x = f(M9)[JCGM]; // (M11)-(M12)\n"
        "const char* s = \"(M70) // (M71)\"; /* (M13)\n (M14) */ y(M15);\n"
        "int n = 1'000; // (M16)\n";
    CHECK(citations_of(code) ==
          std::set<std::string>{"GUM", "M11", "M12", "M13", "M14", "M16", "M4", "M5", "M6", "NIST-HB"});

    const Definitions defined = definitions_of(
        "# Title\n- (M1) one, see (M3)\n- **(M2)** two\n  not yet\n\n## More\nnot yet\n"
        "(M3) three\n| [GUM] | JCGM 100 |\n- [StRD] not yet\n");
    CHECK(defined == Definitions{{"M1", false}, {"M2", true}, {"M3", false}, {"GUM", false}, {"StRD", true}});
    CHECK_THROWS(definitions_of("(M1) a\n(M1) b\n"));
  }
}
