// SPDX-License-Identifier: MIT
/// \file survey_teller.hpp
/// The parts of the text of a survey; each empty where there is nothing to say.
#pragma once

#include <string>

#include "report/survey_report.hpp"

namespace quarterturn::report {

class SurveyTeller {
 public:
  SurveyTeller(const survey::Result& result, const TextOptions& options) : r_(result), options_(options) {}

  [[nodiscard]] std::string answer() const;
  [[nodiscard]] std::string setups() const;
  [[nodiscard]] std::string misfits() const;
  [[nodiscard]] std::string against() const;
  [[nodiscard]] std::string pairs() const;
  [[nodiscard]] std::string next() const;
  [[nodiscard]] std::string whole() const;  ///< pitch, rows and columns
  [[nodiscard]] std::string map() const;    ///< with its legend, and the displaced holes
  [[nodiscard]] std::string basis() const;

 private:
  [[nodiscard]] double confidence() const;
  [[nodiscard]] std::string over() const;
  /// Of an angle, without its sign, over the person's panel.
  [[nodiscard]] std::string amount(double rad, double half_rad) const;
  [[nodiscard]] std::string allowed() const;
  [[nodiscard]] std::string half(double u_rad) const;
  [[nodiscard]] std::string why_no_shear(const survey::Undetermined& why) const;
  [[nodiscard]] std::string pitch(std::size_t effect) const;
  [[nodiscard]] std::string scatter() const;
  [[nodiscard]] std::string dogs() const;

  const survey::Result& r_;
  const TextOptions& options_;
};

}  // namespace quarterturn::report
