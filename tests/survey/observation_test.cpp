// SPDX-License-Identifier: MIT
#include "survey/observation.hpp"

#include <doctest/doctest.h>

#include <functional>
#include <limits>

#include "survey/survey_bench.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using namespace quarterturn::test;
using survey::Taken;

namespace {

/// What the error says, or that there is none.
std::string fault(const Observation& observation, const station::Station& station) {
  try {
    survey::validate(station, observation, "observations[3]");
  } catch (const units::InputError& error) {
    return error.what();
  }
  return "none";
}

std::string fault_after(const std::function<void(Observation&)>& change) {
  Observation o = length_of({2, 3}, {3, 3});
  change(o);
  return fault(o, survey_table());
}

}  // namespace

TEST_SUITE("survey") {
  TEST_CASE("sound observations of every kind pass") {
    const station::Station station = survey_table();
    CHECK(fault(length_of({1, 1}, {9, 11}), station) == "none");
    CHECK(fault(length_of({1, 1}, {2, 1}, Taken::inside), station) == "none");
    CHECK(fault(length_of({1, 1}, {2, 1}, Taken::centre), station) == "none");
    CHECK(fault(survey::compare({1, 1}, {9, 11}, {9, 1}, {1, 11}, 0.2, 0.05), station) == "none");
    // two diagonals of different rectangles may share a hole
    CHECK(fault(survey::compare({1, 1}, {9, 11}, {1, 1}, {9, 11}, 0.0, 0.05), station) == "none");
    CHECK(fault(check_on(5, 2, 10, 9, 1, 4), station) == "none");
    Observation offset = length_of({5, 1}, {5, 1}, Taken::centre);
    offset.kind = survey::Kind::offset;
    offset.via = {{1, 1}, {9, 1}};
    offset.value = 0.05;
    CHECK(fault(offset, station) == "none");
  }

  TEST_CASE("a fault names the observation, the value and what it must be") {
    const std::string off = fault_after([](Observation& o) { o.to = {10, 3}; });
    CHECK(off.find("observations[3]") != std::string::npos);
    CHECK(off.find("J3") != std::string::npos);
    CHECK(off.find("a hole of the grid") != std::string::npos);
    CHECK(fault_after([](Observation& o) { o.to = o.from; }).find("B3 twice") != std::string::npos);
    CHECK(fault_after([](Observation& o) { o.u = 0; }).find("above zero") != std::string::npos);
    CHECK(fault_after([](Observation& o) {
            o.u = std::numeric_limits<double>::infinity();
          }).find("above zero") != std::string::npos);
    CHECK(fault_after([](Observation& o) { o.dog_to = ""; }).find("one dog for each") != std::string::npos);
    CHECK(fault_after([](Observation& o) { o.dog_to = o.dog_from; }).find("pin-1 twice") !=
          std::string::npos);
    CHECK(fault_after([](Observation& o) { o.dog_to = "pin-9"; }).find("a dog of the station") !=
          std::string::npos);
    CHECK(fault_after([](Observation& o) { o.dog_from = o.dog_to = ""; }).find("one dog for each") !=
          std::string::npos);
    CHECK(fault_after([](Observation& o) { o.via = {{4, 4}}; }).find("0 holes") != std::string::npos);
    // as inside of the dogs it would be 40 mm out
    CHECK(fault_after([](Observation& o) { o.taken = Taken::inside; }).find("nominal 76 mm") !=
          std::string::npos);
    CHECK(fault_after([](Observation& o) { o.value += 5.1; }).find("within 5 ") != std::string::npos);
    CHECK(fault_after([](Observation& o) { o.value += 4.9; }) == "none");
    CHECK(fault_after([](Observation& o) { o.value = std::numeric_limits<double>::quiet_NaN(); }) != "none");
  }

  TEST_CASE("a hole that was never drilled cannot be measured") {
    station::Station station = survey_table();
    station.grid.missing = {{3, 3}};
    CHECK(fault(length_of({2, 3}, {3, 3}), station).find("C3") != std::string::npos);
    CHECK(fault(length_of({2, 3}, {2, 4}), station) == "none");
  }

  TEST_CASE("a corner is held to 5 mm over its shorter baseline") {
    Observation corner = check_on(5, 2, 10, 9, 1, 4);  // 768 and 288 mm
    corner.value = 4.9 / 288;
    CHECK(fault(corner, survey_table()) == "none");
    corner.value = 5.1 / 288;
    CHECK(fault(corner, survey_table()) != "none");
  }

  TEST_CASE("checks with dogs exchanged are found, others are not taken for it") {
    const Observation plain = check_on(5, 2, 10, 9, 1, 4), elsewhere = check_on(5, 1, 10, 9, 1, 4);
    Observation other_dog = plain;
    other_dog.dog_to = "pin-1";
    const std::vector<Observation> list = {
        plain,     survey::exchanged(plain, true, false), length_of({1, 1}, {2, 1}),
        elsewhere, survey::exchanged(plain, true, true),  other_dog,
        plain};
    const std::vector<survey::Exchange> found = survey::exchanges(list);
    std::string text;
    for (const survey::Exchange& e : found) {
      text += std::to_string(e.first) + std::to_string(e.second) + (e.rail ? "r" : "") +
              (e.fence ? "f" : "") + " ";
    }
    CHECK(text == "01r 04rf 14f 16r 46rf ");
  }
}
