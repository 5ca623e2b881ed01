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

constexpr std::array<TestRow, 6> kTests{{
    {TestKind::five_cut, "five-cut", Measured::widths, 4, 1, false, "panel",
     "five cuts, the panel turned a quarter after each; keep the fifth strip"},
    {TestKind::four_cut, "four-cut", Measured::widths, 4, 0, false, "panel",
     "four cuts from a trusted straight edge, a quarter turn after each; keep the fourth strip"},
    {TestKind::progressive, "progressive", Measured::widths, 4, 1, true, "panel",
     "a five-cut carried on: every cut from the fifth gives another strip"},
    {TestKind::turn_over, "turn-over", Measured::joint_gaps, 2, 0, false, "pair",
     "two pieces, one turned over, their fresh edges butted: the gap shows the corner twice"},
    {TestKind::frame, "frame", Measured::joint_gaps, 0, 0, false, "ring",
     "pieces mitred at both ends, closed to a ring: the gap at the last joint shows every mitre"},
    {TestKind::rail, "rail", Measured::rail_gaps, 0, 0, false, "rail",
     "a knife line along the rail, the rail turned end for end: the gap shows its bow twice"},
}};

constexpr std::array<FormRow, 4> kForms{
    {{Form::pair, "pair"}, {Form::halves, "halves"}, {Form::separate, "separate"}, {Form::shared, "shared"}}};

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
  if (check.gaps()) {
    if (strip.panel < 1)
      throw InputError(row.unit_word, std::to_string(strip.panel), "1 or more", where,
                       "number them 1, 2, 3 in the order they were made");
    return;
  }
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

void validate_reading(const Check& check, const Reading& reading) {
  if (check.gaps()) {
    if (reading.mm >= 0 && reading.mm <= kMostGapMm) return;
    const bool rail = check.test == TestKind::rail;
    throw InputError(
        "gap", reading.as_typed,
        rail ? "0 where the edge meets the line, to 20 mm" : "0 where the joint is closed, to 20 mm",
        place_of(check, reading),
        reading.mm > 0 ? "the thickest feeler that enters: a unit or a decimal mark?"
        : rail         ? "the thickest feeler that enters; where the edge meets the line it is 0"
                       : "the thickest feeler that enters; where the pieces touch it is 0");
  }
  if (reading.mm >= kLeastWidthMm && reading.mm <= kMostWidthMm) return;
  throw InputError("width", reading.as_typed, "a strip's width, 0.5 mm to 2 m", place_of(check, reading),
                   "strips are 20 to 30 mm wide: a unit or a decimal mark?");
}

const char* where_to_read(const Check& check) {
  if (check.test == TestKind::rail) return "read the gap near both ends of the rail and half way";
  return check.gaps() ? "read the gap near both ends of the joint, 20 mm in"
                      : "measure near both ends of the strip, 20 mm in";
}

void validate_spots(const Check& check, const Strip& strip) {
  const std::string name = strip_name(check, strip);
  const char* const where_to = where_to_read(check);
  if (strip.spots.empty()) {
    throw InputError(name, "without readings", "measured at two places or more", {check.source, 0, 0},
                     where_to);
  }
  for (const Spot& spot : strip.spots) {
    if (!(spot.position_mm >= 0 && spot.position_mm <= kMostPositionMm)) {
      const Place where =
          spot.readings.empty() ? Place{check.source, 0, 0} : place_of(check, spot.readings.front());
      const PlaceWords words = place_words(check.test);
      throw InputError("position", units::shortest(spot.position_mm) + " mm", words.range, where, words.hint);
    }
    if (spot.readings.empty()) {
      throw InputError("spot at " + units::shortest(spot.position_mm) + " mm", "empty",
                       "measured at least once", {check.source, 0, 0},
                       std::string("leave the place out, or give its ") + (check.gaps() ? "gap" : "width"));
    }
    for (const Reading& reading : spot.readings) validate_reading(check, reading);
  }
  const double reach = strip.spots.back().position_mm - strip.spots.front().position_mm;
  if (strip.spots.size() < 2 || !(reach >= kOneSpotMm)) {
    throw InputError(name, "measured at one spot only", "measured at two places or more",
                     first_place(check, strip), where_to);
  }
  const double first = mean_mm(strip.spots.front().readings), last = mean_mm(strip.spots.back().readings);
  if (std::fabs(first - last) > kMostTaper * reach) {
    throw InputError(name, bench_mm(first) + " mm at one end and " + bench_mm(last) + " mm at the other",
                     "nearly as wide at both ends: less than a twentieth of the distance apart",
                     first_place(check, strip),
                     check.gaps() ? "one of them in the other unit?"
                                  : "widths of two strips, or one of them in the other unit?");
  }
}

[[noreturn]] void refuse_extra(const Check& check, const char* what, const std::string& value,
                               TestKind belongs_to) {
  throw InputError(what, value, std::string("left out in a ") + test_row(check.test).word + " test",
                   {check.source, 0, 0},
                   std::string("it belongs to a ") + test_row(belongs_to).word + " test; take the line out");
}

