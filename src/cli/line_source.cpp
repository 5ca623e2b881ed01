// SPDX-License-Identifier: MIT
#include "cli/line_source.hpp"

#include <langinfo.h>
#include <unistd.h>

#include <cerrno>
#include <clocale>
#include <cstdlib>
#include <cstring>
#include <string_view>

#include "cli/edited_source.hpp"
#include "cli/said.hpp"
#include "cli/terminal.hpp"
#include "cli/terminal_keeper.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kMostEchoed = 200;
constexpr std::size_t kMostOfLine = 1 << 20;  ///< a longer line is no typing

/// A pipe, or a terminal that cannot edit: there the system edits and shows what is typed.
class PlainSource : public LineSource {
 public:
  PlainSource() {
    if (::isatty(STDIN_FILENO) == 1) keeper_.emplace();
  }

  std::optional<std::string> next(const std::string& question) override {
    if (!write_all(STDOUT_FILENO, question)) throw OutputGone{};
    std::string line;
    ended_ = false;
    for (;;) {
      const auto end = waiting_.find('\n');
      if (end != std::string::npos) {
        line = waiting_.substr(0, end);
        waiting_.erase(0, end + 1);
        break;
      }
      if (waiting_.size() > kMostOfLine)
        throw files::FileTrouble{"standard input: a line is longer than 1 MB"};
      if (!fill()) {
        ended_ = waiting_.empty();
        if (ended_) return std::nullopt;
        line.swap(waiting_);
        break;
      }
    }
    if (keeper_) keeper_->begin_computing();
    if (!line.empty() && line.back() == '\r') line.pop_back();
    // No terminal has shown what was typed: without it the answers would follow on the question's line.
    if (!keeper_ && !write_all(STDOUT_FILENO, units::inert(line, kMostEchoed) + "\n")) throw OutputGone{};
    return line;
  }

  [[nodiscard]] bool end_was_typed() const override { return keeper_ && ended_ && !gone_; }

 private:
  bool fill() {
    char buffer[4096];
    for (;;) {
      if (keeper_ && keeper_->wait() == TerminalKeeper::Woken::interrupted) {
        // The system has dropped what stood on its line, but does not say whether anything did.
        waiting_.clear();
        if (!write_all(STDOUT_FILENO, "\n")) throw OutputGone{};
        throw LineDropped{true};
      }
      const auto got = ::read(STDIN_FILENO, buffer, sizeof buffer);
      if (got < 0 && errno == EINTR) continue;
      gone_ = got < 0 && keeper_;
      if (gone_) return false;  // a terminal that is not there any more has ended
      if (got < 0)
        throw files::FileTrouble{std::string("standard input cannot be read: ") + std::strerror(errno)};
      waiting_.append(buffer, static_cast<std::size_t>(got));
      return got > 0;
    }
  }
  std::optional<TerminalKeeper> keeper_;
  std::string waiting_;
  bool ended_ = false, gone_ = false;
};

/// The line editor counts columns by the locale: it needs one of UTF-8, whatever the person's own is.
bool take_utf8_locale() {
  const auto is_utf8 = [] { return std::strcmp(nl_langinfo(CODESET), "UTF-8") == 0; };
  if (std::setlocale(LC_CTYPE, "") != nullptr && is_utf8()) return true;
  return std::setlocale(LC_CTYPE, "C.UTF-8") != nullptr && is_utf8();
}

bool moves_its_cursor() {
  const char* kind = std::getenv("TERM");
  return kind != nullptr && *kind != '\0' && std::string_view(kind) != "dumb";
}

}  // namespace

std::unique_ptr<LineSource> line_source(bool& unicode) {
  const bool terminal = ::isatty(STDIN_FILENO) == 1 && ::isatty(STDOUT_FILENO) == 1;
  unicode = environment_is_utf8();
  if (!terminal || !moves_its_cursor() || !take_utf8_locale()) return std::make_unique<PlainSource>();
  if (auto edited = edited_source()) return edited;
  return std::make_unique<PlainSource>();
}

}  // namespace quarterturn::cli
