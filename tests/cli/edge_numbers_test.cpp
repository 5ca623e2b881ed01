// SPDX-License-Identifier: MIT
// Numbers at the edge, through the whole program: what comes out is finite, or it is refused; what is no
// number gets in by no way.
#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "files/station_file.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"

using namespace quarterturn;
using test::Home;
using test::near;
using test::run_program;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

Words check_of(const std::string& fence_end, const std::string& free_end, const std::string& apart) {
  return {
      "check",     "--fence-end", fence_end,         "--free-end", free_end,      "--apart",        apart,
      "--keep",    "left",        "--panel-side",    "before",     "--json",      "--rail-on-face", "right",
      "--caliper", "digital",     "--rail-baseline", "768",        "--tolerance", "0.10 over 600"};
}

Words with(Words words, const std::string& option, const std::string& value) {
  for (std::size_t i = 0; i + 1 < words.size(); ++i) {
    if (words[i] == option) {
      words[i + 1] = value;
      return words;
    }
  }
  words.push_back(option);
  words.push_back(value);
  return words;
}

/// JSON has no NaN: the writer makes null of it. So nulls stand only where the format has them.
void finite(const Json& value, const std::string& at) {
  if (value.is_structured()) {
    for (const auto& [key, part] : value.items()) finite(part, at + "/" + key);
    return;
  }
  CAPTURE(at);
  CHECK((!value.is_null() || at.ends_with("/dof")));
  if (value.is_number()) CHECK(std::isfinite(value.get<double>()));
}

