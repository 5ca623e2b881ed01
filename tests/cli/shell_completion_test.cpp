// SPDX-License-Identifier: MIT
/// Completion as the shells do it: bash is asked what it would offer; zsh and fish are read for their syntax
/// where they are installed, and for what they name in any case.
#include "cli/shell_completion.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "cli/offers.hpp"
#include "cli/options.hpp"
#include "cli/said.hpp"
#include "files/log_document.hpp"
#include "report/station_report.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;

namespace {

std::string shell(const std::string& command) {
  std::string out;
  FILE* pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  char buffer[4096];
  for (std::size_t n = 0; (n = std::fread(buffer, 1, sizeof buffer, pipe)) > 0;) out.append(buffer, n);
  CHECK(::pclose(pipe) == 0);
  return out;
}

std::string quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

/// What bash offers for the last of the words; its own division at `=` is given as bash gives it.
class Bash {
 public:
  Bash() : script_(home_.write("quarterturn.bash", cli::bash_completion())) {}
  std::set<std::string> offers(const std::vector<std::string>& words) const {
    std::string array;
    for (const auto& word : words) array += " " + quoted(word);
    const std::string run =
        "cd " + quoted(home_.path()) + " && XDG_DATA_HOME=" + quoted(home_.path()) + " bash --norc -u -c " +
        quoted(". " + quoted(script_) + "; COMP_WORDS=(" + quoted(QUARTERTURN_PROGRAM) + array +
               "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _quarterturn " + quoted(QUARTERTURN_PROGRAM) +
               " \"${COMP_WORDS[-1]}\" \"${COMP_WORDS[-2]}\" 2>&1; ((${#COMPREPLY[@]} == 0)) || "
               "printf '%s\\n' \"${COMPREPLY[@]}\"");
    std::set<std::string> found;
    std::istringstream lines(shell(run));
    for (std::string line; std::getline(lines, line);) found.insert(line);
    return found;
  }
  [[nodiscard]] const test::Home& home() const { return home_; }

