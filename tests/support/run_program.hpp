// SPDX-License-Identifier: MIT
/// \file run_program.hpp
/// Runs the real program as a shell would: arguments, standard input through a pipe, both outputs and the
/// exit status.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::test {

struct Ran {
  int status = -1;  ///< exit status; 128 + signal when it was killed
  std::string out, err;
};

/// A folder of its own for one test, removed at the end; where the program keeps stations (XDG_DATA_HOME).
class Home {
 public:
  Home();
  ~Home();
  Home(const Home&) = delete;
  Home& operator=(const Home&) = delete;
  [[nodiscard]] const std::string& path() const { return path_; }
  /// Writes a file in it and gives its path.
  std::string write(const std::string& name, const std::string& content) const;

 private:
  std::string path_;
};

/// \param input  at most 60,000 bytes, so that the pipe takes it whole
/// \param out_to standard output goes to this file or device instead; empty: it is caught
/// \param locale of the environment: LC_ALL
Ran run_program(const Home& home, const std::vector<std::string>& arguments, const std::string& input = "",
                const std::string& out_to = "", const std::string& locale = "C.UTF-8");

/// The same, killed (SIGKILL) once it has asked so many questions, its standard input still open.
/// \throws std::runtime_error when it does not come to ask them
Ran run_and_kill(const Home& home, const std::vector<std::string>& arguments, const std::string& input,
                 std::size_t questions);

}  // namespace quarterturn::test
