// SPDX-License-Identifier: MIT
#include "support/run_program.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <thread>

#include "support/sanitized.hpp"

namespace quarterturn::test {
namespace {

std::string content_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::vector<char*> pointers(std::vector<std::string>& texts) {
  std::vector<char*> list;
  for (auto& text : texts) list.push_back(text.data());
  list.push_back(nullptr);
  return list;
}

}  // namespace

Home::Home() {
  std::string pattern = (std::filesystem::temp_directory_path() / "quarterturn-test-XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no temporary folder");
  path_ = pattern;
}

Home::~Home() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

std::string Home::write(const std::string& name, const std::string& content) const {
  const std::string path = path_ + "/" + name;
  std::ofstream(path, std::ios::binary) << content;
  return path;
}

namespace {

/// The program, started, its input written to a pipe that stays open.
struct Started {
  pid_t child = 0;
  int input = -1;  ///< the pipe's end for writing
  std::string out, err;
};

Started start(const Home& home, const std::vector<std::string>& arguments, const std::string& input,
              const std::string& out_to, const std::string& locale) {
  std::vector<std::string> typed{QUARTERTURN_PROGRAM};
  typed.insert(typed.end(), arguments.begin(), arguments.end());
  std::vector<std::string> environment{"XDG_DATA_HOME=" + home.path(), "HOME=" + home.path(),
                                       "LC_ALL=" + locale, "TERM=dumb", "PATH=/usr/bin:/bin"};
  environment.push_back(sanitizer_options(arguments));
  Started started;
  started.out = out_to.empty() ? home.path() + "/stdout" : out_to;
  started.err = home.path() + "/stderr";
  int ends[2];
  if (::pipe2(ends, O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
  if (::write(ends[1], input.data(), input.size()) != static_cast<ssize_t>(input.size()))
    throw std::runtime_error("pipe is full");
  started.input = ends[1];

  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, ends[0], STDIN_FILENO);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, started.out.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                   0600);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, started.err.c_str(), O_WRONLY | O_CREAT | O_TRUNC,
                                   0600);
  const int failed = posix_spawn(&started.child, QUARTERTURN_PROGRAM, &actions, nullptr,
                                 pointers(typed).data(), pointers(environment).data());
  posix_spawn_file_actions_destroy(&actions);
  ::close(ends[0]);
  if (failed != 0) throw std::runtime_error(std::string("cannot start ") + QUARTERTURN_PROGRAM);
  return started;
}

std::size_t questions_in(const std::string& path) {
  const std::string text = content_of(path);
  std::size_t count = 0;
  for (auto at = text.find("▸ "); at != std::string::npos; at = text.find("▸ ", at + 1)) ++count;
  return count;
}

Ran ended(const Started& started, bool caught) {
  int status = 0;
  ::waitpid(started.child, &status, 0);
  Ran ran;
  ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  if (caught) ran.out = content_of(started.out);
  ran.err = content_of(started.err);
  return ran;
}

}  // namespace

Ran run_program(const Home& home, const std::vector<std::string>& arguments, const std::string& input,
                const std::string& out_to, const std::string& locale) {
  const Started started = start(home, arguments, input, out_to, locale);
  ::close(started.input);
  return ended(started, out_to.empty());
}

Ran run_and_kill(const Home& home, const std::vector<std::string>& arguments, const std::string& input,
                 std::size_t questions) {
  const Started started = start(home, arguments, input, "", "C.UTF-8");
  const auto deadline = std::chrono::steady_clock::now() + std::chrono::seconds(60);
  while (questions_in(started.out) < questions && std::chrono::steady_clock::now() < deadline)
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  const bool asked = questions_in(started.out) == questions;
  ::kill(started.child, SIGKILL);
  ::close(started.input);
  const Ran ran = ended(started, true);
  if (!asked) throw std::runtime_error("it did not ask as often as that:\n" + ran.out);
  return ran;
}

}  // namespace quarterturn::test
