// SPDX-License-Identifier: MIT
#include "support/start_program.hpp"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <iterator>
#include <utility>

#include "support/sanitized.hpp"

namespace quarterturn::test {

std::vector<std::string> usual_environment(const Home& home) {
  return {"XDG_DATA_HOME=" + home.path(), "HOME=" + home.path(), "LC_ALL=C.UTF-8"};
}

pid_t start_program(const Home& home, std::vector<std::string> words, std::vector<std::string> environment,
                    const std::function<void()>& before, const std::string& say) {
  environment.push_back(sanitizer_options(words));
  words.insert(words.begin(), QUARTERTURN_PROGRAM);
  std::vector<char*> typed, variables;
  for (auto& word : words) typed.push_back(word.data());
  for (auto& one : environment) variables.push_back(one.data());
  typed.push_back(nullptr);
  variables.push_back(nullptr);
  const std::string to = home.path() + "/" + say;
  const pid_t child = ::fork();
  if (child == 0) {
    const int nothing = ::open("/dev/null", O_RDONLY),
              file = ::open(to.c_str(), O_RDWR | O_CREAT | O_TRUNC, 0666);
    ::dup2(nothing, 0);
    ::dup2(file, 1);
    ::dup2(file, 2);
    for (int fd = 3; fd < 64; ++fd) ::close(fd);
    if (before) before();
    ::execve(QUARTERTURN_PROGRAM, typed.data(), variables.data());
    ::_exit(127);
  }
  return child;
}

int status_of(pid_t child) {
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
}

Ran run_started(const Home& home, std::vector<std::string> words, std::vector<std::string> environment,
                const std::function<void()>& before) {
  Ran ran;
  ran.status = status_of(start_program(home, std::move(words), std::move(environment), before));
  std::ifstream in(home.path() + "/said", std::ios::binary);
  ran.out = {std::istreambuf_iterator<char>(in), {}};
  return ran;
}

}  // namespace quarterturn::test
