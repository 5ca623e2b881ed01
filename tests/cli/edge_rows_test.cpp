// SPDX-License-Identifier: MIT
// The order of rows, the unit and the number of readings change nothing of what is told; what is no number
// gets in neither at the prompt nor in a list of distances.
#include <doctest/doctest.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "support/add_dock.hpp"
#include "support/near.hpp"
#include "support/outcomes.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::Home;
using test::near;
using test::run_program;
using Json = nlohmann::json;
using Words = std::vector<std::string>;

namespace {

const std::string kExamples = QUARTERTURN_ROOT "/examples/";

/// Lines before the rows, rows.
struct File {
  std::vector<std::string> head, rows;
  [[nodiscard]] std::string text() const {
    std::string all;
    for (const auto& line : head) all += line + "\n";
    for (const auto& line : rows) all += line + "\n";
    return all;
  }
};

File example(const std::string& name) {
  std::istringstream in(files::read_text(kExamples + name).content);
  File file;
  for (std::string line; std::getline(in, line);) {
    (line.starts_with("#") || line.find("from") != std::string::npos ? file.head : file.rows).push_back(line);
  }
  return file;
}

std::string inches(const std::string& mm) {
  char digits[40];
  const auto end = std::to_chars(digits, digits + sizeof digits, std::stod(mm) / 25.4).ptr;
  return {digits, end};
}

/// Places and widths of a readings file in inches, to the last digit.
File in_inches(File file) {
  std::erase_if(file.head, [](const std::string& line) { return line.starts_with("# unit"); });
  file.head.insert(file.head.begin(), "# unit: in");
  for (std::string& row : file.rows) {
    std::istringstream cells(row);
    std::string cell, changed, width;
    for (int i = 0; i < 3 && std::getline(cells, cell, ','); ++i) changed += cell + ",";
    std::getline(cells, cell, ',');
    changed += inches(cell) + ",";
    while (cells >> width) changed += inches(width) + " ";
    row = changed.substr(0, changed.size() - 1);
  }
  return file;
}

/// Every number of two documents, 1e-12 of each other; words are in a unit and stay out. Strips are listed as
/// they came: they are put in order first.
void same_numbers(Json one, Json other, const std::string& at) {
  CAPTURE(at);
  if (at.ends_with("/tapers")) {
    const auto earlier = [](const Json& a, const Json& b) {
      return std::pair(a.at("panel").get<int>(), a.at("to_cut").get<int>()) <
             std::pair(b.at("panel").get<int>(), b.at("to_cut").get<int>());
    };
    std::sort(one.begin(), one.end(), earlier);
    std::sort(other.begin(), other.end(), earlier);
  }
  REQUIRE(one.type() == other.type());
  REQUIRE(one.size() == other.size());
  if (one.is_structured()) {
    const Json left = one.flatten(), right = other.flatten();
    REQUIRE(left.size() == right.size());
    for (const auto& item : left.items()) {
      const std::string& key = item.key();
      const Json& value = item.value();
      CAPTURE(key);
      REQUIRE(right.contains(key));
      const Json& again = right.at(key);
      if (value.is_number()) {
        CHECK(near(value.get<double>(), again.get<double>(), 1e-12, 1e-15));
      } else if (!value.is_string()) {
        CHECK(value == again);
      }
    }
  }
}

void same_documents(const Json& one, const Json& other) {
  REQUIRE(one.size() == other.size());
  for (const auto& [key, value] : one.items()) {
    REQUIRE(other.contains(key));
    same_numbers(value, other.at(key), "/" + key);
  }
}

Json told(const Home& home, const File& file, const std::string& station) {
  const auto ran = run_program(
      home, {"check", "-", "--json", "--no-log", "--station", kExamples + "stations/" + station + ".json"},
      file.text());
  INFO(ran.err);
  REQUIRE(ran.status == 0);
  return Json::parse(ran.out);
}

const std::vector<std::pair<std::string, std::string>> kChecks{
    {"dock", "dock-long"}, {"dock", "dock-three-panels"}, {"loft", "loft-wet"}, {"loft", "loft-four-cut"}};

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("edge: rows in any order are told the same") {
    const Home home;
    std::mt19937_64 random(3);
    for (const auto& example_of : kChecks) {
      const std::string &station = example_of.first, &name = example_of.second;
      CAPTURE(name);
      File file = example("readings/" + name + ".csv");
      const Json first = told(home, file, station);
      for (int i = 0; i < 3; ++i) {
        std::shuffle(file.rows.begin(), file.rows.end(), random);
        same_documents(first, told(home, file, station));
      }
      std::reverse(file.rows.begin(), file.rows.end());
      same_documents(first, told(home, file, station));
    }
  }

