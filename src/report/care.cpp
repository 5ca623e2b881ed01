// SPDX-License-Identifier: MIT
#include "report/care.hpp"

namespace quarterturn::report {

const char* strip_width_words(units::Unit unit) {
  return unit == units::Unit::inch ? "3/4 to 1 1/4 in" : "20-30 mm";
}
const char* from_ends_words(units::Unit unit) {
  return unit == units::Unit::inch ? "3/4 in" : "20 mm";
}
const char* least_panel_words(units::Unit unit) {
  return unit == units::Unit::inch ? "12 in" : "300 mm";
}

std::vector<std::string> care_lines(units::Unit unit) {
  return {"Cuts are made with a power saw: its maker's manual and local rules on guarding come first.",
          kUnplug,
          std::string("Narrow offcuts can bind or be thrown: strips ") + strip_width_words(unit) +
              ", supported, never reach over.",
          std::string("Stop at the smallest panel that can be held safely, about ") +
              least_panel_words(unit) + "; shorter pieces are clamped, not held by hand.",
          "Unplug the saw too before pieces are fitted at the fence.",
          "Mitre points, fresh edges and feeler leaves are sharp: hold leaves by their case.",
          "Eye and hearing protection; dust extraction.",
          kCertifiesNothing};
}

}  // namespace quarterturn::report
