// SPDX-License-Identifier: MIT
/// \file temporary_folder.hpp
/// A folder of a test's own, gone when the test ends.
#pragma once

#include <stdlib.h>  // mkdtemp is POSIX

#include <filesystem>
#include <stdexcept>
#include <string>
#include <system_error>

namespace quarterturn::test {

class TemporaryFolder {
 public:
  TemporaryFolder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "quarterturn-XXXXXX").string();
    if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("cannot make a folder for the test");
    path_ = pattern;
  }
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;
  ~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string file(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

}  // namespace quarterturn::test
