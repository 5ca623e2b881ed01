// SPDX-License-Identifier: MIT
#include "cli/folders.hpp"

#include <cstdlib>

namespace quarterturn::cli {
namespace {

std::string absolute(const char* variable) {
  const char* value = std::getenv(variable);
  return value != nullptr && *value == '/' ? value : "";
}

/// Empty without either.
std::string folder(const char* variable, const char* usual) {
  const std::string named = absolute(variable), home = absolute("HOME");
  if (!named.empty()) return named + "/quarterturn";
  return home.empty() ? "" : home + usual + "/quarterturn";
}

}  // namespace

std::string data_folder() {
  return folder("XDG_DATA_HOME", "/.local/share");
}

std::string state_folder() {
  return folder("XDG_STATE_HOME", "/.local/state");
}

}  // namespace quarterturn::cli
