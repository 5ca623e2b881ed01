// SPDX-License-Identifier: MIT
#include "files/readings_cells.hpp"

#include <algorithm>

namespace quarterturn::files {

using units::InputError;
using units::Place;
using units::Unit;

namespace {

constexpr std::size_t kMostReadings = 100'000;  // of one check: a bound on time and memory

/// 1,250 is 1.25 to one half of the world and 1250 to the other.
void hold_to_one_meaning(const std::string& typed) {
  const std::size_t comma = typed.find(',');
  if (comma == std::string::npos || comma > 3 || typed[0] == '0') return;
  const std::size_t behind = std::min(typed.find_first_not_of("0123456789", comma + 1), typed.size());
  if (behind - comma - 1 != 3) return;
  std::string joined = typed;
  std::string point = typed;
  joined.erase(comma, 1);
  point[comma] = '.';
  throw InputError("position", typed, "a number with one meaning", {},
                   "this can mean " + joined + " or " + point + ": write the one you mean");
}

}  // namespace

double parse_position(std::string_view text, const check::Check& check, const Place& where) {
  const Unit unit = check.unit;
  try {
    const units::Number number = units::parse_number(text, "position");
    if (number.fraction && !number.unit && unit == Unit::mm) {
      throw InputError("position", number.as_typed, "a fraction with its unit", {},
                       "write " + number.as_typed + " in");
    }
    const double mm = number.length(unit).mm();
    if (!(mm >= 0 && mm <= check::kMostPositionMm)) {
      const check::PlaceWords words = check::place_words(check.test);
      throw InputError("position", number.as_typed, words.range, {}, words.hint);
    }
    hold_to_one_meaning(number.as_typed);
    return mm;
  } catch (const InputError& error) {
    throw error.at(where);
  }
}

void Gatherer::hold_to_one_unit(const units::Number& number, const Place& where) {
  const Unit unit = number.unit.value_or(unit_);
  if (number.fraction && !number.unit && unit_ == Unit::mm) {
    throw InputError(what_, number.as_typed, "a fraction with its unit", where,
                     "write " + number.as_typed + " in");
  }
  if (!width_unit_) {
    width_unit_ = unit;
    width_unit_line_ = where.line;
  }
  if (*width_unit_ == unit) return;
  const char* first = *width_unit_ == Unit::mm ? "mm" : "inches";
  throw InputError(what_, number.as_typed,
                   std::string("in ") + first + " like the " + what_ + " in line " +
                       std::to_string(width_unit_line_) + ": mixed units",
                   where,
                   std::string("one ") + (what_ == std::string_view("gap") ? "feeler" : "caliper") +
                       ", one unit; '# unit: in' makes bare numbers inches");
}

void Gatherer::add(const Key& key, double position_mm, std::string_view widths, Place where,
                   const std::string& note) {
  const auto [found, is_new] = place_.try_emplace({key.panel, key.from_cut, key.to_cut}, keys_.size());
  if (is_new) keys_.push_back(key);
  const std::size_t strip = found->second;
  const std::vector<units::Piece> pieces = units::split_numbers(widths);
  if (pieces.empty())
    throw InputError(
        what_, "",
        what_ == std::string_view("gap") ? "a length such as 0.15, or 0" : "a length such as 14.83", where,
        "a place that was not measured has no row");
  const int column = where.column;
  for (const units::Piece& piece : pieces) {
    where.column = column + static_cast<int>(piece.offset);
    try {
      const units::Number number = units::parse_number(piece.text, what_);
      hold_to_one_unit(number, where);
      if (raw_.size() == kMostReadings) {
        throw InputError("readings", "more than 100,000", "what a person measured in one check", where,
                         "one check a file");
      }
      raw_.push_back({strip,
                      position_mm,
                      {number.length(unit_).mm(), number.step(unit_).mm(), number.as_typed, where.line,
                       where.column, note}});
    } catch (const InputError& error) {
      throw error.at(where);
    }
  }
}

std::vector<check::Strip> Gatherer::strips() {
  const auto before = [](const Raw& a, const Raw& b) {
    return a.strip != b.strip ? a.strip < b.strip : a.position_mm < b.position_mm;
  };
  if (!std::ranges::is_sorted(raw_, before)) std::ranges::stable_sort(raw_, before);
  std::vector<check::Strip> out;
  out.reserve(keys_.size());
  for (const Key& key : keys_) out.push_back({key.panel, key.from_cut, key.to_cut, {}});
  for (Raw& raw : raw_) {
    auto& spots = out[raw.strip].spots;
    if (spots.empty() || spots.back().position_mm != raw.position_mm) spots.push_back({raw.position_mm, {}});
    spots.back().readings.push_back(std::move(raw.reading));
  }
  raw_.clear();
  return out;
}

const char* column_row(check::TestKind test) {
  switch (test) {
    case check::TestKind::turn_over:
      return "panel,position,gap";
    case check::TestKind::frame:
      return "ring,position,gap";
    case check::TestKind::rail:
      return "position,gap";
    default:
      return "panel,from_cut,to_cut,position,width";
  }
}

check::TestKind test_of(const std::vector<check::Strip>& strips) {
  const auto all = [&](int from, int to) {
    return !strips.empty() && std::ranges::all_of(strips, [&](const check::Strip& strip) {
      return strip.from_cut == from && strip.to_cut == to;
    });
  };
  if (all(1, 5)) return check::TestKind::five_cut;
  if (all(0, 4)) return check::TestKind::four_cut;
  return check::TestKind::progressive;
}

}  // namespace quarterturn::files
