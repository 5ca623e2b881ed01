// SPDX-License-Identifier: MIT
/// \file result_table.hpp
/// The results of a setup where there may be a hundred thousand: what a history is made of, no string of its
/// own for each.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <limits>
#include <memory>
#include <string_view>
#include <vector>

namespace quarterturn::logbook {

/// What many checks in a row have alike.
struct Common {
  std::string_view station_version, verdict, test;
  bool unknown = false;  ///< the ± holds for measuring alone
  bool provisional = false;
  bool operator==(const Common&) const = default;
};
inline constexpr Common kNothingCommon;

/// Of the latest version of a check, as in KeptResult. The text lives as long as the table.
struct ResultRow {
  std::string_view id, recorded;
  const Common* common = &kNothingCommon;
  std::int64_t order_utc = 0;  ///< files::order_utc of it
  std::int64_t came_in = 0;    ///< the version, counted over all checks as they came into the log
  double eta = 0, u = 0;
  double dof = std::numeric_limits<double>::infinity();
  int number = 0;

  /// `2026-03-14`
  [[nodiscard]] std::string_view day() const { return {day_.data(), day_size_}; }
  void set_day(std::string_view date);

 private:
  std::array<char, 10> day_;
  std::uint8_t day_size_ = 0;
};

class ResultTable {
 public:
  std::vector<ResultRow> rows;  ///< in the order of their numbers

  /// A copy that lives with the table; of what `like` holds already that one.
  std::string_view keep(std::string_view text, std::string_view like = {});
  /// The same.
  const Common* keep(const Common& one);

 private:
  std::vector<std::unique_ptr<char[]>> blocks_;
  std::size_t left_ = 0;  ///< free in the last of them
  std::deque<Common> common_;
};

}  // namespace quarterturn::logbook
