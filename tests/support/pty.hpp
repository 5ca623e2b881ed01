// SPDX-License-Identifier: MIT
/// \file pty.hpp
/// The real program in a real pseudo-terminal, with a person who types and reads. Nothing sleeps for a fixed
/// time: what is waited for comes, or the test says what stood on the screen instead.
#pragma once

#include <sys/types.h>
#include <termios.h>

#include <functional>
#include <string>
#include <vector>

#include "support/run_program.hpp"
#include "support/screen.hpp"

namespace quarterturn::test {

struct PtyStart {
  std::vector<std::string> arguments{};
  int columns = 80;
  std::vector<std::string> environment{};  ///< over TERM=xterm, LC_ALL=C.UTF-8, HOME and the XDG folders
  std::string folder{};                    ///< it is started in; empty: the home
  bool ignores_hang_up = false;            ///< as under nohup
};

class Pty {
 public:
  explicit Pty(const Home& home, const PtyStart& start = {});
  ~Pty();
  Pty(const Pty&) = delete;
  Pty& operator=(const Pty&) = delete;

  /// Types, and reads meanwhile, as a terminal does.
  void type(const std::string& bytes);
  /// Waits for this text behind what was waited for last. \throws std::runtime_error with the screen
  void expect(const std::string& text);
  /// Waits until the screen is so. \param wanted  in words, for the failure
  void until(const std::string& wanted, const std::function<bool(const Screen&)>& is_so);
  /// Types and waits.
  void type(const std::string& bytes, const std::string& text) {
    type(bytes);
    expect(text);
  }
  void resize(int columns);
  void send(int signal) const;
  /// The terminal goes away, as when its window is closed.
  void hang_up();
  /// Types this again and again until the program ends.
  int type_until_end(const std::string& bytes);
  /// Waits for the end. \return exit status; 128 + signal
  int end();

  [[nodiscard]] const Screen& screen() const { return screen_; }
  [[nodiscard]] const std::string& written() const { return written_; }  ///< every byte
  /// How the terminal is set now.
  [[nodiscard]] termios settings() const;

 private:
  bool read_some(int milliseconds);
  bool has_ended();
  [[noreturn]] void fail(const std::string& wanted) const;

  int master_ = -1, slave_ = -1;
  pid_t child_ = -1;
  int status_ = -1;
  std::string written_;
  std::size_t seen_ = 0;
  Screen screen_;
};

}  // namespace quarterturn::test
