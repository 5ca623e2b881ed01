// SPDX-License-Identifier: MIT
/// \file check.hpp
/// One check: the readings and circumstances of one test. Holds no results.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "units/number.hpp"
#include "units/tolerance.hpp"

namespace quarterturn::check {

enum class TestKind { five_cut, four_cut, progressive };

/// One caliper reading.
struct Reading {
  double mm = 0;
  double step_mm = 0.01;  ///< step of the last digit as typed, in mm
  std::string as_typed;
  int line = 0, column = 0;  ///< where it stood in its file; 0 typed
  std::string note;
};

/// All readings at one distance from the strip's fence end.
struct Spot {
  double position_mm = 0;
  std::vector<Reading> readings;
};

/// The offcut between edge `from_cut` and edge `to_cut` of one panel.
struct Strip {
  int panel = 1;
  int from_cut = 1, to_cut = 5;
  std::vector<Spot> spots;  ///< by position, each position once
};

inline constexpr double kMostPositionMm = 10'000;  ///< of a place on a strip, from its fence end

/// Mean of the readings [mm]. \param readings  not empty
double mean_mm(const std::vector<Reading>& readings);

/// What is stated of a caliper.
struct Caliper {
  std::string name;
  double resolution_mm = 0.01;
  double repeatability_mm = 0;  ///< standard deviation of one reading; 0 = not stated
  double reliability =
      0.25;  ///< relative standard uncertainty of that figure: dof = 1/2 reliability^-2 (GUM G.3)
  double reach_mm = 150;
  [[nodiscard]] double dof() const { return 0.5 / (reliability * reliability); }
};

struct PanelSize {
  double width_mm = 0, depth_mm = 0;
  std::optional<double> thickness_mm;
};

struct Check {
  std::string id, station, setup;
  std::string date;      ///< ISO 8601 as given, or empty
  std::string measured;  ///< when measured on another day than cut
  TestKind test = TestKind::five_cut;
  std::string by, rail, caliper_id, blade, note;
  units::Unit unit = units::Unit::mm;
  std::optional<Caliper> caliper;
  std::optional<units::Tolerance> tolerance;
  std::optional<PanelSize> panel_size;
  std::vector<Strip> strips;
  std::string source;  ///< file name for messages, or empty
};

/// One row a kind of test; a new kind is one row here (M7).
struct TestRow {
  TestKind kind;
  const char* word;      ///< as written in files
  int turns;             ///< corners a strip sums
  int first_cut;         ///< lowest from_cut; a four-cut starts from the trusted edge 0
  bool successive;       ///< strips may follow one another on one panel
  const char* sentence;  ///< what a person does
};
const TestRow& test_row(TestKind kind);
/// nullptr when there is no such kind
const TestRow* find_test(const std::string& word);

/// Holds a check to the rules of its test: cut pairs four turns apart and in order, two spots or more a
/// strip, widths 0.5 to 2000 mm, positions 0 to 10 m, strips given once. \throws units::InputError
void validate(const Check& check);

}  // namespace quarterturn::check
