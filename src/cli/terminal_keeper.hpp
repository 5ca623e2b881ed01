// SPDX-License-Identifier: MIT
/// \file terminal_keeper.hpp
/// While it lives the terminal may be set as the line editor likes: it is set back however the program ends,
/// by a signal too. It also says what wakes a question: bytes, Ctrl-C, another width, the program resumed.
#pragma once

namespace quarterturn::cli {

/// One at a time, for standard input that is a terminal.
class TerminalKeeper {
 public:
  TerminalKeeper();
  ~TerminalKeeper();
  TerminalKeeper(const TerminalKeeper&) = delete;
  TerminalKeeper& operator=(const TerminalKeeper&) = delete;

  enum class Woken { input, interrupted, resized, resumed };
  /// Waits at a question. Input may be the end of it.
  Woken wait();
  /// Whether bytes wait to be read.
  [[nodiscard]] bool input_waits() const;
  /// A line was taken: what follows is computing, which Ctrl-C ends with the program. Not in its first
  /// moment, so that who holds the key down at a question does not hit the gap between two.
  void begin_computing();
};

}  // namespace quarterturn::cli
