// SPDX-License-Identifier: MIT
/// \file check.hpp
/// One check: the readings and circumstances of one test. Holds no results.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "units/number.hpp"
#include "units/tolerance.hpp"

namespace quarterturn::check {

enum class TestKind { five_cut, four_cut, progressive, turn_over, frame, rail };

/// How the pieces of a gap test come about (M95)–(M97).
enum class Form {
  none,
  pair,    ///< turn-over: two kept pieces of two cuts
  halves,  ///< turn-over: kept piece and offcut of one cut; panels 1 and 2 are one board, turned end for end
  separate,  ///< frame: every mitre a cut of its own
  shared,    ///< frame: each cut makes the ends of two pieces
};

/// One reading: of a caliper, or in a gap test of a feeler.
struct Reading {
  double mm = 0;
  double step_mm = 0.01;  ///< step of the last digit as typed, in mm
  std::string as_typed;
  int line = 0, column = 0;  ///< where it stood in its file; 0 typed
  std::string note;
};

/// All readings at one distance from the fence end of a strip or joint (frame: from its outer end).
struct Spot {
  double position_mm = 0;
  std::vector<Reading> readings;
};

/// The offcut between edge `from_cut` and edge `to_cut` of one panel; in a gap test the joint of one pair or
/// ring, or the edge of the rail, its readings gaps.
struct Strip {
  int panel = 1;                 ///< in a gap test the number of the pair or ring
  int from_cut = 1, to_cut = 5;  ///< 0 in a gap test
  std::vector<Spot> spots;       ///< by position, each position once
};

inline constexpr double kMostPositionMm = 10'000;  ///< of a place on a strip, from its fence end
inline constexpr double kMostGapMm = 20;           ///< beyond it nothing is butted

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
  Form form = Form::none;    ///< of a turn-over or frame test
  int pieces = 0;            ///< of a frame
  std::string second_setup;  ///< of a frame whose other ends were cut on it; then eta is the mean of the two
  /// Of a frame: -1 where the outer edge of the pieces lies away from the fence. A matter of the setup, not
  /// of the file (M97).
  int outer_sign = 1;
  std::string by, rail, caliper_id, blade, note;
  units::Unit unit = units::Unit::mm;
  std::optional<Caliper> caliper;
  std::optional<units::Tolerance> tolerance;
  std::optional<PanelSize> panel_size;
  std::vector<Strip> strips;
  std::string source;               ///< file name for messages, or empty
  [[nodiscard]] bool gaps() const;  ///< readings are gaps, not widths
};

/// What is read in a test, and where.
enum class Measured { widths, joint_gaps, rail_gaps };

/// One row a kind of test; a new kind is one row here (M7).
struct TestRow {
  TestKind kind;
  const char* word;       ///< as written in files
  Measured measured;      ///< widths of strips, or gaps
  int turns;              ///< corners a strip sums; 0 where that is no matter of the kind alone
  int first_cut;          ///< lowest from_cut; a four-cut starts from the trusted edge 0
  bool successive;        ///< strips may follow one another on one panel
  const char* unit_word;  ///< what the readings of one number belong to: panel, pair, ring, rail
  const char* sentence;   ///< what a person does
};
std::span<const TestRow> test_rows();
const TestRow& test_row(TestKind kind);
struct FormRow {
  Form form;
  const char* word;  ///< as written in files
};
std::span<const FormRow> form_rows();
/// What a person calls one of the things whose gaps are read: pair, joint of a board, ring, rail.
const char* joint_word(const Check& check);
/// Empty for none.
const char* form_word(Form form);
std::optional<Form> find_form(const std::string& word);
/// nullptr when there is no such kind
const TestRow* find_test(const std::string& word);

/// From where places count in a test, for a message.
struct PlaceWords {
  const char* range;  ///< what a position must be
  const char* hint;
};
PlaceWords place_words(TestKind kind);

/// `strip 1-5`; in a gap test `pair 2`, `ring 1` or `rail`.
std::string strip_name(const Check& check, const Strip& strip);

/// Holds a check to the rules of its test: cut pairs four turns apart and in order, two spots or more a
/// strip, widths 0.5 to 2000 mm, positions 0 to 10 m, strips given once. Of a gap test: gaps 0 to 20 mm, a
/// form or a number of pieces where the test has one. \throws units::InputError
void validate(const Check& check);

inline constexpr int kFewestPieces = 3, kMostPieces = 24;  ///< of a frame

}  // namespace quarterturn::check
