// SPDX-License-Identifier: MIT
#include "cli/edited_source.hpp"

#include <histedit.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cwchar>

#include "cli/candidate_list.hpp"
#include "cli/kept_lines.hpp"
#include "cli/keys.hpp"
#include "cli/said.hpp"
#include "cli/terminal.hpp"
#include "cli/terminal_keeper.hpp"
#include "report/amounts.hpp"

namespace quarterturn::cli {
namespace {

constexpr wchar_t kCtrlC = 3, kTab = 9, kDown = 14, kUp = 16, kSearchBack = 18, kSearchOn = 19;

/// What the editor says about a kind of terminal that it does not know; on the screen it would be no help.
class Complaints {
 public:
  Complaints() : file_(open_memstream(&text_, &size_)) {}
  ~Complaints() {
    if (file_ != nullptr) std::fclose(file_);
    std::free(text_);
  }
  Complaints(const Complaints&) = delete;
  Complaints& operator=(const Complaints&) = delete;
  [[nodiscard]] FILE* file() const { return file_ != nullptr ? file_ : stderr; }
  [[nodiscard]] bool any() const {
    if (file_ != nullptr) std::fflush(file_);
    return size_ > 0;
  }

 private:
  char* text_ = nullptr;
  std::size_t size_ = 0;
  FILE* file_;
};

class EditedSource : public LineSource {
 public:
  EditedSource() : line_(el_init("quarterturn", stdin, stdout, complaints_.file())), kept_(history_winit()) {
    if (!works()) return;
    HistEventW event;
    history_w(kept_, &event, H_SETSIZE, static_cast<int>(KeptLines::kMost));
    history_w(kept_, &event, H_SETUNIQUE, 1);
    el_wset(line_, EL_CLIENTDATA, this);
    el_wset(line_, EL_PROMPT, &EditedSource::question_of);
    el_wset(line_, EL_GETCFN, &EditedSource::key_of);
    el_wset(line_, EL_EDITOR, L"emacs");
    el_wset(line_, EL_SIGNAL, 0);
    for (const auto& line : file_.read()) history_w(kept_, &event, H_ENTER, keys_of(line).c_str());
    el_wset(line_, EL_HIST, history_w, kept_);
    bind_keys();
    set_terminal();
  }
  ~EditedSource() override {
    if (line_ != nullptr) el_end(line_);
    if (kept_ != nullptr) history_wend(kept_);
  }
  EditedSource(const EditedSource&) = delete;
  EditedSource& operator=(const EditedSource&) = delete;

  [[nodiscard]] bool works() const { return line_ != nullptr && kept_ != nullptr && !complaints_.any(); }

  void expect(Expected expected) override { expected_ = expected; }

  std::optional<std::string> next(const std::string& question) override {
    // The editor counts columns on one line: it is given the last one.
    const auto last = question.rfind('\n') + 1;
    if (!write_all(STDOUT_FILENO, question.substr(0, last))) throw OutputGone{};
    question_ = keys_of(question.substr(last));
    dropped_ = gone_ = false;
    back_ = 0;
    el_wset(line_, EL_PREP_TERM, 1);  // before the question is seen: Ctrl-C is a key from there on
    int count = 0;
    const wchar_t* got = el_wgets(line_, &count);
    keeper_.begin_computing();
    if (dropped_) throw LineDropped{was_empty_};
    if (got == nullptr || count <= 0) {
      gone_ = gone_ || ::isatty(STDIN_FILENO) != 1;
      return std::nullopt;
    }
    std::wstring typed(got, static_cast<std::size_t>(count));
    while (!typed.empty() && (typed.back() == L'\n' || typed.back() == L'\r')) typed.pop_back();
    if (expected_.command && typed.find_first_not_of(L" \t") != std::wstring::npos) {
      HistEventW event;
      history_w(kept_, &event, H_ENTER, typed.c_str());
      file_.add(bytes_of(typed));
      keep_typed();
    }
    return bytes_of(typed);
  }

  [[nodiscard]] bool end_was_typed() const override { return !gone_; }

