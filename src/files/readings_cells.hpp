// SPDX-License-Identifier: MIT
/// \file readings_cells.hpp
/// What table and phone message share: the gathering of readings into strips and spots.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "check/check.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {

/// `position` in mm. \param check  its unit is that of bare numbers, its test says from where they count
/// \throws units::InputError outside 0 to 10 m
double parse_position(std::string_view text, const check::Check& check, const units::Place& where);

/// Collects readings in any order and hands them back as strips, in the order in which they first came.
class Gatherer {
 public:
  /// \param what  is read: width or gap
  Gatherer(units::Unit unit, std::string source, const char* what = "width")
      : unit_(unit), source_(std::move(source)), what_(what) {}

  struct Key {
    int panel = 1, from_cut = 1, to_cut = 5;
  };
  /// All readings of one cell. \throws units::InputError on text, on mm beside inches, on a fraction without
  /// unit
  void add(const Key& key, double position_mm, std::string_view widths, units::Place where,
           const std::string& note);
  [[nodiscard]] std::vector<check::Strip> strips();
  /// The unit of the widths added so far, typed behind them or the one of bare numbers.
  [[nodiscard]] units::Unit width_unit() const { return width_unit_.value_or(unit_); }

 private:
  struct Raw {
    std::size_t strip = 0;
    double position_mm = 0;
    check::Reading reading;
  };
  void hold_to_one_unit(const units::Number& number, const units::Place& where);

  units::Unit unit_;
  std::string source_;
  const char* what_;
  std::vector<Key> keys_;                            ///< by first appearance
  std::map<std::array<int, 3>, std::size_t> place_;  ///< panel and cuts -> where in keys_
  std::vector<Raw> raw_;
  std::optional<units::Unit> width_unit_;
  int width_unit_line_ = 0;
};

/// The columns of a table of that test, as its column row, without the note.
const char* column_row(check::TestKind test);

/// The kind of test that strips of a file without `test:` come from: all 1-5 five-cut, all 0-4 four-cut, else
/// progressive.
check::TestKind test_of(const std::vector<check::Strip>& strips);

}  // namespace quarterturn::files
