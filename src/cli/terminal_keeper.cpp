// SPDX-License-Identifier: MIT
#include "cli/terminal_keeper.hpp"

#include <poll.h>
#include <signal.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <ctime>

namespace quarterturn::cli {
namespace {

constexpr std::array kHandled{SIGTERM, SIGHUP, SIGQUIT, SIGABRT, SIGINT, SIGTSTP, SIGCONT, SIGWINCH};
constexpr double kGraceSeconds = 0.2;

// Signal handlers see only these.
termios g_found{};  ///< how the terminal was
volatile std::sig_atomic_t g_known = 0, g_at_question = 0, g_interrupted = 0, g_resized = 0, g_resumed = 0;
timespec g_taken{};
std::array<struct sigaction, kHandled.size()> g_before{};

void put_back(int when) {
  if (g_known != 0) ::tcsetattr(STDIN_FILENO, when, &g_found);
}

extern "C" void end_program(int signal_number) {
  put_back(TCSAFLUSH);
  ::signal(signal_number, SIG_DFL);
  ::raise(signal_number);  // takes effect when the handler returns
}

extern "C" void on_interrupt(int signal_number) {
  timespec now{};
  ::clock_gettime(CLOCK_MONOTONIC, &now);
  const double since = static_cast<double>(now.tv_sec - g_taken.tv_sec) +
                       1e-9 * static_cast<double>(now.tv_nsec - g_taken.tv_nsec);
  if (g_at_question != 0 || since < kGraceSeconds)
    g_interrupted = 1;
  else
    end_program(signal_number);
}

extern "C" void on_stop(int signal_number) {
  const int kept_errno = errno;
  termios in_use{};
  const bool known = ::tcgetattr(STDIN_FILENO, &in_use) == 0;
  put_back(TCSADRAIN);
  struct sigaction ours {};
  struct sigaction usual {};
  usual.sa_handler = SIG_DFL;
  ::sigaction(signal_number, &usual, &ours);
  sigset_t stop, before;
  sigemptyset(&stop);
  sigaddset(&stop, signal_number);
  ::raise(signal_number);
  ::pthread_sigmask(SIG_UNBLOCK, &stop, &before);  // stands still here until it is resumed
  ::pthread_sigmask(SIG_SETMASK, &before, nullptr);
  ::sigaction(signal_number, &ours, nullptr);
  if (known) ::tcsetattr(STDIN_FILENO, TCSADRAIN, &in_use);
  g_resumed = 1;
  errno = kept_errno;
}

extern "C" void on_resume(int) {
  g_resumed = 1;
}
extern "C" void on_resize(int) {
  g_resized = 1;
}

void (*handler_of(int signal_number))(int) {
  switch (signal_number) {
    case SIGINT:
      return on_interrupt;
    case SIGTSTP:
      return on_stop;
    case SIGCONT:
      return on_resume;
    case SIGWINCH:
      return on_resize;
    default:
      return end_program;
  }
}

sigset_t waking_signals() {
  sigset_t set;
  sigemptyset(&set);
  for (const int number : {SIGINT, SIGTSTP, SIGCONT, SIGWINCH}) sigaddset(&set, number);
  return set;
}

}  // namespace

TerminalKeeper::TerminalKeeper() {
  g_known = ::tcgetattr(STDIN_FILENO, &g_found) == 0 ? 1 : 0;
  g_at_question = 0;
  g_interrupted = 0;
  g_resized = 0;
  g_resumed = 0;
  begin_computing();
  for (std::size_t i = 0; i < kHandled.size(); ++i) {
    struct sigaction ours {};
    ours.sa_handler = handler_of(kHandled[i]);
    ours.sa_flags = SA_RESTART;
    sigemptyset(&ours.sa_mask);
    // Setting the terminal back from the background is no reason to stand still.
    if (kHandled[i] != SIGTSTP) sigaddset(&ours.sa_mask, SIGTTOU);
    ::sigaction(kHandled[i], nullptr, &g_before[i]);
    const bool ignored = g_before[i].sa_handler == SIG_IGN;  // such as SIGHUP under nohup
    if (!ignored) ::sigaction(kHandled[i], &ours, nullptr);
  }
}

TerminalKeeper::~TerminalKeeper() {
  // What was typed ahead of the end is not for the shell: half a pasted list would be run as commands there.
  put_back(TCSAFLUSH);
  g_known = 0;
  for (std::size_t i = 0; i < kHandled.size(); ++i) ::sigaction(kHandled[i], &g_before[i], nullptr);
}

TerminalKeeper::Woken TerminalKeeper::wait() {
  // The signals are let in only while it sleeps: none comes between the look and the sleep.
  const sigset_t waking = waking_signals();
  sigset_t before;
  ::pthread_sigmask(SIG_BLOCK, &waking, &before);
  g_at_question = 1;
  Woken woken = Woken::input;
  for (;;) {
    if (g_interrupted != 0) {
      g_interrupted = 0;
      woken = Woken::interrupted;
      break;
    }
    if (g_resumed != 0) {
      g_resumed = 0;
      woken = Woken::resumed;
      break;
    }
    if (g_resized != 0) {
      g_resized = 0;
      woken = Woken::resized;
      break;
    }
    pollfd input{STDIN_FILENO, POLLIN, 0};
    if (::ppoll(&input, 1, nullptr, &before) >= 0 || errno != EINTR) break;
  }
  g_at_question = 0;
  ::clock_gettime(CLOCK_MONOTONIC, &g_taken);
  ::pthread_sigmask(SIG_SETMASK, &before, nullptr);
  return woken;
}

bool TerminalKeeper::input_waits() const {
  pollfd input{STDIN_FILENO, POLLIN, 0};
  return ::poll(&input, 1, 0) > 0 && (input.revents & POLLIN) != 0;
}

void TerminalKeeper::begin_computing() {
  ::clock_gettime(CLOCK_MONOTONIC, &g_taken);
}

}  // namespace quarterturn::cli
