// SPDX-License-Identifier: MIT
/// \file real_documents.hpp
/// JSON documents as the real program writes them, of every kind: from the examples, from a log that is
/// filled on the way, and from cases at the edge.
#pragma once

#include <string>
#include <vector>

namespace quarterturn::test {

struct RealDocument {
  std::string schema;  ///< name of its file in data/schema, without .json
  std::string label;   ///< how it came about
  std::string text;
};

/// \throws std::runtime_error when the program refuses
std::vector<RealDocument> real_documents();

}  // namespace quarterturn::test
