// SPDX-License-Identifier: MIT
/// \file log_builder.hpp
/// Makes the few numbers of log_terms.hpp out of earlier checks.
///
/// In       GroupData of each earlier check, its residual sum of squares [mm^2]
/// Out      LogTerms
/// Maths    METHOD.md (M18)
/// Assumes  the branch of (M16) has been chosen
/// Accuracy 1e-9 against the checks one by one (tests/check/log_terms_test.cpp)
#pragma once

#include <map>
#include <span>
#include <utility>
#include <vector>

#include "check/log_terms.hpp"

namespace quarterturn::check {

/// Takes earlier checks one by one.
class LogBuilder {
 public:
  /// \param seating  its tapers tell how panels seat (M18); else only readings and residuals count
  void add(const GroupData& group, double ss_line, bool seating);
  LogTerms finish();

 private:
  struct Design {
    std::vector<double> to_contrasts;  ///< (strips - 1) x strips, row-major
    std::vector<double> ratio;         ///< of each contrast [rad^2/mm^2 over that of a spot mean]
  };
  struct Unequal {
    std::vector<GroupData> first;  ///< the checks themselves, while they are few
    std::vector<double> basis;  ///< of what the likelihood sees of the widths: spots x rank, column by column
    std::vector<double> products;  ///< rank x rank
    double checks = 0;
  };
  std::size_t class_of(double share, double fixed);
  const Design& design_of(const GroupData& group, std::span<const double> sxx);
  void add_tapers(const GroupData& group, std::span<const double> sxx, std::size_t line_class);
  void add_skew(const GroupData& group, bool seating);
  void add_unequal(const GroupData& group, bool seating);

  LogTerms terms_;
  std::map<std::vector<double>, Design> designs_;
  std::map<std::pair<const Design*, std::size_t>, std::size_t> first_term_;
  std::map<std::pair<const Design*, std::vector<double>>, std::size_t> first_skew_;
  std::map<std::vector<double>, Unequal> unequal_;
};

}  // namespace quarterturn::check
