// SPDX-License-Identifier: MIT
#include "files/caliper_classes.hpp"

#include <stdexcept>

#include "files/csv.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/number.hpp"

namespace quarterturn::files {

extern const char* const kCalipersCsv;  // data/calipers.csv, compiled in

namespace {

constexpr std::size_t kColumns = 6;

std::vector<CaliperClass> parse() {
  const Table table = read_table(text_of(kCalipersCsv, "data/calipers.csv"));
  std::vector<CaliperClass> classes;
  for (const Row& row : table.rows) {
    if (row.cells.size() != kColumns)
      throw std::logic_error("data/calipers.csv: a row does not have six cells");
    const auto number = [&](std::size_t i) {
      return units::parse_number(row.cells[i].text, table.names.cells[i].text).value;
    };
    classes.push_back({{row.cells[0].text, number(1), number(2), number(3), number(4)}, row.cells[5].text});
  }
  return classes;
}

}  // namespace

const std::vector<CaliperClass>& caliper_classes() {
  static const std::vector<CaliperClass> classes = parse();
  return classes;
}

check::Caliper caliper_of_class(const std::string& name) {
  std::vector<std::string> names;
  for (const CaliperClass& known : caliper_classes()) {
    if (known.caliper.name == name) return known.caliper;
    names.push_back(known.caliper.name);
  }
  throw units::InputError("caliper", name, units::one_of(units::by_nearness(name, names)), {},
                          "or state it: resolution 0.01, repeatability 0.012, reliability 0.25");
}

}  // namespace quarterturn::files
