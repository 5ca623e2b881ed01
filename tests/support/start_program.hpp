// SPDX-License-Identifier: MIT
/// \file start_program.hpp
/// The program started as trouble has it: with an environment of its own, and what else is done to the
/// process first.
#pragma once

#include <sys/types.h>

#include <functional>
#include <string>
#include <vector>

#include "support/run_program.hpp"

namespace quarterturn::test {

/// Home and data folder as `run_program` has them.
std::vector<std::string> usual_environment(const Home& home);

/// Reads from nothing, says both what it tells and its errors into a file of the home. \param before  done in
/// the new process, last \param say  that file
pid_t start_program(const Home& home, std::vector<std::string> words, std::vector<std::string> environment,
                    const std::function<void()>& before = {}, const std::string& say = "said");

/// Waits for its end; 128 and the signal's number where one ended it.
int status_of(pid_t child);

/// Started, its end waited for, what it said read.
Ran run_started(const Home& home, std::vector<std::string> words, std::vector<std::string> environment,
                const std::function<void()>& before = {});

}  // namespace quarterturn::test
