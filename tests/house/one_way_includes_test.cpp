// SPDX-License-Identifier: MIT
// A file includes only its own folder or an earlier one, and third-party headers stay in their homes.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <optional>
#include <regex>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "support/source_tree.hpp"

namespace {

using quarterturn::test::cpp_files;
using quarterturn::test::SourceFile;

constexpr std::array<std::string_view, 13> kOrder = {"units",   "stats",  "station", "check", "survey",
                                                     "correct", "plan",   "history", "files", "logbook",
                                                     "app",     "report", "cli"};

struct Home {
  std::string_view starts_with;  ///< of what stands between the brackets
  std::vector<std::string_view> folders;
  std::vector<std::string_view> header_folders;  ///< where an .hpp may include it as well
};

const std::vector<Home>& homes() {
  static const std::vector<Home> rows = {
      {"Eigen/", {"stats", "check", "survey"}, {"stats", "survey"}},
      {"boost/", {"stats"}, {"stats"}},
      {"thread", {"stats"}, {"stats"}},
      {"future", {"stats"}, {"stats"}},
      {"condition_variable", {"stats"}, {"stats"}},
      {"execution", {"stats"}, {"stats"}},
      {"immintrin.h", {"stats"}, {"stats"}},
      {"pthread.h", {"stats"}, {"stats"}},
      {"sqlite3.h", {"logbook"}, {"logbook"}},
      {"SQLiteCpp/", {"logbook"}, {"logbook"}},
      {"nlohmann/", {"files", "report"}, {"files", "report"}},
      {"date/", {"files"}, {"files"}},
      {"fmt/", {"files", "report", "cli"}, {"files", "report", "cli"}},
      {"CLI/", {"cli"}, {"cli"}},
      {"histedit.h", {"cli"}, {"cli"}},
      {"editline/", {"cli"}, {"cli"}},
  };
  return rows;
}

/// Headers of C++ and POSIX, which have no home. What is not here and not in homes() is a library nobody
/// agreed on.
bool is_standard(std::string_view header) {
  static const std::vector<std::string_view> known = {
      "algorithm",     "any",           "array",      "atomic",      "bit",        "bitset",
      "cassert",       "cctype",        "cerrno",     "cfenv",       "cfloat",     "charconv",
      "chrono",        "cinttypes",     "climits",    "clocale",     "cmath",      "codecvt",
      "compare",       "complex",       "concepts",   "csignal",     "cstddef",    "cstdint",
      "cstdio",        "cstdlib",       "cstring",    "ctime",       "cwchar",     "cwctype",
      "deque",         "exception",     "filesystem", "fstream",     "functional", "initializer_list",
      "iomanip",       "ios",           "iosfwd",     "iostream",    "istream",    "iterator",
      "limits",        "list",          "locale",     "map",         "memory",     "mutex",
      "new",           "numbers",       "numeric",    "optional",    "ostream",    "queue",
      "random",        "ranges",        "ratio",      "regex",       "set",        "source_location",
      "span",          "sstream",       "stack",      "stdexcept",   "streambuf",  "string",
      "string_view",   "system_error",  "tuple",      "type_traits", "typeindex",  "typeinfo",
      "unordered_map", "unordered_set", "utility",    "valarray",    "variant",    "vector",
      "version",       "fcntl.h",       "langinfo.h", "poll.h",      "pwd.h",      "signal.h",
      "malloc.h",      "stdlib.h",      "termios.h",  "unistd.h",    "wchar.h",    "sys/file.h",
      "sys/ioctl.h",   "sys/mman.h",    "sys/stat.h", "sys/types.h", "sys/wait.h"};
  return std::find(known.begin(), known.end(), header) != known.end();
}

std::optional<std::size_t> place_of(std::string_view folder) {
  const auto found = std::find(kOrder.begin(), kOrder.end(), folder);
  if (found == kOrder.end()) return std::nullopt;
  return static_cast<std::size_t>(found - kOrder.begin());
}

bool holds(const std::vector<std::string_view>& folders, std::string_view folder) {
  return std::find(folders.begin(), folders.end(), folder) != folders.end();
}

std::string wrong_own_include(const std::string& folder, const std::string& target) {
  const std::size_t slash = target.find('/');
  if (slash == std::string::npos || target.find("..") != std::string::npos)
    return "include by folder/name.hpp";
  const auto to = place_of(target.substr(0, slash));
  if (!to) return "the folder of " + target + " is not in the order";
  if (folder.empty()) return {};  // main.cpp stands above all folders
  const auto from = place_of(folder);
  if (!from) return "folder " + folder + " is not in the order";
  if (*to > *from) return folder + " comes before " + target;
  if (folder == "report" && kOrder[*to] == "app") return "report and app do not include each other";
  return {};
}

std::string wrong_library_include(const std::string& folder, bool is_header, const std::string& target) {
  for (const Home& home : homes()) {
    const bool whole = home.starts_with.back() != '/';
    if (whole ? target != home.starts_with : !target.starts_with(home.starts_with)) continue;
    if (holds(is_header ? home.header_folders : home.folders, folder)) return {};
    return "<" + target + "> has no home in " + folder + (is_header ? " headers" : "");
  }
  return is_standard(target) ? std::string()
                             : "<" + target + "> is neither of the language nor an agreed library";
}

/// What is wrong with the includes of one file, each as "path:line: why".
std::vector<std::string> wrong_includes(const SourceFile& file) {
  static const std::regex include(R"(^\s*#\s*include\s*(.*?)\s*$)");
  static const std::regex quoted(R"re(^"([^"]*)".*$)re"), bracketed(R"(^<([^>]*)>.*$)");
  const std::string inside = file.path.substr(std::string("src/").size());
  const std::size_t slash = inside.find('/');
  const std::string folder = slash == std::string::npos ? "" : inside.substr(0, slash);
  std::vector<std::string> wrong;
  std::istringstream lines(file.text);
  std::string line;
  for (int number = 1; std::getline(lines, line); ++number) {
    std::smatch match, target;
    if (!std::regex_match(line, match, include)) continue;
    const std::string rest = match[1];
    std::string why = "an include that cannot be read";
    if (std::regex_match(rest, target, quoted)) why = wrong_own_include(folder, target[1]);
    if (std::regex_match(rest, target, bracketed))
      why = wrong_library_include(folder, file.path.ends_with(".hpp"), target[1]);
    if (!why.empty()) wrong.push_back(file.path + ":" + std::to_string(number) + ": " + why);
  }
  return wrong;
}

}  // namespace

TEST_SUITE("house") {
  TEST_CASE(
      "every include under src points to its own folder or an earlier one, every library stays at home") {
    const auto files = cpp_files("src");
    std::size_t includes = 0;
    for (const SourceFile& file : files) {
      for (const std::string& wrong : wrong_includes(file)) FAIL_CHECK(wrong);
      for (std::size_t at = file.text.find("#include"); at != std::string::npos;
           at = file.text.find("#include", at + 1))
        ++includes;
    }
    CHECK(includes > files.size());
  }

  TEST_CASE("folders under src are those of the order") {
    for (const auto& entry : std::filesystem::directory_iterator(std::string(QUARTERTURN_ROOT) + "/src")) {
      const std::string folder = entry.path().filename().string();
      CAPTURE(folder);
      if (entry.is_directory()) CHECK(place_of(folder).has_value());
    }
  }

  TEST_CASE("a wrong include would be caught") {
    const SourceFile wrong[] = {
        {"src/units/length.hpp", "#include \"check/fit.hpp\"\n"},
        {"src/check/fit.cpp", "#include \"correct/correct.hpp\"\n"},
        {"src/app/run_check.cpp", "#include \"report/check_report.hpp\"\n"},
        {"src/report/text.cpp", "#include \"app/run_check.hpp\"\n"},
        {"src/files/readings_file.cpp", "#include \"logbook/store.hpp\"\n"},
        {"src/check/fit.cpp", "#include \"fit.hpp\"\n"},
        {"src/check/fit.cpp", "#include \"../stats/reml.hpp\"\n"},
        {"src/check/fit.cpp", "#include \"extras/fit.hpp\"\n"},
        {"src/extras/fit.cpp", "#include \"check/fit.hpp\"\n"},
        {"src/check/fit.hpp", "#include <Eigen/Core>\n"},
        {"src/correct/correct.cpp", "  #  include <Eigen/Core>\n"},
        {"src/check/fit.cpp", "#include <boost/math/distributions.hpp>\n"},
        {"src/check/fit.cpp", "#include <thread>\n"},
        {"src/files/a.cpp", "#include <sqlite3.h>\n"},
        {"src/check/fit.cpp", "#include <nlohmann/json_fwd.hpp>\n"},
        {"src/report/a.cpp", "#include <date/date.h>\n"},
        {"src/app/a.cpp", "#include <fmt/format.h>\n"},
        {"src/report/a.cpp", "#include <CLI/CLI.hpp>\n"},
        {"src/files/a.cpp", "#include <histedit.h>\n"},
        {"src/stats/a.cpp", "#include <armadillo>\n"},
        {"src/stats/a.cpp", "#include <doctest/doctest.h>\n"},
        {"src/stats/a.cpp", "#include MACRO\n"},
    };
    for (const SourceFile& file : wrong) {
      CAPTURE(file.path);
      CAPTURE(file.text);
      CHECK(wrong_includes(file).size() == 1);
    }
    // the second of two lines is named
    CHECK(wrong_includes({"src/units/a.hpp", "#include <span>\n#include \"cli/program.hpp\"\n"})
              .front()
              .starts_with("src/units/a.hpp:2: "));
  }

  TEST_CASE("a right include passes") {
    const SourceFile right[] = {
        {"src/main.cpp", "#include \"cli/program.hpp\"\n"},
        {"src/check/fit.cpp",
         "#include \"check/fit.hpp\"\n#include <Eigen/QR>\n#include \"stats/reml.hpp\"\n"},
        {"src/stats/a.hpp",
         "#include <Eigen/Core>\n#include <thread>\n#include <boost/math/distributions.hpp>\n"},
        {"src/survey/a.hpp", "#include <Eigen/Core>\n"},
        {"src/logbook/a.cpp", "#include <sqlite3.h>\n#include \"files/station_file.hpp\"\n"},
        {"src/files/a.cpp",
         "#include <date/date.h>  // ISO 8601\n#include <fmt/format.h>\n#include <nlohmann/json.hpp>\n"},
        {"src/cli/a.cpp",
         "#include <CLI/CLI.hpp>\n#include <histedit.h>\n#include \"report/a.hpp\"\n#include "
         "\"app/a.hpp\"\n"},
        {"src/units/a.cpp", "// #include \"cli/program.hpp\"\n"},
    };
    for (const SourceFile& file : right) {
      CAPTURE(file.path);
      CHECK(wrong_includes(file).empty());
    }
  }

  TEST_CASE("one clock: below the program's start nobody asks the system what time it is") {
    int read = 0;
    for (const char* folder : {"src/cli", "src/app"}) {
      for (const SourceFile& file : cpp_files(folder)) {
        CAPTURE(file.path);
        ++read;
        if (file.path == "src/cli/program.cpp") continue;
        for (const char* asks : {"std::time(", "::time(", "system_clock", "CLOCK_REALTIME", "gettimeofday"})
          CHECK(file.text.find(asks) == std::string::npos);
      }
    }
    CHECK(read > 100);
  }
}
