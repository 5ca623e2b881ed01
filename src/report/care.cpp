// SPDX-License-Identifier: MIT
#include "report/care.hpp"

namespace quarterturn::report {

const std::vector<std::string>& care_lines() {
  static const std::vector<std::string> lines{
      "Cuts are made with a power saw: its maker's manual and local rules on guarding come first.",
      kUnplug,
      "Narrow offcuts can bind or be thrown: strips 20-30 mm, supported, never reach over.",
      "Stop at the smallest panel that can be held safely, about 300 mm; shorter pieces are clamped, not "
      "held "
      "by hand.",
      "Unplug the saw too before pieces are fitted at the fence.",
      "Mitre points, fresh edges and feeler leaves are sharp: hold leaves by their case.",
      "Eye and hearing protection; dust extraction.",
      kCertifiesNothing};
  return lines;
}

}  // namespace quarterturn::report
