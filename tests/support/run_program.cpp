// SPDX-License-Identifier: MIT
#include "support/run_program.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

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

Ran run_program(const Home& home, const std::vector<std::string>& arguments, const std::string& input,
                const std::string& out_to, const std::string& locale) {
  std::vector<std::string> typed{QUARTERTURN_PROGRAM};
  typed.insert(typed.end(), arguments.begin(), arguments.end());
  std::vector<std::string> environment{"XDG_DATA_HOME=" + home.path(), "HOME=" + home.path(),
                                       "LC_ALL=" + locale, "TERM=dumb", "PATH=/usr/bin:/bin"};
  const std::string out = out_to.empty() ? home.path() + "/stdout" : out_to, err = home.path() + "/stderr";
  int ends[2];
  if (::pipe(ends) != 0) throw std::runtime_error("no pipe");
  if (::write(ends[1], input.data(), input.size()) != static_cast<ssize_t>(input.size()))
    throw std::runtime_error("pipe is full");
  ::close(ends[1]);

  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, ends[0], STDIN_FILENO);
  posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
  pid_t child = 0;
  const int failed = posix_spawn(&child, QUARTERTURN_PROGRAM, &actions, nullptr, pointers(typed).data(),
                                 pointers(environment).data());
  posix_spawn_file_actions_destroy(&actions);
  ::close(ends[0]);
  if (failed != 0) throw std::runtime_error(std::string("cannot start ") + QUARTERTURN_PROGRAM);
  int status = 0;
  ::waitpid(child, &status, 0);
  Ran ran;
  ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
  if (out_to.empty()) ran.out = content_of(out);
  ran.err = content_of(err);
  return ran;
}

}  // namespace quarterturn::test
