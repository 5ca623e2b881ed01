// SPDX-License-Identifier: MIT
#include "cli/line_source.hpp"

#include <histedit.h>
#include <langinfo.h>
#include <unistd.h>

#include <cerrno>
#include <clocale>
#include <cstdio>
#include <cstring>

#include "cli/said.hpp"
#include "cli/terminal.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kMostEchoed = 200;
constexpr std::size_t kMostOfLine = 1 << 20;  ///< a longer line is no typing

class PlainSource : public LineSource {
 public:
  std::optional<std::string> next(const std::string& question) override {
    if (!write_all(STDOUT_FILENO, question)) throw OutputGone{};
    std::string line;
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
        if (waiting_.empty()) return std::nullopt;
        line.swap(waiting_);
        break;
      }
    }
    if (!line.empty() && line.back() == '\r') line.pop_back();
    // No terminal has shown what was typed: without it the answers would follow on the question's line.
    if (::isatty(STDIN_FILENO) != 1 && !write_all(STDOUT_FILENO, units::inert(line, kMostEchoed) + "\n"))
      throw OutputGone{};
    return line;
  }

 private:
  bool fill() {
    char buffer[4096];
    for (;;) {
      const auto got = ::read(STDIN_FILENO, buffer, sizeof buffer);
      if (got < 0 && errno == EINTR) continue;
      if (got < 0)
        throw files::FileTrouble{std::string("standard input cannot be read: ") + std::strerror(errno)};
      waiting_.append(buffer, static_cast<std::size_t>(got));
      return got > 0;
    }
  }
  std::string waiting_;
};

/// Line editing and history of the session.
class EditedSource : public LineSource {
 public:
  EditedSource() : line_(el_init("quarterturn", stdin, stdout, stderr)), history_(history_init()) {
    if (!works()) return;
    HistEvent event;
    history(history_, &event, H_SETSIZE, 500);
    el_set(line_, EL_CLIENTDATA, this);
    el_set(line_, EL_PROMPT, &EditedSource::question_of);
    el_set(line_, EL_EDITOR, "emacs");
    el_set(line_, EL_SIGNAL, 1);
    el_set(line_, EL_HIST, history, history_);
  }
  ~EditedSource() override {
    if (line_ != nullptr) el_end(line_);
    if (history_ != nullptr) history_end(history_);
  }
  EditedSource(const EditedSource&) = delete;
  EditedSource& operator=(const EditedSource&) = delete;

  [[nodiscard]] bool works() const { return line_ != nullptr && history_ != nullptr; }

  std::optional<std::string> next(const std::string& question) override {
    // The editor counts columns on one line: it is given the last one.
    const auto last = question.rfind('\n') + 1;
    if (!write_all(STDOUT_FILENO, question.substr(0, last))) throw OutputGone{};
    question_ = question.substr(last);
    int count = 0;
    const char* got = el_gets(line_, &count);
    if (got == nullptr || count <= 0) return std::nullopt;
    std::string typed(got, static_cast<std::size_t>(count));
    while (!typed.empty() && (typed.back() == '\n' || typed.back() == '\r')) typed.pop_back();
    HistEvent event;
    if (!typed.empty()) history(history_, &event, H_ENTER, typed.c_str());
    return typed;
  }

 private:
  static char* question_of(EditLine* line) {
    void* self = nullptr;
    el_get(line, EL_CLIENTDATA, &self);
    return static_cast<EditedSource*>(self)->question_.data();
  }
  EditLine* line_;
  History* history_;
  std::string question_;
};

/// libedit loses bytes of a locale that is not UTF-8, and cannot show such a question: only then it is not
/// used.
bool take_utf8_locale() {
  const auto is_utf8 = [] { return std::strcmp(nl_langinfo(CODESET), "UTF-8") == 0; };
  if (std::setlocale(LC_CTYPE, "") != nullptr && is_utf8()) return true;
  return std::setlocale(LC_CTYPE, "C.UTF-8") != nullptr && is_utf8();
}

}  // namespace

std::unique_ptr<LineSource> line_source(bool& unicode) {
  const bool terminal = ::isatty(STDIN_FILENO) == 1 && ::isatty(STDOUT_FILENO) == 1;
  if (!terminal) {
    unicode = environment_is_utf8();
    return std::make_unique<PlainSource>();
  }
  unicode = environment_is_utf8() && take_utf8_locale();
  if (!unicode && !take_utf8_locale()) return std::make_unique<PlainSource>();
  auto edited = std::make_unique<EditedSource>();
  if (!edited->works()) return std::make_unique<PlainSource>();
  return edited;
}

}  // namespace quarterturn::cli
