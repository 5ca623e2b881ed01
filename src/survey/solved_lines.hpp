// SPDX-License-Identifier: MIT
/// \file solved_lines.hpp
/// Lines of rail and fence, each solved once, so that any two make a pair.
///
/// In       an adjustment; which columns and rows, which dogs
/// Out      turn of each line with N^-1 c; eps = rail - fence with its variance
/// Maths    METHOD.md (M112)
#pragma once

#include <vector>

#include "survey/pairs.hpp"

namespace quarterturn::survey {

/// One line with N^-1 c; a fence line comes with its sign turned.
struct SolvedLine {
  Hole first, second;
  Functional turn;
  Row row;
  std::vector<stats::Entry> scaled;
  std::vector<double> solved;
  double variance = 0, value = 0;
};

class SolvedLines {
 public:
  /// \param adjustment, options  outlive it
  SolvedLines(const Adjustment& adjustment, const PairOptions& options)
      : adjustment_(adjustment), options_(options) {}

  /// \throws units::InputError on a column or row that is none of the table
  [[nodiscard]] std::vector<SolvedLine> rails() const;
  [[nodiscard]] std::vector<SolvedLine> fences() const;
  [[nodiscard]] SolvedLine line(Hole first, Hole second, bool rail) const;

  /// eps and u of the pair, scatter taken as known.
  [[nodiscard]] PairResult pair(const SolvedLine& rail, const SolvedLine& fence) const;
  /// The same with all that a single estimate has.
  [[nodiscard]] PairResult finished(PairResult pair, const SolvedLine& rail, const SolvedLine& fence) const;
  /// Fixed effects and dogs that leave it without a number.
  [[nodiscard]] std::vector<std::string> undetermined(const SolvedLine& rail, const SolvedLine& fence) const;
  [[nodiscard]] double covariance(const SolvedLine& a, const SolvedLine& b) const;
  /// Whether two lines can stand at once, as the options want them.
  [[nodiscard]] bool fit(const SolvedLine& rail, const SolvedLine& fence) const;

 private:
  [[nodiscard]] double within(const PairResult& pair, double dof) const;
  void add(std::vector<SolvedLine>& out, Hole first, Hole second, bool rail) const;
  const Adjustment& adjustment_;
  const PairOptions& options_;
};

/// `fence` added to `rail`: eps of the pair, with its solved right-hand side.
Row joined(const Row& rail, const Row& fence);
std::vector<double> joined(const std::vector<double>& rail, const std::vector<double>& fence);

}  // namespace quarterturn::survey
