// SPDX-License-Identifier: MIT
#include "check/check.hpp"

#include <array>
#include <cmath>
#include <set>
#include <tuple>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::check {

namespace {

using units::InputError;
using units::Place;

constexpr std::array<TestRow, 3> kTests{{
    {TestKind::five_cut, "five-cut", 4, 1, false,
     "five cuts, the panel turned a quarter after each; keep the fifth strip"},
    {TestKind::four_cut, "four-cut", 4, 0, false,
     "four cuts from a trusted straight edge, a quarter turn after each; keep the fourth strip"},
    {TestKind::progressive, "progressive", 4, 1, true,
     "a five-cut carried on: every cut from the fifth gives another strip"},
}};

constexpr double kLeastWidthMm = 0.5, kMostWidthMm = 2000;
constexpr std::size_t kMostStrips = 100;  // a day's cutting is ten; each further one costs the fit its cube
constexpr double kMostTaper =
    0.05;  // beyond it the slope is no angle (M11), and no such strip comes off a saw
constexpr double kOneSpotMm = 0.5;  // two places closer than this tell no taper

Place place_of(const Check& check, const Reading& reading) {
  return {check.source, reading.line, reading.column};
}

Place first_place(const Check& check, const Strip& strip) {
  for (const Spot& spot : strip.spots) {
    for (const Reading& reading : spot.readings) return place_of(check, reading);
  }
  return {check.source, 0, 0};
}

std::string cuts(const Strip& strip) {
  return std::to_string(strip.from_cut) + "-" + std::to_string(strip.to_cut);
}

void validate_cuts(const Check& check, const Strip& strip) {
  const TestRow& row = test_row(check.test);
  const Place where = first_place(check, strip);
  const int apart = strip.to_cut - strip.from_cut;
  if (strip.panel < 1)
    throw InputError("panel", std::to_string(strip.panel), "1 or more", where,
                     "number the panels of one test 1, 2, 3");
  if (apart < 0) {
    throw InputError("strip", cuts(strip), "in order, the earlier cut first", where,
                     "swap from_cut and to_cut");
  }
  if (strip.from_cut < row.first_cut) {
    throw InputError("from_cut", std::to_string(strip.from_cut), "at least " + std::to_string(row.first_cut),
                     where, row.first_cut == 1 ? "cut 0 is the trusted edge of a four-cut test" : "");
  }
  if (apart != row.turns) {
    std::string hint = "a strip tells the corner only when the panel has come round once";
    if (strip.to_cut == 4 && strip.from_cut == 1) {
      hint = "that strip has a raw edge on one side: keep the strip of the fifth cut";
    }
    throw InputError("strip", cuts(strip), "between two cuts that are four turns apart, such as 1-5", where,
                     hint);
  }
  if (!row.successive && strip.from_cut != row.first_cut) {
    throw InputError("strip", cuts(strip),
                     std::to_string(row.first_cut) + "-" + std::to_string(row.first_cut + row.turns) +
                         " in a " + row.word + " test",
                     where, "a test carried on past its last cut is 'progressive'");
  }
}

/// A mean to the thousandth of a millimetre, for a message.
std::string bench_mm(double mm) {
  return units::shortest(std::round(mm * 1000) / 1000);
}

void validate_spots(const Check& check, const Strip& strip) {
  if (strip.spots.empty()) {
    throw InputError("strip " + cuts(strip), "without readings", "measured at two places or more",
                     {check.source, 0, 0}, "measure near both ends of the strip, 20 mm in");
  }
  for (const Spot& spot : strip.spots) {
    if (!(spot.position_mm >= 0 && spot.position_mm <= kMostPositionMm)) {
      const Place where =
          spot.readings.empty() ? Place{check.source, 0, 0} : place_of(check, spot.readings.front());
      throw InputError("position", units::shortest(spot.position_mm) + " mm",
                       "0 to 10 m from the strip's fence end", where,
                       "how far the place measured lies from the end that was at the fence");
    }
    if (spot.readings.empty()) {
      throw InputError("spot at " + units::shortest(spot.position_mm) + " mm", "empty",
                       "measured at least once", {check.source, 0, 0},
                       "leave the place out, or give its width");
    }
    for (const Reading& reading : spot.readings) {
      if (!(reading.mm >= kLeastWidthMm && reading.mm <= kMostWidthMm)) {
        throw InputError("width", reading.as_typed, "a strip's width, 0.5 mm to 2 m",
                         place_of(check, reading), "strips are 20 to 30 mm wide: a unit or a decimal mark?");
      }
    }
  }
  const double reach = strip.spots.back().position_mm - strip.spots.front().position_mm;
  if (strip.spots.size() < 2 || !(reach >= kOneSpotMm)) {
    throw InputError("strip " + cuts(strip), "measured at one spot only", "measured at two places or more",
                     first_place(check, strip), "measure near both ends of the strip, 20 mm in");
  }
  const double first = mean_mm(strip.spots.front().readings), last = mean_mm(strip.spots.back().readings);
  if (std::fabs(first - last) > kMostTaper * reach) {
    throw InputError("strip " + cuts(strip),
                     bench_mm(first) + " mm at one end and " + bench_mm(last) + " mm at the other",
                     "nearly as wide at both ends: less than a twentieth of the distance apart",
                     first_place(check, strip), "widths of two strips, or one of them in the other unit?");
  }
}

}  // namespace

double mean_mm(const std::vector<Reading>& readings) {
  double sum = 0;
  for (const Reading& reading : readings) sum += reading.mm;
  return sum / static_cast<double>(readings.size());
}

const TestRow& test_row(TestKind kind) {
  for (const TestRow& row : kTests) {
    if (row.kind == kind) return row;
  }
  throw std::logic_error("a kind of test without a row");
}

const TestRow* find_test(const std::string& word) {
  for (const TestRow& row : kTests) {
    if (word == row.word) return &row;
  }
  return nullptr;
}

void validate(const Check& check) {
  if (check.strips.empty()) {
    throw InputError("readings", "none", "at least one strip measured at two places", {check.source, 0, 0},
                     "one row a reading: panel, from_cut, to_cut, position, width");
  }
  if (check.strips.size() > kMostStrips) {
    throw InputError("strips", std::to_string(check.strips.size()), "at most " + std::to_string(kMostStrips),
                     {check.source, 0, 0}, "give each day's strips as a check of their own");
  }
  std::set<std::tuple<int, int, int>> seen;
  for (const Strip& strip : check.strips) {
    validate_cuts(check, strip);
    validate_spots(check, strip);
    if (!seen.insert({strip.panel, strip.from_cut, strip.to_cut}).second) {
      throw InputError("strip " + cuts(strip), "given twice", "given once a panel", first_place(check, strip),
                       "the strips of another panel carry its number");
    }
  }
}

}  // namespace quarterturn::check