/// A turn-over has a form, a frame its form and its pieces; nothing else has either.
void validate_form(const Check& check) {
  const bool turn_over = check.test == TestKind::turn_over, frame = check.test == TestKind::frame;
  const bool pieces_apart = check.form == Form::pair || check.form == Form::halves;
  const Place where{check.source, 0, 0};
  const std::string form = check.form == Form::none ? std::string(units::kMissing) : form_word(check.form);
  if (turn_over && !pieces_apart) {
    throw InputError(
        "form", form, "pair or halves in a turn-over test", where,
        "'# form: pair' for two kept pieces of two cuts, '# form: halves' for kept piece and offcut "
        "of one cut");
  }
  if (frame && pieces_apart) {
    throw InputError("form", form, "separate or shared in a frame test", where,
                     "separate: every mitre a cut of its own; shared: one cut makes the ends of two pieces");
  }
  if (!turn_over && !frame && check.form != Form::none)
    refuse_extra(check, "form", form, pieces_apart ? TestKind::turn_over : TestKind::frame);
  if (frame && (check.pieces < kFewestPieces || check.pieces > kMostPieces)) {
    throw InputError("pieces",
                     check.pieces == 0 ? std::string(units::kMissing) : std::to_string(check.pieces),
                     "3 to 24 in a frame test", where, "how many pieces the ring has: '# pieces: 4'");
  }
  if (!frame && !check.second_setup.empty())
    throw InputError("second-setup", check.second_setup, "given with a frame test only", where,
                     "take the line out");
  if (frame && !check.second_setup.empty() && check.form == Form::shared)
    throw InputError("form", "shared", "separate where two setups cut the ends", where, "take one line out");
  if (!frame && check.pieces != 0)
    refuse_extra(check, "pieces", std::to_string(check.pieces), TestKind::frame);
}

}  // namespace

PlaceWords place_words(TestKind kind) {
  constexpr const char* kFromFence = "how far the place measured lies from the end that was at the fence";
  switch (kind) {
    case TestKind::turn_over:
      return {"0 to 10 m from the joint's fence end", kFromFence};
    case TestKind::frame:
      return {"0 to 10 m from the joint's outer end",
              "how far the place measured lies from the ring's outside"};
    case TestKind::rail:
      return {"0 to 10 m along the rail", "how far the place measured lies from the end that you begin at"};
    default:
      return {"0 to 10 m from the strip's fence end", kFromFence};
  }
}

const char* joint_word(const Check& check) {
  return check.form == Form::halves ? "joint" : test_row(check.test).unit_word;
}

std::string strip_name(const Check& check, const Strip& strip) {
  if (!check.gaps()) return "strip " + std::to_string(strip.from_cut) + "-" + std::to_string(strip.to_cut);
  const char* const word = joint_word(check);
  return check.test == TestKind::rail ? word : word + (" " + std::to_string(strip.panel));
}

double mean_mm(const std::vector<Reading>& readings) {
  double sum = 0;
  for (const Reading& reading : readings) sum += reading.mm;
  return sum / static_cast<double>(readings.size());
}

bool Check::gaps() const {
  return test_row(test).measured != Measured::widths;
}

std::span<const TestRow> test_rows() {
  return kTests;
}

const TestRow& test_row(TestKind kind) {
  for (const TestRow& row : kTests) {
    if (row.kind == kind) return row;
  }
  throw std::logic_error("a kind of test without a row");
}

std::span<const FormRow> form_rows() {
  return kForms;
}

const char* form_word(Form form) {
  for (const FormRow& row : kForms) {
    if (row.form == form) return row.word;
  }
  return "";
}

std::optional<Form> find_form(const std::string& word) {
  for (const FormRow& row : kForms) {
    if (word == row.word) return row.form;
  }
  return std::nullopt;
}

const TestRow* find_test(const std::string& word) {
  for (const TestRow& row : kTests) {
    if (word == row.word) return &row;
  }
  return nullptr;
}

void validate(const Check& check) {
  if (check.strips.empty()) {
    throw InputError("readings", "none",
                     check.gaps() ? "at least one joint, its gap read at two places"
                                  : "at least one strip measured at two places",
                     {check.source, 0, 0},
                     check.gaps() ? "one row a reading, its place and its gap"
                                  : "one row a reading: panel, from_cut, to_cut, position, width");
  }
  validate_form(check);
  if (check.strips.size() > kMostStrips) {
    throw InputError("strips", std::to_string(check.strips.size()), "at most " + std::to_string(kMostStrips),
                     {check.source, 0, 0}, "give each day's strips as a check of their own");
  }
  std::set<std::tuple<int, int, int>> seen;
  for (const Strip& strip : check.strips) {
    validate_cuts(check, strip);
    validate_spots(check, strip);
    if (!seen.insert({strip.panel, strip.from_cut, strip.to_cut}).second) {
      const bool gaps = check.gaps();
      throw InputError(strip_name(check, strip), "given twice", gaps ? "given once" : "given once a panel",
                       first_place(check, strip),
                       gaps ? "the next pair or ring carries the next number"
                            : "the strips of another panel carry its number");
    }
  }
}

}  // namespace quarterturn::check
