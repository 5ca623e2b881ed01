// SPDX-License-Identifier: MIT
// The contrast of colours as WCAG 2 defines it: relative luminance of sRGB, (L1 + 0.05)/(L2 + 0.05).
#include "report/palette.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <string_view>

#include "support/near.hpp"

using namespace quarterturn;
using report::Colour;

namespace {

double luminance(std::string_view hex) {
  const auto channel = [&](std::size_t at) {
    const double c = std::stoi(std::string(hex.substr(at, 2)), nullptr, 16) / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

double contrast(std::string_view a, std::string_view b) {
  const double one = luminance(a), two = luminance(b);
  return (std::fmax(one, two) + 0.05) / (std::fmin(one, two) + 0.05);
}

double least(const Colour& a, const Colour& b) {
  return std::fmin(contrast(a.light.view(), b.light.view()), contrast(a.dark.view(), b.dark.view()));
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("the measure of contrast itself") {
    CHECK(test::near(contrast("#000000", "#ffffff"), 21, 1e-12, 0));
    CHECK(test::near(contrast("#777777", "#ffffff"), 4.48, 0, 0.005));  // the well-known grey that just fails
  }

  TEST_CASE("texts reach 4.5 on all they stand on, marks 3") {
    using namespace report;
    for (const auto& text : {kInk, kQuiet}) {
      for (const auto& ground : {kPaper, kSheet, kZone, kBand, kWood}) CHECK(least(text, ground) >= 4.5);
    }
    CHECK(least(kInk, kSteel) >= 4.5);
    for (const auto& text : {kWarm, kGreen, kOchre, kBlue}) CHECK(least(text, kPaper) >= 4.5);
    for (const auto& mark : {kBlue, kGreen, kWarm, kInk}) {
      for (const auto& ground : {kPaper, kZone, kBand, kWood}) CHECK(least(mark, ground) >= 3);
    }
    CHECK(least(kRule, kPaper) >= 3);
  }
}
