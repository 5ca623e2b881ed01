// SPDX-License-Identifier: MIT
/// What each kind of reading is asked for by: its places, how many, its limits, and what is doubtful.
#include <fmt/format.h>

#include <utility>
#include <vector>

#include "check/misfit.hpp"
#include "cli/prompt_readings.hpp"
#include "report/gap_test_words.hpp"

namespace quarterturn::cli {
namespace {

// What is doubtful is common practice, no source: of a gap two of the usual steps between leaves, and a whole
// set of them.
const ReadingsAsked kStripWidths{{{"F end", true}, {"free end", true}, {"middle", false}},
                                 3,
                                 3,
                                 "a strip's width",
                                 "the strip's width there",
                                 "strip",
                                 0.5,
                                 2000,
                                 0.10,
                                 3.0,
                                 check::kOffLineMm,
                                 "22.74",
                                 "0.895",
                                 "width"};

ReadingsAsked gaps(report::GapTestShown::Kind kind) {
  std::vector<ReadingPlace> places;
  for (const auto& place : report::gap_places(kind)) places.push_back({place.name, place.needed});
  return {std::move(places),
          1,
          9,
          "a gap",
          "the gap there, 0 where it is closed",
          "test",
          0,
          20,
          0.10,
          1.0,
          0,
          "0.15",
          "0.006",
          "gap"};
}

}  // namespace

const ReadingsAsked& strip_widths() {
  return kStripWidths;
}

ReadingsAsked widths_of_strips(int strips) {
  ReadingsAsked asked = kStripWidths;
  asked.places.clear();
  for (int from = 1; from <= strips; ++from) {
    for (const auto& place : kStripWidths.places)
      asked.places.push_back({fmt::format("strip {}-{} {}", from, from + 4, place.name), place.needed});
  }
  return asked;
}

const ReadingsAsked& joint_gaps() {
  static const auto asked = gaps(report::GapTestShown::Kind::pair);
  return asked;
}

const ReadingsAsked& ring_gaps() {
  static const auto asked = gaps(report::GapTestShown::Kind::frame);
  return asked;
}

const ReadingsAsked& rail_gaps() {
  static const auto asked = gaps(report::GapTestShown::Kind::rail);
  return asked;
}

}  // namespace quarterturn::cli