 private:
  static EditedSource& self(EditLine* line) {
    void* data = nullptr;
    el_wget(line, EL_CLIENTDATA, &data);
    return *static_cast<EditedSource*>(data);
  }
  static wchar_t* question_of(EditLine* line) { return self(line).question_.data(); }

  void bind(const wchar_t* name, const wchar_t* help, wchar_t key,
            unsigned char (*function)(EditLine*, wint_t)) {
    const wchar_t typed[2] = {key, 0};
    el_wset(line_, EL_ADDFN, name, help, function);
    el_wset(line_, EL_BIND, typed, name, nullptr);
  }
  void bind(wchar_t key, const wchar_t* name) {
    const wchar_t typed[2] = {key, 0};
    el_wset(line_, EL_BIND, typed, name, nullptr);
  }

  void bind_keys() {
    bind(kKeyDelete, L"ed-delete-next-char");
    bind(kKeyWordLeft, L"ed-prev-word");
    bind(kKeyWordRight, L"em-next-word");
    bind(kKeyWordAway, L"ed-delete-prev-word");
    bind(L'W' & 0x1f, L"ed-delete-prev-word");
    bind(L"drop-line", L"leave the line", kCtrlC, &EditedSource::drop_line);
    bind(L"line-dropped", L"the line is left", kKeyDropped, &EditedSource::line_dropped);
    bind(L"complete", L"what may stand here", kTab, &EditedSource::complete);
    bind(L"resized", L"the window has another width", kKeyResized, &EditedSource::resized);
    bind(L"resumed", L"the program goes on", kKeyResumed, &EditedSource::resumed);
    // A bell says that a reading was taken: a key that cannot do anything keeps silent.
    el_set(line_, EL_SETTC, "bl", "$<0>", nullptr);
  }

  /// Between lines the terminal neither shows nor edits what is typed ahead: it would stand in the midst of
  /// answers, and the system's own line holds 4,095 bytes. Nor does it throw away what is typed or shown when
  /// Ctrl-C comes. While a line is edited Ctrl-C is a key like others while a line is
  /// edited.
  void set_terminal() {
    el_set(line_, EL_SETTY, "-d", "-icrnl", "-inlcr", "intr=", nullptr);
    el_set(line_, EL_SETTY, "-x", "-icanon", "-echo", "+noflsh", "-icrnl", "-inlcr", nullptr);
  }

  /// The next key. Called from C: nothing may be thrown.
  static int key_of(EditLine* line, wchar_t* key) {
    try {
      return self(line).read_key(*key);
    } catch (...) {
      self(line).gone_ = true;
      return 0;
    }
  }

  /// Back and forth among the commands before: not at a question. Forth from the line in hand the editor
  /// would empty it.
  bool leads_nowhere(wchar_t key) {
    if ((key == kSearchBack || key == kSearchOn) && !expected_.command) return true;
    if (key == kUp && expected_.command) {
      HistEventW event;
      history_w(kept_, &event, H_GETSIZE);
      back_ = std::min(back_ + 1, event.num);
    }
    if (key == kDown && back_ > 0) {
      --back_;
      return false;
    }
    return key == kDown || (key == kUp && back_ == 0);
  }

  /// As soon as no more is waiting, before anything can end the program; a pasted list at its end, not line
  /// by line.
  void keep_typed() {
    if (!keys_.more() && !keeper_.input_waits()) file_.write();
  }

  int read_key(wchar_t& key) {
    for (;;) {
      if (const auto next = keys_.next()) {
        if (leads_nowhere(*next)) continue;
        key = *next;
        return 1;
      }
      keep_typed();
      switch (keeper_.wait()) {
        case TerminalKeeper::Woken::interrupted:
          key = kCtrlC;
          return 1;
        case TerminalKeeper::Woken::resized:
          key = kKeyResized;
          return 1;
        case TerminalKeeper::Woken::resumed:
          key = kKeyResumed;
          return 1;
        case TerminalKeeper::Woken::input:
          break;
      }
      char buffer[4096];
      const auto got = ::read(STDIN_FILENO, buffer, sizeof buffer);
      if (got < 0 && errno == EINTR) continue;
      if (got <= 0) {
        gone_ = true;
        return 0;
      }
      keys_.take({buffer, static_cast<std::size_t>(got)});
    }
  }

