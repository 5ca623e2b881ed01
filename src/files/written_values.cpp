// SPDX-License-Identifier: MIT
#include "files/written_values.hpp"

#include "files/caliper_classes.hpp"
#include "files/csv.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::Length;
using units::Unit;

namespace {

constexpr std::size_t kMostInchDigits = 9;  // more, and the length was not stated in inches

bool same(const check::Caliper& a, const check::Caliper& b) {
  return a.resolution_mm == b.resolution_mm && a.repeatability_mm == b.repeatability_mm &&
         a.reliability == b.reliability && a.reach_mm == b.reach_mm;
}

}  // namespace

std::string lengths_text(const std::vector<double>& lengths_mm, Unit unit, const char* between) {
  std::string bare;
  std::string metric;
  bool all_bare = true;
  for (const double mm : lengths_mm) {
    if (!metric.empty()) {
      bare += between;
      metric += between;
    }
    metric += units::shortest(mm) + (unit == Unit::mm ? "" : " mm");
    if (unit == Unit::mm) continue;
    const auto inches = units::fewest_digits(mm / units::kMmPerInch,
                                             [&](double x) { return Length::from_inch(x).mm() == mm; });
    const std::string digits = inches ? units::shortest(*inches) : std::string(kMostInchDigits + 1, '0');
    all_bare = all_bare && digits.size() <= kMostInchDigits;
    bare += digits;
  }
  return unit == Unit::inch && all_bare ? bare : metric;
}

std::string caliper_text(const check::Caliper& caliper) {
  for (const CaliperClass& known : caliper_classes()) {
    if (known.caliper.name == caliper.name && same(known.caliper, caliper)) return caliper.name;
  }
  std::string out = "resolution " + units::shortest(caliper.resolution_mm) + " mm";
  if (caliper.repeatability_mm > 0)
    out += ", repeatability " + units::shortest(caliper.repeatability_mm) + " mm";
  return out + ", reliability " + units::shortest(caliper.reliability) + ", reach " +
         units::shortest(caliper.reach_mm) + " mm";
}

void put_key(std::string& out, const char* key, const std::string& value) {
  if (value.empty()) return;
  const std::string line = "# " + std::string(key) + ": " + value;
  const bool padded = std::string_view(",;\t ").find(line.back()) != std::string_view::npos;
  out += padded || line.find_first_of("\r\n") != std::string::npos ? csv_cell(line) : line;
  out += '\n';
}

}  // namespace quarterturn::files
