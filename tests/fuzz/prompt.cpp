// SPDX-License-Identifier: MIT
/// Fuzz target: a whole conversation at the prompt, a line a line of the input; its log is new each time. The
/// first byte: whether a station is there already.
#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>

#include "cli/dialogue.hpp"
#include "cli/line_source.hpp"
#include "cli/prompt_session.hpp"
#include "cli/said.hpp"
#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "fuzz/support/hold.hpp"
#include "fuzz/support/prompt_bench.hpp"

using namespace quarterturn;

namespace {

constexpr int kMostLines = 120;

class Typed : public cli::LineSource {
 public:
  explicit Typed(std::string lines) : lines_(std::move(lines)) {}
  std::optional<std::string> next(const std::string& question) override {
    fuzz::hold_text(question, 2000, "a question");
    if (at_ >= lines_.size() || ++count_ > kMostLines) return std::nullopt;
    const auto end = std::min(lines_.find('\n', at_), lines_.size());
    const std::string line = lines_.substr(at_, end - at_);
    at_ = end + 1;
    return fuzz::Bench::confined(line);
  }

 private:
  std::string lines_;
  std::size_t at_ = 0;
  int count_ = 0;
};

void talk(cli::Context& context, const std::string& typed) {
  Typed lines(typed);
  report::TextOptions options;
  cli::Dialogue dialogue(lines, options, false);
  cli::Session session(context, cli::Parsed{}, dialogue);
  try {
    session.run(false);
  } catch (...) {
    const auto said = cli::said_of_current_exception();
    fuzz::hold_text(said.err, 4000, "a fault");
    if (said.status == cli::kOurBug) fuzz::broken("nothing of this is our bug: " + said.err);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const fuzz::Bench bench;
  static const auto dock =
      files::parse_station(files::read_text(QUARTERTURN_ROOT "/examples/stations/dock.json"));
  if (size == 0) return 0;
  bench.clear();
  logbook::Logbook log(fuzz::Bench::kLog);
  if ((data[0] & 1U) != 0) log.save(dock);
  cli::Context context;
  context.store = context.log = &log;
  context.clock = [] { return static_cast<std::int64_t>(std::time(nullptr)); };
  context.now_utc = context.clock();
  context.terminal.unicode = true;
  const std::string typed(reinterpret_cast<const char*>(data) + 1, size - 1);
  talk(context, typed);
  const std::string said = bench.said();
  fuzz::hold_text(said, 4U << 20, "what the prompt says");
  fuzz::hold_numbers(said, typed);
  // What was typed is told again where it is refused.
  if (typed.find("our bug") == std::string::npos && said.find("our bug") != std::string::npos)
    fuzz::broken("nothing of this is our bug:\n" + said);
  return 0;
}
