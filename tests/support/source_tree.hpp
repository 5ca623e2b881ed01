// SPDX-License-Identifier: MIT
/// \file source_tree.hpp
/// The project's own source files as text, for tests that hold the house to its rules.
#pragma once

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>
#include <vector>

namespace quarterturn::test {

struct SourceFile {
  std::string path;  ///< below the root, e.g. "src/check/fit.cpp"
  std::string text;
};

inline std::string read_source(const std::string& path) {
  std::ifstream in(std::string(QUARTERTURN_ROOT) + "/" + path, std::ios::binary);
  if (!in) throw std::runtime_error("cannot open " + path);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// All C++ files below `folder`, by path.
inline std::vector<SourceFile> cpp_files(const std::string& folder) {
  namespace fs = std::filesystem;
  const fs::path root(QUARTERTURN_ROOT);
  std::vector<SourceFile> files;
  for (const auto& entry : fs::recursive_directory_iterator(root / folder)) {
    const std::string name = entry.path().filename().string();
    if (!entry.is_regular_file()) continue;
    if (name.ends_with(".hpp") || name.ends_with(".cpp") || name.ends_with(".cpp.in")) {
      const std::string path = fs::relative(entry.path(), root).generic_string();
      files.push_back({path, read_source(path)});
    }
  }
  std::sort(files.begin(), files.end(), [](const auto& a, const auto& b) { return a.path < b.path; });
  if (files.empty()) throw std::runtime_error("no source files below " + folder);
  return files;
}

}  // namespace quarterturn::test
