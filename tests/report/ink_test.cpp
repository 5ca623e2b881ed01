// SPDX-License-Identifier: MIT
#include "report/ink.hpp"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <utility>

#include "history/record.hpp"
#include "report/drawing.hpp"
#include "report/history_report.hpp"
#include "report/words.hpp"
#include "support/drawn.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using report::Ink;

namespace {

using Rgb = std::array<double, 3>;

/// The eight basic colours as most terminals have them to begin with, in the order of their codes; bold text
/// may be drawn brighter.
constexpr std::array<Rgb, 8> kBasic{{{0, 0, 0},
                                     {205, 0, 0},
                                     {0, 205, 0},
                                     {205, 205, 0},
                                     {0, 0, 238},
                                     {205, 0, 205},
                                     {0, 205, 205},
                                     {229, 229, 229}}};
constexpr Rgb kBlack{0, 0, 0}, kWhite{255, 255, 255};

double luminance(const Rgb& rgb) {
  const std::array<double, 3> weights{0.2126, 0.7152, 0.0722};
  double sum = 0;
  for (std::size_t i = 0; i < 3; ++i) {
    const double c = rgb[i] / 255;
    sum += weights[i] * (c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4));
  }
  return sum;
}

double contrast(const Rgb& one, const Rgb& other) {
  const double a = luminance(one), b = luminance(other);
  return (std::max(a, b) + 0.05) / (std::min(a, b) + 0.05);
}

/// Foreground and ground of a sequence such as `\x1b[30;42m`; -1: the terminal's own.
std::pair<int, int> colors_of(const std::string& code) {
  std::pair<int, int> colors{-1, -1};
  for (std::size_t at = 2; at < code.size();) {
    const int number = std::atoi(code.c_str() + at);
    if (number >= 30 && number <= 37) colors.first = number - 30;
    if (number >= 40 && number <= 47) colors.second = number - 40;
    at = code.find_first_of(";m", at) + 1;
  }
  return colors;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("ink: every one reads on a dark screen and on a light one") {
    for (const Ink ink : {Ink::within, Ink::doubt, Ink::outside, Ink::mark}) {
      const auto colors = colors_of(report::ink_code(ink));
      CAPTURE(report::ink_code(ink));
      REQUIRE(colors.first >= 0);
      const Rgb& text = kBasic[static_cast<std::size_t>(colors.first)];
      if (colors.second >= 0) {
        CHECK(contrast(text, kBasic[static_cast<std::size_t>(colors.second)]) > 4.5);
      } else {
        CHECK(contrast(text, kBlack) > 4.4);
        CHECK(contrast(text, kWhite) > 4.4);
      }
    }
    CHECK(near(contrast(kBlack, kWhite), 21, 1e-12, 0));  // WCAG 2.1: the most there is
  }

  TEST_CASE("ink: text with colour is the text without, and has none where none is wanted") {
    report::TextOptions plain, color;
    color.color = true;
    const auto tight = [] {
      auto request = station_request();
      request.tolerance = units::parse_tolerance("0.01 over 600");
      return request;
    };
    for (const auto& request : {station_request(), tight()}) {
      const auto outcome = app::run_check(request);
      for (const auto& text : {report::check_text, report::check_summary}) {
        const std::string inked = text(outcome, color, {}), bare = text(outcome, plain, {});
        CHECK(holds(inked, "\x1b["));
        CHECK_FALSE(holds(bare, "\x1b"));
        CHECK(without_color(inked) == bare);
        CHECK(count_of(inked, "\x1b[0m") * 2 == count_of(inked, "\x1b"));  // each is ended
      }
    }
  }
}
