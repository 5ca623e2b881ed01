// SPDX-License-Identifier: MIT
#include "support/pty.hpp"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <csignal>
#include <stdexcept>

#include "support/sanitized.hpp"

namespace quarterturn::test {
namespace {

using Clock = std::chrono::steady_clock;
constexpr std::chrono::seconds kPatience{60};  ///< only a failing test waits so long

std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> list;
  for (auto& text : texts) list.push_back(text.data());
  list.push_back(nullptr);
  return list;
}

std::vector<std::string> environment_of(const Home& home, const PtyStart& start) {
  std::vector<std::string> all{"TERM=xterm",
                               "LC_ALL=C.UTF-8",
                               "HOME=" + home.path(),
                               "XDG_DATA_HOME=" + home.path(),
                               "XDG_STATE_HOME=" + home.path() + "/state",
                               "PATH=/usr/bin:/bin",
                               sanitizer_options(start.arguments)};
  for (const auto& given : start.environment) {
    const std::string name = given.substr(0, given.find('=') + 1);
    std::erase_if(all, [&](const auto& one) { return one.starts_with(name); });
    if (given.back() != '=') all.push_back(given);
  }
  return all;
}

}  // namespace

Pty::Pty(const Home& home, const PtyStart& start) : screen_(start.columns) {
  winsize size{};
  size.ws_row = 24;
  size.ws_col = static_cast<unsigned short>(start.columns);
  if (::openpty(&master_, &slave_, nullptr, nullptr, &size) != 0)
    throw std::runtime_error("no pseudo-terminal");
  ::fcntl(master_, F_SETFL, O_NONBLOCK);
  ::fcntl(master_, F_SETFD, FD_CLOEXEC);
  std::vector<std::string> typed{QUARTERTURN_PROGRAM};
  typed.insert(typed.end(), start.arguments.begin(), start.arguments.end());
  auto environment = environment_of(home, start);
  const auto arguments = pointers(typed), variables = pointers(environment);
  const std::string folder = start.folder.empty() ? home.path() : start.folder;
  const bool ignores_hang_up = start.ignores_hang_up;
  child_ = ::fork();
  if (child_ < 0) throw std::runtime_error("no process");
  if (child_ == 0) {
    ::setsid();
    ::ioctl(slave_, TIOCSCTTY, 0);
    for (int descriptor = 0; descriptor < 3; ++descriptor) ::dup2(slave_, descriptor);
    if (slave_ > 2) ::close(slave_);
    for (const int number : {SIGINT, SIGQUIT, SIGHUP, SIGPIPE, SIGTSTP}) ::signal(number, SIG_DFL);
    if (ignores_hang_up) ::signal(SIGHUP, SIG_IGN);
    if (::chdir(folder.c_str()) == 0) ::execve(QUARTERTURN_PROGRAM, arguments.data(), variables.data());
    ::_exit(127);
  }
  ::fcntl(slave_, F_SETFD, FD_CLOEXEC);
}

Pty::~Pty() {
  if (status_ < 0) {
    ::kill(child_, SIGKILL);
    ::waitpid(child_, nullptr, 0);
  }
  if (master_ >= 0) ::close(master_);
  if (slave_ >= 0) ::close(slave_);
}

void Pty::fail(const std::string& wanted) const {
  throw std::runtime_error("waited for: " + wanted + "\nthe screen shows:\n" + screen_.text() +
                           (status_ < 0 ? "" : "\nthe program has ended with " + std::to_string(status_)));
}

/// Reads what is there, and waits for it. False: nothing came.
bool Pty::read_some(int milliseconds) {
  if (master_ < 0) return false;
  pollfd output{master_, POLLIN, 0};
  if (::poll(&output, 1, milliseconds) <= 0) return false;
  char buffer[4096];
  const auto got = ::read(master_, buffer, sizeof buffer);
  if (got <= 0) return false;
  written_.append(buffer, static_cast<std::size_t>(got));
  screen_.take({buffer, static_cast<std::size_t>(got)});
  return true;
}

bool Pty::has_ended() {
  if (status_ >= 0) return true;
  int status = 0;
  if (::waitpid(child_, &status, WNOHANG) != child_) return false;
  status_ = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  while (read_some(0)) {
  }
  return true;
}

void Pty::type(const std::string& bytes) {
  const auto deadline = Clock::now() + kPatience;
  for (std::size_t at = 0; at < bytes.size();) {
    pollfd both{master_, POLLIN | POLLOUT, 0};
    ::poll(&both, 1, 100);
    if ((both.revents & POLLIN) != 0) read_some(0);
    if ((both.revents & POLLOUT) != 0) {
      const auto put = ::write(master_, bytes.data() + at, bytes.size() - at);
      if (put > 0) at += static_cast<std::size_t>(put);
    }
    if (has_ended()) return;
    if (Clock::now() > deadline) fail("room to type " + bytes.substr(at, 40));
  }
}

void Pty::expect(const std::string& text) {
  until(text, [&](const Screen&) {
    const auto found = written_.find(text, seen_);
    if (found != std::string::npos) seen_ = found + text.size();
    return found != std::string::npos;
  });
}

void Pty::until(const std::string& wanted, const std::function<bool(const Screen&)>& is_so) {
  const auto deadline = Clock::now() + kPatience;
  while (!is_so(screen_)) {
    if (read_some(20)) continue;
    if ((has_ended() && !is_so(screen_)) || Clock::now() > deadline) fail(wanted);
  }
}

void Pty::resize(int columns) {
  winsize size{};
  size.ws_row = 24;
  size.ws_col = static_cast<unsigned short>(columns);
  screen_.resize(columns);
  ::ioctl(master_, TIOCSWINSZ, &size);
}

void Pty::send(int signal) const {
  ::kill(child_, signal);
}

void Pty::hang_up() {
  ::close(master_);
  master_ = -1;
}

int Pty::end() {
  const auto deadline = Clock::now() + kPatience;
  while (!has_ended()) {
    if (master_ >= 0)
      read_some(20);
    else
      ::poll(nullptr, 0, 20);
    if (Clock::now() > deadline) fail("the end of the program");
  }
  return status_;
}

int Pty::type_until_end(const std::string& bytes) {
  const auto deadline = Clock::now() + kPatience;
  while (!has_ended()) {
    type(bytes);
    for (int i = 0; i < 10 && read_some(10); ++i) {
    }
    if (Clock::now() > deadline) fail("the end of the program");
  }
  return status_;
}

termios Pty::settings() const {
  termios found{};
  ::tcgetattr(slave_ >= 0 ? slave_ : master_, &found);
  return found;
}

}  // namespace quarterturn::test