 private:
  test::Home home_;
  std::string script_;
};

using Set = std::set<std::string>;

bool installed(const std::string& program) {
  return std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("bash: words, sub-words and options") {
    const Bash bash;
    const auto words = cli::word_names();
    CHECK(bash.offers({""}) == Set(words.begin(), words.end()));
    CHECK(bash.offers({"st"}) == Set{"station"});
    CHECK(bash.offers({"station", ""}) == Set{"add", "list", "show", "set", "rename", "export"});
    CHECK(bash.offers({"log", "add"}) == Set{"add-summary"});
    for (const auto& row : cli::word_rows()) {
      INFO(row.word);
      const auto names = cli::option_names(&row);
      CHECK(bash.offers({std::string(row.word), "-"}) == Set(names.begin(), names.end()));
    }
    CHECK(bash.offers({"log", "event", "dock", "--da"}) == Set{"--date"});
    CHECK(bash.offers({"--completion", ""}) == Set{"bash", "zsh", "fish"});
    CHECK(bash.offers({"no-such-word", ""}).empty());
  }

  TEST_CASE("bash: what may follow an option, and what not") {
    const Bash bash;
    CHECK(bash.offers({"check", "--keep", ""}) == Set{"left", "right"});
    CHECK(bash.offers({"check", "--panel-side", "be"}) == Set{"before", "beyond"});
    CHECK(bash.offers({"check", "--apart", ""}).empty());
    CHECK(bash.offers({"check", "--require", ""}) == Set{"within"});
    CHECK(bash.offers({"check", "--test", ""}) == Set{"five-cut", "four-cut", "turn-over", "frame", "rail"});
    CHECK(bash.offers({"log", "add-summary", "dock", "--test", ""}) ==
          Set{"five-cut", "four-cut", "progressive"});
    CHECK(bash.offers({"history", "--color", ""}) == Set{"auto", "always", "never"});
    // An option that takes no value does not swallow what comes after it.
    CHECK(bash.offers({"log", "--plain", ""}) == bash.offers({"log", ""}));
    CHECK(bash.offers({"--json", "his"}) == Set{"history"});
    CHECK(bash.offers({"log", "--date", "list", "ver"}) == Set{"verify"});
    // bash parts words at '=', and puts in only what stands behind it.
    CHECK(bash.offers({"check", "--keep", "=", "l"}) == Set{"left"});
    CHECK(bash.offers({"find", "--answer", "same-s"}) == Set{"same-strip=yes", "same-strip=no"});
    CHECK(bash.offers({"find", "--answer", "same-strip", "=", "y"}) == Set{"yes"});
    CHECK(bash.offers({"find", "--answer", "same-strip", "="}) == Set{"yes", "no"});
  }

  TEST_CASE("bash: stations that are there, files, and names that need quoting") {
    const Bash bash;
    CHECK(bash.offers({"history", "--station", ""}).empty());
    for (const char* name : {"dock", "loft"}) {
      REQUIRE(test::run_program(
                  bash.home(),
                  {"station", "add", std::string(QUARTERTURN_ROOT "/examples/stations/") + name + ".json"})
                  .status == 0);
    }
    CHECK(bash.offers({"history", "--station", ""}) == Set{"dock", "loft"});
    CHECK(bash.offers({"log", "list", "d"}) == Set{"dock"});
    bash.home().write("do it.csv", "");
    CHECK(bash.offers({"check", "do"}) == Set{"do it.csv"});
    // A station's name or its file.
    CHECK(bash.offers({"check", "--station", "do"}) == Set{"dock", "do it.csv"});
    CHECK(bash.offers({"log", "import", "do it.csv", "--plain", "do"}) == Set{"do it.csv"});
    CHECK(bash.offers({"log", "event", "dock", "dog"}) ==
          Set{"dog\\ changed", "dog\\ turned", "dogs\\ reinserted"});
    CHECK(bash.offers({"log", "event", "dock", "\"dog c"}) == Set{"dog changed"});
    CHECK(bash.offers({"log", "event", "dock", "dog\\ c"}) == Set{"dog\\ changed"});
    // Another log, named before, is asked.
    CHECK(bash.offers({"--log", bash.home().path() + "/none.db", "history", "--station", ""}).empty());
    // Nothing that was typed is run.
    CHECK(bash.offers({"check", "$(touch made)"}).empty());
    CHECK(bash.offers({"check", "`touch made`"}).empty());
    CHECK(bash.offers({"check", "made"}).empty());
  }

  TEST_CASE("the line that stands for no station is the one that is printed") {
    CHECK(report::station_names_text({}) == std::string(cli::kNoStation) + "\n");
  }

  TEST_CASE("places are known by how the table writes them") {
    const auto* log = cli::find_word("log");
    const auto forms = cli::forms_of(*log);
    CHECK(forms.size() == log->usage.size());
    const auto event = std::ranges::find(forms, "event", &cli::WrittenForm::sub_word);
    REQUIRE(event->places.size() == 2);
    CHECK(event->places[0].stations);
    CHECK(event->places[1].words == files::event_kinds());
    const auto import = std::ranges::find(forms, "import", &cli::WrittenForm::sub_word);
    CHECK(import->on_and_on);
    CHECK(import->places[0].files);
    CHECK(cli::sub_words(*cli::find_word("check")) ==
          std::vector<std::string>{"turn-over", "halves", "frame", "rail"});
    CHECK(cli::sub_words(*cli::find_word("history")).empty());
    // A choice that help names is found; one without a word would offer nothing.
    for (const auto& row : cli::word_rows()) {
      for (const auto& option : row.options) {
        const bool choice = option.value == "SIDE" || option.value == "KIND" || option.value == "FORM";
        if (choice) CHECK(cli::offer_of(option).words.size() >= 2);
      }
    }
  }

  TEST_CASE("zsh and fish: whole, and with every word and option") {
    const std::string zsh = cli::zsh_completion(), fish = cli::fish_completion();
    const auto has = [](const std::string& text, const std::string& part) {
      return text.find(part) != std::string::npos;
    };
    for (const auto& row : cli::word_rows()) {
      INFO(row.word);
      CHECK(has(zsh, "'" + std::string(row.word) + ":"));
      CHECK(has(fish, "-n __fish_use_subcommand -a " + std::string(row.word) + " "));
      for (const auto& option : row.options) {
        INFO(option.name);
        CHECK(has(zsh, std::string(option.name) + "["));
        CHECK(has(fish, "__fish_seen_subcommand_from " + std::string(row.word) + "' -l " +
                            std::string(option.name.substr(2)) + " "));
      }
      for (const auto& word : cli::sub_words(row)) CHECK(has(fish, word));
    }
    const test::Home home;
    const auto zsh_file = home.write("_quarterturn", zsh), fish_file = home.write("quarterturn.fish", fish);
    if (installed("zsh")) CHECK(shell("zsh -n " + zsh_file + " 2>&1") == "");
    if (installed("fish")) {
      CHECK(shell("fish --no-execute " + fish_file + " 2>&1") == "");
      const auto offered = shell("HOME=" + home.path() + " fish --no-config -c 'source " + fish_file +
                                 "; complete -C \"quarterturn stat\"'");
      CHECK(offered == "station\tthe stations you described: worktop, dogs, rails, setups\n");
    }
  }

  TEST_CASE("--completion: a shell that is none, and a word beside it") {
    const test::Home home;
    const auto none = test::run_program(home, {"--completion", "powers"});
    CHECK(none.status == 2);
    CHECK(none.err == "error: --completion is 'powers', but must be bash, zsh or fish.\n");
    CHECK(test::run_program(home, {"check", "--completion", "bash"}).err ==
          "error: option --completion stands with the word 'check', but must stand alone.\n");
    CHECK(test::run_program(home, {"--completion"}).status == 2);
    CHECK(test::run_program(home, {"--completion", "bash"}).out == cli::bash_completion());
  }
}