  static unsigned char drop_line(EditLine* line, wint_t) {
    const LineInfoW* info = el_wline(line);
    self(line).was_empty_ = info->lastchar == info->buffer;
    el_cursor(line, static_cast<int>(info->lastchar - info->cursor));
    // Once the cursor stands at the end of what was typed.
    const wchar_t then[2] = {kKeyDropped, 0};
    el_wpush(line, then);
    return CC_CURSOR;
  }
  static unsigned char line_dropped(EditLine* line, wint_t) {
    self(line).dropped_ = true;
    std::fputs("^C\n", stdout);
    return CC_EOF;
  }

  static unsigned char complete(EditLine* line, wint_t) {
    try {
      return self(line).complete_here();
    } catch (...) {
      return CC_NORM;  // a log or a folder that cannot be read has nothing to offer
    }
  }

  unsigned char put(const std::wstring& text) {
    el_winsertstr(line_, text.c_str());
    return CC_REFRESH;
  }

  unsigned char complete_here() {
    // Among readings a tab that is pasted, or that nothing can complete, parts them like a blank.
    const bool answers = !expected_.command;
    if (answers && (keys_.more() || keeper_.input_waits())) return put(L" ");
    const LineInfoW* info = el_wline(line_);
    const std::string before =
        bytes_of({info->buffer, static_cast<std::size_t>(info->cursor - info->buffer)});
    const auto found = expected_.complete ? expected_.complete(before, before.size()) : Completion{};
    if (found.candidates.empty()) return answers ? put(L" ") : CC_NORM;
    const std::string typed = before.substr(found.from);
    const bool one = found.candidates.size() == 1;
    std::string common = common_beginning(found.candidates);
    if (one && !common.ends_with('/')) common += " ";
    if (one || common.size() > typed.size()) {
      el_deletestr(line_, static_cast<int>(keys_of(typed).size()));
      el_winsertstr(line_, keys_of(common).c_str());
    }
    if (one) return CC_REFRESH;
    std::fputs(("\n\x1b[J" + candidate_list(found.candidates, window_width())).c_str(), stdout);
    el_wset(line_, EL_REFRESH);
    return CC_NORM;
  }

  static int window_width() {
    winsize size{};
    return ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : 80;
  }

  /// Draws the line anew. A window that breaks its lines anew at another width has moved the cursor to
  /// another row.
  static unsigned char resized(EditLine* line, wint_t) {
    const LineInfoW* info = el_wline(line);
    const auto columns = [](std::wstring_view text) { return report::columns_of(bytes_of(text)); };
    const std::size_t before = columns(self(line).question_) +
                               columns({info->buffer, static_cast<std::size_t>(info->cursor - info->buffer)});
    if (const auto rows = before / static_cast<std::size_t>(window_width()); rows > 0)
      std::fprintf(stdout, "\x1b[%zuA", rows);
    std::fputs("\r\x1b[J", stdout);
    el_resize(line);
    el_wset(line, EL_REFRESH);
    return CC_NORM;
  }
  static unsigned char resumed(EditLine* line, wint_t) {
    el_wset(line, EL_PREP_TERM, 0);
    el_wset(line, EL_PREP_TERM, 1);
    el_wset(line, EL_REFRESH);
    return CC_NORM;
  }

  TerminalKeeper keeper_;  ///< first of all: it must see the terminal as it was
  Complaints complaints_;
  EditLine* line_;
  KeptLines file_{kept_lines_path()};
  HistoryW* kept_;
  Keys keys_;
  Expected expected_;
  std::wstring question_;
  int back_ = 0;  ///< lines before the one in hand
  bool dropped_ = false, was_empty_ = false, gone_ = false;
};

}  // namespace

std::unique_ptr<LineSource> edited_source() {
  auto source = std::make_unique<EditedSource>();
  if (!source->works()) return nullptr;
  return source;
}

}  // namespace quarterturn::cli
