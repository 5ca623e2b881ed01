// SPDX-License-Identifier: MIT
/// \file result_table.hpp
/// The results of a setup where there may be a hundred thousand: what a history is made of, no string of its
/// own for each.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <string_view>
#include <vector>

namespace quarterturn::logbook {

/// Of the latest version of a check, as in KeptResult. The text lives as long as the table.
struct ResultRow {
  std::string_view id, recorded, version_recorded, station_version, date, verdict, test;
  std::int64_t utc = 0;
  double eta = 0, u = 0;
  double dof = std::numeric_limits<double>::infinity();
  int number = 0;
  bool unknown = false;  ///< the ± holds for measuring alone
  bool provisional = false;
};

class ResultTable {
 public:
  std::vector<ResultRow> rows;  ///< in the order of their numbers

  /// A copy that lives with the table; of what `like` holds already that one.
  std::string_view keep(std::string_view text, std::string_view like = {});

 private:
  std::vector<std::unique_ptr<char[]>> blocks_;
  std::size_t left_ = 0;  ///< free in the last of them
};

}  // namespace quarterturn::logbook