const Words kNoNumbers{"nan", "NaN", "-nan", "inf", "-inf", "Infinity", "1e999", "1e400", "0x10"};

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE(
      "edge: readings all alike, one apart by a millimetre, strips of 1 mm and 10 m: finite or refused") {
    const Home home;
    int computed = 0, refused = 0;
    std::string hundred;
    for (int i = 0; i < 100; ++i) hundred += "22.74 ";
    const std::vector<std::pair<std::string, std::string>> readings{
        {"22.74", "22.74"},
        {"22.74 22.74 22.74", "22.74 22.74 22.74"},
        {"22.74 23.74 22.74", "22.74 22.74 22.74"},
        {"0.5 0.5", "0.5 0.5"},
        {"2000 2000", "2000 2000"},
        {hundred, "22.74"},
        {"22.740000001 22.74", "22.74"}};
    for (const auto& ends : readings) {
      const std::string &fence = ends.first, &free = ends.second;
      for (const char* apart : {"0.5", "1", "10000"}) {
        CAPTURE(fence);
        CAPTURE(apart);
        const auto ran = run_program(home, check_of(fence, free, apart));
        if (ran.status == 0) {
          ++computed;
          const auto json = Json::parse(ran.out);
          finite(json, "");
          CHECK(json.at("corner_error").at("standard_uncertainty_rad").get<double>() > 0);
        } else {
          ++refused;
          CHECK(ran.status == 3);
          CHECK(ran.out.empty());
          CHECK(!ran.err.empty());
        }
      }
    }
    CHECK(computed >= 14);
    CHECK(refused >= 1);  // a millimetre on a place one millimetre off is no angle
  }

  TEST_CASE("edge: a taper of 20 degrees is refused, with a hint") {
    const Home home;
    const auto ran = run_program(home, check_of("200", "18", "500"));
    CHECK(ran.status == 3);
    CHECK(ran.out.empty());
    CHECK(ran.err.find("less than a twentieth") != std::string::npos);
  }

  TEST_CASE("edge: what is no number is refused as a reading, a distance, a tolerance, a caliper, a share") {
    const Home home;
    const Words good = check_of("22.74 22.73", "22.14 22.13", "525");
    REQUIRE(run_program(home, good).status == 0);
    for (const std::string& odd : kNoNumbers) {
      for (const auto& asked : std::vector<std::pair<std::string, std::string>>{
               {"--fence-end", "22.74 " + odd},
               {"--free-end", odd},
               {"--apart", odd},
               {"--rail-baseline", odd},
               {"--tolerance", odd + " over 600"},
               {"--tolerance", "0.10 over " + odd},
               {"--tolerance", odd + " deg"},
               {"--caliper", "resolution 0.01, repeatability " + odd},
               {"--confidence", odd},
               {"--panel", odd + " x 600"},
               {"--shim", "foil tape 8 layers " + odd}}) {
        const std::string &option = asked.first, &value = asked.second;
        CAPTURE(option);
        CAPTURE(value);
        const auto ran = run_program(home, with(good, option, value));
        CHECK((ran.status == 2 || ran.status == 3));
        CHECK(ran.out.empty());
      }
    }
  }

  TEST_CASE("edge: what is no number is refused in readings files, messages, stations and logs") {
    const Home home;
    const auto station = home.write("dock.json", files::write_station(test::dock()));
    const auto file_of = [](const std::string& place, const std::string& width, const std::string& over) {
      return "# test: five-cut\n# caliper: digital\n# tolerance: 0.10 over " + over +
             "\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73\n1,1,5," + place + "," + width +
             "\n";
    };
    REQUIRE(run_program(home, {"check", "-", "--station", station}, file_of("525", "22.14", "600")).status ==
            0);
    REQUIRE(run_program(home, {"station", "add", station}).status == 0);
    const std::string text = files::write_station(test::dock());
    const auto pitch = text.find("96");
    REQUIRE(pitch != std::string::npos);
    for (const std::string& odd : kNoNumbers) {
      CAPTURE(odd);
      for (const auto& file :
           {file_of(odd, "22.14", "600"), file_of("525", odd, "600"), file_of("525", "22.14", odd),
            "strip 1-5\n20: 22.74 " + odd + "\n545: 22.14\n", "strip 1-5\n20: 22.74\n" + odd + ": 22.14\n"}) {
        CAPTURE(file);
        const auto ran = run_program(home, {"check", "-", "--station", station, "--setup", "crosscut"}, file);
        CHECK(ran.status == 3);
        CHECK(ran.out.empty());
      }
      std::string broken = text;
      broken.replace(pitch, 2, odd);
      CHECK(run_program(home, {"station", "add", home.write("odd.json", broken)}).status == 3);
    }
  }

  TEST_CASE("edge: a log whose reading is beyond every number is not taken in") {
    const Home home;
    const auto station = home.write("dock.json", files::write_station(test::dock()));
    REQUIRE(run_program(home, {"station", "add", station}).status == 0);
    const std::string readings =
        "# station: dock\n# caliper: digital\npanel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73\n"
        "1,1,5,525,22.14 22.13\n";
    REQUIRE(run_program(home, {"check", "-", "--save"}, readings).status == 0);
    const auto kept = run_program(home, {"log", "export"});
    REQUIRE(kept.status == 0);
    const auto at = kept.out.find("22.74");
    REQUIRE(at != std::string::npos);
    const Home other;
    REQUIRE(run_program(other, {"log", "import", home.write("log.json", kept.out)}).status == 0);
    for (const std::string& odd : kNoNumbers) {
      CAPTURE(odd);
      const Home empty;
      std::string broken = kept.out;
      broken.replace(at, 5, odd);
      const auto ran = run_program(empty, {"log", "import", empty.write("log.json", broken)});
      CHECK((ran.status == 3 || ran.status == 4));
    }
  }

  TEST_CASE("edge: inches give what millimetres give, to 1e-12") {
    const Home home;
    const auto in_mm = run_program(home, check_of("25.4 25.3746 25.4254", "24.9936 25.019", "508"));
    auto words = check_of("1 0.999 1.001", "0.984 0.985", "20");
    words = with(with(words, "--rail-baseline", "768 mm"), "--tolerance", "0.10 mm over 600 mm");
    const auto in_inch = run_program(home, with(words, "--unit", "in"));
    REQUIRE(in_mm.status == 0);
    REQUIRE(in_inch.status == 0);
    const auto mm = Json::parse(in_mm.out), inch = Json::parse(in_inch.out);
    const double a = mm.at("corner_error").at("estimate_rad"), b = inch.at("corner_error").at("estimate_rad");
    CHECK(near(a, b, 1e-12, 0));
  }
}
