// SPDX-License-Identifier: MIT
/// \file measure.cpp
/// Times commands in turn, as whole processes or by what they say of themselves, and writes rows of a table.
///
///     measure --work TEXT --reach TEXT --runs N [--said] NAME COMMAND [NAME COMMAND]...
///
/// The first is ours. COMMAND is split at blanks, no shell lies between; its output is thrown away. With
/// --said the time is the last line `seconds X` that a command prints, so that what it reads and makes first
/// does not count; the processor time is always that of the whole process, which a busy machine leaves alone.
/// A command that fails ends it all: a time of something that went wrong is none. What each is compared with
/// runs in the same round, so what else the machine does meets all of them; in an order that is drawn anew
/// for each, as what runs behind a large program finds the caches cold.
#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <numeric>
#include <random>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

extern char** environ;

namespace {

struct Command {
  std::string name;
  std::vector<std::string> words;
  std::vector<double> seconds, processor;
  double peak_mib = 0;
};

std::vector<std::string> split(const std::string& text) {
  std::istringstream in(text);
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(word);
  return words;
}

double said(const std::string& output) {
  const std::size_t at = output.rfind("seconds ");
  if (at == std::string::npos) throw std::runtime_error("it did not say 'seconds X'");
  return std::stod(output.substr(at + std::strlen("seconds ")));
}

std::string drained(int from) {
  std::string all;
  char part[4096];
  for (ssize_t n = 0; (n = ::read(from, part, sizeof part)) > 0;)
    all.append(part, static_cast<std::size_t>(n));
  ::close(from);
  return all;
}

void run(Command& command, bool by_itself) {
  std::vector<char*> words;
  for (std::string& word : command.words) words.push_back(word.data());
  words.push_back(nullptr);
  int ends[2] = {-1, -1};
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_addopen(&actions, 2, "/dev/null", O_WRONLY, 0);
  if (by_itself) {
    if (::pipe2(ends, O_CLOEXEC) != 0) throw std::runtime_error("no pipe");
    posix_spawn_file_actions_adddup2(&actions, ends[1], 1);
  } else {
    posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
  }
  const auto start = std::chrono::steady_clock::now();
  pid_t process = 0;
  if (::posix_spawnp(&process, words[0], &actions, nullptr, words.data(), environ) != 0)
    throw std::runtime_error("cannot be started");
  posix_spawn_file_actions_destroy(&actions);
  std::string output;
  if (by_itself) {
    ::close(ends[1]);
    output = drained(ends[0]);
  }
  int status = 0;
  rusage used{};
  ::wait4(process, &status, 0, &used);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) throw std::runtime_error("failed");
  command.seconds.push_back(by_itself ? said(output) : took.count());
  const auto of = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  command.processor.push_back(of(used.ru_utime) + of(used.ru_stime));
  command.peak_mib = std::max(command.peak_mib, static_cast<double>(used.ru_maxrss) / 1024);
}

std::string told(double seconds) {
  char text[32];
  const char* const form = seconds < 0.0995 ? "%.2f ms" : seconds < 0.995 ? "%.0f ms" : "%.1f s";
  std::snprintf(text, sizeof text, form, seconds < 0.995 ? 1000 * seconds : seconds);
  return text;
}

}  // namespace

int main(int argc, char** argv) {
  std::string work, reach;
  int runs = 5;
  bool by_itself = false;
  std::vector<Command> commands;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--said") {
      by_itself = true;
    } else if (i + 1 == argc) {
      return 2;
    } else if (word == "--work") {
      work = argv[++i];
    } else if (word == "--reach") {
      reach = argv[++i];
    } else if (word == "--runs") {
      runs = std::max(1, std::atoi(argv[++i]));
    } else {
      commands.push_back({word, split(argv[++i]), {}, {}, 0});
    }
  }
  std::mt19937 random(1);
  std::vector<std::size_t> order(commands.size());
  std::iota(order.begin(), order.end(), 0U);
  for (int r = 0; r < runs; ++r) {
    std::ranges::shuffle(order, random);
    for (const std::size_t which : order) {
      Command& command = commands[which];
      // What takes seconds is not repeated as often: its scatter is a small share of it.
      if (r >= 3 && command.seconds.front() * r > 20) continue;
      try {
        run(command, by_itself);
      } catch (const std::exception& trouble) {
        std::fprintf(stderr, "%s (%s): %s\n", command.name.c_str(), command.words[0].c_str(), trouble.what());
        return 1;
      }
    }
  }
  double ours = 0, ours_busy = 0;
  for (Command& command : commands) {
    auto& s = command.seconds;
    std::ranges::sort(s);
    const double median = s[s.size() / 2];
    std::ranges::sort(command.processor);
    const double busy = command.processor[command.processor.size() / 2];
    if (ours == 0) ours = median;
    if (ours_busy == 0) ours_busy = std::max(busy, 1e-6);
    const double ratio = median / ours, ratio_busy = busy / ours_busy;
    std::printf("| %s | %s | %s | %s (%s to %s) | %.*f | %s | %.*f | %.0f |\n", work.c_str(), reach.c_str(),
                command.name.c_str(), told(median).c_str(), told(s.front()).c_str(), told(s.back()).c_str(),
                ratio < 9.95 ? 2 : 0, ratio, told(busy).c_str(), ratio_busy < 9.95 ? 2 : 0, ratio_busy,
                command.peak_mib);
    work = reach = "";
  }
  return 0;
}
