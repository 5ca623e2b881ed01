// SPDX-License-Identifier: MIT
#include "cli/folders.hpp"

#include <cstdlib>
#include <filesystem>
#include <system_error>

#include "files/sha256.hpp"

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

std::string spare_drafts(const std::string& log) {
  constexpr std::size_t kDigits = 12;
  const std::string folder = state_folder();
  if (folder.empty()) return "";
  // However it was named, it is the same file.
  std::error_code none;
  const auto whole = [&](const std::string& path) {
    auto found = std::filesystem::weakly_canonical(path, none);
    return none ? path : found.string();
  };
  const std::string usual = data_folder();
  if (log.empty() || (!usual.empty() && whole(log) == whole(usual + "/log.db"))) return folder + "/drafts.db";
  return folder + "/drafts-" + files::sha256(whole(log)).substr(0, kDigits) + ".db";
}

}  // namespace quarterturn::cli
