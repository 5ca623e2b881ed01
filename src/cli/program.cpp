// SPDX-License-Identifier: MIT
#include "cli/program.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <ctime>
#include <memory>
#include <string>
#include <vector>

#include "cli/clock_note.hpp"
#include "cli/commands.hpp"
#include "cli/folders.hpp"
#include "cli/man_page.hpp"
#include "cli/options.hpp"
#include "cli/parse.hpp"
#include "cli/prompt.hpp"
#include "cli/said.hpp"
#include "cli/shell_completion.hpp"
#include "cli/terminal.hpp"
#include "logbook/logbook.hpp"
#include "report/amounts.hpp"

#ifndef QUARTERTURN_VERSION
#error "QUARTERTURN_VERSION is set by the build"
#endif

namespace quarterturn::cli {
namespace {

std::string environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? "" : value;
}

/// --log, else $QUARTERTURN_LOG, else the person's own; only the last takes over the stations that were kept
/// as files beside it.
std::unique_ptr<logbook::Logbook> log_of(const Parsed& parsed) {
  const std::string named = parsed.value("--log").value_or(environment("QUARTERTURN_LOG"));
  if (!named.empty()) return std::make_unique<logbook::Logbook>(named);
  if (data_folder().empty()) return std::make_unique<logbook::Logbook>("");
  return std::make_unique<logbook::Logbook>(data_folder() + "/log.db", data_folder() + "/stations");
}

Said run(const Parsed& parsed, Context& context) {
  if (parsed.has("--version")) return {"quarterturn " QUARTERTURN_VERSION "\n", ""};
  if (!parsed.word.empty()) {
    const bool guided = parsed.word == "check" && asks_for_readings(parsed) && ::isatty(STDIN_FILENO) == 1 &&
                        context.terminal.is_terminal;
    if (guided) return run_prompt(context, parsed, true);
    Said said = run_word(context, parsed);
    said.err += clock_note(context);
    return said;
  }
  if (parsed.has("--help")) return {help_text(nullptr), ""};
  if (const auto shell = parsed.value("--completion")) return {completion_script(*shell), ""};
  if (const auto page = parsed.value("--man-page")) return {man_page_named(*page), ""};
  if (parsed.has("--json"))
    throw UsageError("--json is without a word, but must go with one. Hint: quarterturn check FILE --json");
  return run_prompt(context, parsed, false);
}

/// Where one of the three is closed, the next file that is opened would take its place: a log would be
/// written over by an answer. A folder in its place takes and gives nothing, so that using it is seen as a
/// fault.
void close_the_gaps() {
  for (;;) {
    const int fd = ::open("/", O_RDONLY | O_DIRECTORY);
    if (fd < 0) return;
    if (fd > STDERR_FILENO) {
      ::close(fd);
      return;
    }
  }
}

int deliver(const Said& said, const Terminal& terminal) {
  const auto shown = [&](const std::string& text) { return terminal.unicode ? text : report::ascii(text); };
  if (!said.err.empty()) write_all(STDERR_FILENO, shown(said.err));
  // JSON and station files are UTF-8 whatever the terminal; reports are spelled for it where they are made.
  if (!said.out.empty() && !write_all(STDOUT_FILENO, said.out)) {
    write_all(STDERR_FILENO, "error: standard output cannot be written; the result is not complete\n");
    return kFileTrouble;
  }
  return said.status;
}

}  // namespace

int run_program(int argc, const char* const* argv) {
  // A reader that goes away is seen as a failed write, and told.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);  // so is a file that may not grow any more
  close_the_gaps();
  Said said;
  Context context;
  std::unique_ptr<logbook::Logbook> log;
  try {
    context.terminal = look_at_terminal();
    const Parsed parsed = parse({argv + (argc > 0 ? 1 : 0), argv + argc});
    log = log_of(parsed);
    context.store = context.log = log.get();
    context.clock = [] { return static_cast<std::int64_t>(std::time(nullptr)); };
    context.now_utc = context.clock();
    said = run(parsed, context);
  } catch (...) {
    said = said_of_current_exception();
  }
  return deliver(said, context.terminal);
}

}  // namespace quarterturn::cli
