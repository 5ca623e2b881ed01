// SPDX-License-Identifier: MIT
/// Fuzz target: an exchange document. What is read and written again is the same; what is taken into a log
/// comes out of it, and every word that tells of a log can live with it.
#include <cstdint>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "app/log_import.hpp"
#include "cli/commands.hpp"
#include "files/log_document.hpp"
#include "fuzz/support/hold.hpp"
#include "fuzz/support/prompt_bench.hpp"

using namespace quarterturn;
using fuzz::hold;

namespace {

constexpr const char* kSource = "log.json";

void tell(const cli::Context& context, const std::vector<std::string>& words, const std::string& given) {
  cli::Said said;
  try {
    said = cli::run_word(context, cli::parse(words));
  } catch (...) {
    said = cli::said_of_current_exception();
  }
  if (said.status == cli::kOurBug) fuzz::broken("nothing of this is our bug: " + said.err);
  fuzz::hold_text(said.err, 1U << 20, "a fault");
  const bool json = said.out.starts_with('{') || said.out.starts_with('[');
  if (json) {
    hold(nlohmann::json::accept(said.out), "what programs read is JSON");
  } else {
    fuzz::hold_text(said.out, 1U << 20, "what is told");
    fuzz::hold_numbers(said.out, given);
  }
}

void take_in(const std::string& bytes) {
  static const fuzz::Bench bench;
  bench.clear();
  files::write_text(kSource, bytes);
  logbook::Logbook log(fuzz::Bench::kLog);
  constexpr std::int64_t kNow = 1773484800;
  for (const auto& fault : app::import_files(log, {kSource}, "", kNow, [](std::size_t) {}).faults)
    fuzz::hold_text(fault, 5000, "a fault");
  if (log.stations().empty()) return;
  const std::string kept = files::write_log(log.document());
  hold(files::write_log(files::parse_log(files::text_of(kept, kSource))) == kept, "what is kept comes out");
  cli::Context context;
  context.store = context.log = &log;
  context.now_utc = kNow;
  context.terminal.unicode = true;
  using Words = std::vector<std::string>;
  for (const Words& words :
       {Words{"log", "list"}, Words{"log", "list", "--json"}, Words{"log", "verify"},
        Words{"station", "list"}, Words{"history"}, Words{"history", "--json"}, Words{"find"}})
    tell(context, words, bytes);
  for (const auto& check : log.checks()) {
    tell(context, {"log", "show", check.made.id}, bytes);
    tell(context, {"log", "show", check.made.id, "--json"}, bytes);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes(reinterpret_cast<const char*>(data), size);
  try {
    const auto read = files::parse_log(files::text_of(bytes, kSource));
    const std::string written = files::write_log(read);
    const auto again = files::parse_log(files::text_of(written, kSource));
    hold(files::write_log(again) == written, "a log is written the same again");
    hold(again.notes.size() == read.notes.size() && again.checks.size() == read.checks.size(),
         "nothing is lost");
  } catch (const units::InputError& fault) {
    fuzz::hold_fault(fault, kSource, bytes);
    return 0;
  }
  take_in(bytes);
  return 0;
}
