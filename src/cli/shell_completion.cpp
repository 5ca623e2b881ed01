// SPDX-License-Identifier: MIT
#include "cli/shell_completion.hpp"

#include <string>
#include <vector>

#include "cli/said.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::cli {

std::string completion_script(std::string_view shell) {
  if (shell == "bash") return bash_completion();
  if (shell == "zsh") return zsh_completion();
  if (shell == "fish") return fish_completion();
  throw UsageError("--completion is '" + units::inert(std::string(shell)) + "', but must be " +
                   units::one_of(std::vector<std::string>{"bash", "zsh", "fish"}) + ".");
}

}  // namespace quarterturn::cli
