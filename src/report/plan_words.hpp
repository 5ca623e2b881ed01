// SPDX-License-Identifier: MIT
/// \file plan_words.hpp
/// The pieces that both reports of `plan` share.
#pragma once

#include <string>
#include <vector>

#include "report/check_report.hpp"

namespace quarterturn::report {

/// `4 of 5 tests`
std::string out_of_words(double chance);
/// ` over 600 mm`
std::string over_length_words(double over_mm, units::Unit unit);

/// `0.05 mm`: a half-width as half_width_text has it, without its sign.
std::string half_width_amount(double half_width_mm, units::Unit unit);

/// One line a design: the first cell to the left, the others to the right; sentences where there is no room
/// for columns, or nobody to see them.
struct TableLine {
  std::vector<std::string> cells;
  std::string sentence;  ///< the same in words
};
/// \param head  names of the columns
std::string table_text(const std::vector<std::string>& head, const std::vector<TableLine>& lines,
                       const TextOptions& options);

inline constexpr const char* kPlanCare =
    "Care: strips 20-30 mm wide, supported; the saw maker's manual comes first.\n";

}  // namespace quarterturn::report