  TEST_CASE("edge: the same readings in inches are told the same") {
    const Home home;
    for (const auto& example_of : kChecks) {
      const std::string &station = example_of.first, &name = example_of.second;
      CAPTURE(name);
      const File file = example("readings/" + name + ".csv");
      Json mm = told(home, file, station), inch = told(home, in_inches(file), station);
      CHECK(mm.at("corner_error").at("estimate_rad").get<double>() != 0);
      same_documents(mm, inch);
    }
  }

  TEST_CASE("edge: ten thousand readings, of two places or of a thousand") {
    const Home home;
    for (const int places : {2, 1000}) {
      CAPTURE(places);
      // a line from 22.7 to 22.1 over 500 mm, with a pattern of three hundredths that no line follows
      File file;
      file.head = {"# test: five-cut", "# caliper: digital", "panel,from_cut,to_cut,position,width"};
      for (int place = 0; place < places; ++place) {
        const double at = 500.0 * place / (places - 1);
        std::string row = "1,1,5," + std::to_string(at) + ",";
        for (int i = 0; i < 10'000 / places; ++i)
          row += std::to_string(22.7 - 0.6 * at / 500 + 0.01 * ((i + place) % 3 - 1)) + " ";
        file.rows.push_back(row.substr(0, row.size() - 1));
      }
      const auto path = home.write("many.csv", file.text());
      const auto ran = run_program(home, {"check", path, "--json", "--no-log", "--station",
                                          kExamples + "stations/dock.json", "--tolerance", "1 over 600"});
      INFO(ran.err);
      REQUIRE(ran.status == 0);
      const Json told = Json::parse(ran.out).at("corner_error");
      // four corners make the taper: 0.6 mm over 500 mm is 0.3 mrad a corner
      CHECK(near(std::fabs(told.at("estimate_rad").get<double>()), 0.6 / 500 / 4, 0, 2e-6));
      CHECK(told.at("standard_uncertainty_rad").get<double>() > 0);
    }
  }

  TEST_CASE("edge: what is no number is refused in lists of distances and of events") {
    const Home home;
    const File file = example("surveys/dock.csv");
    const std::string station = kExamples + "stations/dock.json";
    REQUIRE(run_program(home, {"survey", home.write("all.csv", file.text()), "--station", station}).status ==
            0);
    for (const char* const odd : {"nan", "-nan", "inf", "-inf", "Infinity", "1e999", "0x10"}) {
      for (const std::string& cells : {std::string(odd) + ",", std::string("115.9,") + odd}) {
        CAPTURE(cells);
        File broken = file;
        broken.rows[4] = "distance,F2,F1,,outside,low-1,low-2," + cells;
        const auto ran =
            run_program(home, {"survey", home.write("odd.csv", broken.text()), "--station", station});
        CHECK(ran.status == 3);
        CHECK(ran.out.empty());
        CHECK(ran.err.find(odd) != std::string::npos);
      }
    }
  }

  TEST_CASE("edge: what is no number is refused at the prompt, and asked for again") {
    const Home plain;
    test::add_dock(plain);
    run_program(plain, {}, "check\n600 600\n22.74 22.73 22.75\n22.14 22.13 22.15\n22.44\n\n525\nyes\nquit\n");
    const auto wanted = run_program(plain, {"log", "show", "dock/1", "--json"});
    REQUIRE(wanted.status == 0);
    for (const std::string& odd : Words{"nan", "-inf", "1e999"}) {
      CAPTURE(odd);
      const Home home;
      test::add_dock(home);
      const auto ran = run_program(home, {},
                                   "check\n600 " + odd + "\n600 600\n" + odd + "\n22.74 22.73 22.75\n22.14 " +
                                       odd + "\n22.14 22.13 22.15\n22.44\n\n" + odd + "\n525\nyes\nquit\n");
      CHECK(test::count_of(ran.out + ran.err, "error:") == 4);
      const auto kept = run_program(home, {"log", "show", "dock/1", "--json"});
      REQUIRE(kept.status == 0);
      CHECK(Json::parse(kept.out).at("corner_error") == Json::parse(wanted.out).at("corner_error"));
    }
  }
}
