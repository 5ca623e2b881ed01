// SPDX-License-Identifier: MIT
/// Fuzz target: numbers and other small things that a person types. The first byte chooses which.
#include <cctype>
#include <cstdint>
#include <cstdlib>
#include <functional>
#include <string>

#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "files/spoken_date.hpp"
#include "fuzz/support/hold.hpp"
#include "station/hole.hpp"
#include "units/number.hpp"
#include "units/text.hpp"
#include "units/tolerance.hpp"

using namespace quarterturn;
using fuzz::hold;

namespace {

/// Digits with a point, as the C library reads them too.
bool is_plain_decimal(std::string_view text) {
  if (text.starts_with('-') || text.starts_with('+')) text.remove_prefix(1);
  const auto digits = [&] {
    std::size_t n = 0;
    while (!text.empty() && text[0] >= '0' && text[0] <= '9') {
      text.remove_prefix(1);
      ++n;
    }
    return n;
  };
  if (digits() == 0) return false;
  if (text.empty()) return true;
  if (text[0] != '.') return false;
  text.remove_prefix(1);
  return digits() > 0 && text.empty();
}

void number(const std::string& text, bool comma) {
  const units::Number read = units::parse_number(text, "number", comma);
  hold(std::isfinite(read.value), "a number is finite");
  hold(std::isfinite(read.digits_step) && read.digits_step > 0, "the step of its digits is above 0");
  hold(read.as_typed == units::trimmed(text), "it is kept as it was typed");
  const units::Number again = units::parse_number(read.as_typed, "number", comma);
  hold(again.value == read.value && again.unit == read.unit && again.digits_step == read.digits_step,
       "what was kept reads as the same");
  if (is_plain_decimal(read.as_typed))
    hold(read.value == std::strtod(read.as_typed.c_str(), nullptr),
         "digits read as the C library reads them");
  const std::string digits = units::shortest(read.value);
  hold(std::strtod(digits.c_str(), nullptr) == read.value, "the shortest digits read back");
  const double mm = read.length(units::Unit::mm).mm(), inch = read.length(units::Unit::inch).mm();
  hold(std::isfinite(mm) && std::isfinite(inch), "a length is finite");
  hold(read.unit ? mm == inch : inch == read.value * units::kMmPerInch, "a bare number takes the unit");
}

void several(const std::string& line) {
  const auto pieces = units::split_numbers(line);
  std::size_t behind = 0;  // what stood before is in a piece, or parts them
  const auto parts_only = [&](std::string_view between) {
    while (!between.empty()) {
      const std::size_t n = units::blank_length(between);
      const bool mark = between[0] == ',' || between[0] == ';' || between[0] == '\n' || between[0] == '\r';
      hold(n > 0 || mark, "nothing of a line is lost");
      between.remove_prefix(n > 0 ? n : 1);
    }
  };
  for (const auto& piece : pieces) {
    hold(!piece.text.empty(), "a part is not empty");
    const auto at = static_cast<std::size_t>(piece.text.data() - line.data());
    hold(at >= behind && at + piece.text.size() <= line.size(), "parts follow one another");
    parts_only(std::string_view(line).substr(behind, at - behind));
    hold(piece.offset == units::characters(std::string_view(line).substr(0, at)), "a part has its column");
    behind = at + piece.text.size();
  }
  parts_only(std::string_view(line).substr(behind));
}

void tolerance(const std::string& text, units::Unit unit) {
  const auto read = units::parse_tolerance(text, unit);
  hold(read.angle.rad() > 0 && read.angle.deg() <= 1 + 1e-9, "a tolerance is above 0 and at most a degree");
  hold(read.offset.has_value() == read.over.has_value(), "mm over mm, or neither");
  if (read.offset) {
    const auto again = units::Tolerance::from_mm_over(*read.offset, *read.over);
    hold(again.angle == read.angle, "what was stated gives the same angle");
  } else {
    hold(units::Tolerance::from_deg(units::stated_deg(read.angle)).angle == read.angle,
         "the degrees that were stated give the same angle");
  }
}

void date(const std::string& text) {
  const auto read = files::parse_date(text, "date");
  hold(files::day_text(read.day * 86400) == read.as_typed.substr(0, 10), "a day is the day as written");
  // Clocks on earth are at most 14 hours off, and an offset has less than a day.
  hold(std::llabs(read.utc_second - read.day * 86400) < 2 * 86400, "a moment is of its day");
  hold(files::parse_date(files::moment_text(read.utc_second), "date").utc_second == read.utc_second,
       "a moment that is written reads as the same");
}

void spoken(const std::string& text) {
  constexpr std::int64_t kNow = 1773484800;  // 2026-03-14
  const auto read = files::parse_spoken_date(text, "date", kNow, kNow / 86400);
  // Elsewhere the next day may have begun already.
  hold(read.first <= read.last && read.first <= kNow / 86400 + 1, "a stretch of days begins in the past");
  hold(files::parse_date(files::iso_day(read.middle()), "date").day == read.middle(), "a day is written");
  fuzz::hold_text(read.about, 100, "a stretch of days");
}

void caliper(const std::string& text, units::Unit unit) {
  const auto read = files::parse_caliper(text, unit);
  hold(std::isfinite(read.resolution_mm) && read.resolution_mm > 0, "a resolution is above 0");
  hold(std::isfinite(read.repeatability_mm) && read.repeatability_mm >= 0, "a repeatability is not negative");
  hold(std::isfinite(read.dof()) && read.dof() > 0, "it has degrees of freedom");
  hold(std::isfinite(read.reach_mm) && read.reach_mm > 0, "it reaches somewhere");
}

void panel(const std::string& text, units::Unit unit) {
  const auto read = files::parse_panel_size(text, unit);
  hold(std::isfinite(read.width_mm) && read.width_mm > 0, "a panel is wide");
  hold(std::isfinite(read.depth_mm) && read.depth_mm > 0, "a panel is deep");
  hold(!read.thickness_mm || (std::isfinite(*read.thickness_mm) && *read.thickness_mm > 0), "and thick");
}

void hole(const std::string& text) {
  const auto read = station::parse_hole(text);
  hold(station::parse_hole(read.name()) == read, "a hole's name is that hole");
}

void small_thing(unsigned which, const std::string& text) {
  const auto unit = which & 0x80 ? units::Unit::inch : units::Unit::mm;
  switch (which & 0x7F) {
    case 'n':
      return number(text, unit == units::Unit::mm);
    case 'd':
      return date(text);
    case 's':
      return spoken(text);
    case 't':
      return tolerance(text, unit);
    case 'c':
      return caliper(text, unit);
    case 'p':
      return panel(text, unit);
    case 'h':
      return hole(text);
    case 'w': {
      const int read = units::parse_whole(text, "count", -7, 4000);
      hold(read >= -7 && read <= 4000, "a whole number lies where it must");
      return;
    }
    default:
      return several(text);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string text(reinterpret_cast<const char*>(data) + 1, size - 1);
  try {
    small_thing(data[0], text);
  } catch (const units::InputError& fault) {
    fuzz::hold_fault(fault, "", text);
  }
  return 0;
}
