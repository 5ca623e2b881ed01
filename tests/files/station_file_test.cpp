// SPDX-License-Identifier: MIT
// The stations are invented, in the scenery workshop of the examples.
#include "files/station_file.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <functional>
#include <regex>
#include <string>
#include <vector>

#include "files/json_places.hpp"
#include "support/near.hpp"
#include "support/processor_time.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using files::parse_station;
using files::text_of;
using quarterturn::test::near;
using station::Station;
using units::InputError;

namespace {

const std::string kDock =
    R"({ "name": "dock", "operator": "front", "id": "5d0c1f4e-0000-4000-8000-000000000001",
  "grid": { "pitch_mm": 96, "columns": 9, "rows": 11, "hole_diameter_mm": 20, "missing": ["A1"], "drill_scatter_mm": 0.1 },
  "dogs": { "tall-1": { "diameter_mm": 20.0, "held": "screwed", "eccentric_mm": 0.02, "eccentric_deg": 90, "play_mm": 0.05 },
            "tall-2": { "diameter_mm": 19.98 }, "low-1": { "diameter_mm": 20, "held": "pushed" }, "low-2": { "diameter_mm": 20 } },
  "rails": { "long": { "length_mm": 1400, "width_mm": 180, "joined": false } },
  "shims": [ { "name": "foil tape", "layer_mm": 0.070, "uncertainty_mm": 0.005, "layers": 8, "hard": false } ],
  "calipers": [ { "name": "mine", "class": "digital" } ],
  "setups": { "crosscut": {
      "nominal_deg": 90,
      "rail":  { "near": { "hole": "E2", "dog": "tall-1" }, "far": { "hole": "E10", "dog": "tall-2" }, "rail_on_face": "right", "rail": "long" },
      "fence": { "left": { "hole": "A9", "dog": "low-1" }, "right": { "hole": "D9", "dog": "low-2" }, "bar": { "length_mm": 600, "bow_mm": 0, "taper_mm": -0.02 } },
      "panel_side": "before", "keep": "left",
      "tolerance": { "mm": 0.10, "over_mm": 600 } } } })";

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  REQUIRE(at != std::string::npos);
  return text.replace(at, from.size(), to);
}

std::string error_of(const std::string& content) {
  try {
    (void)parse_station(text_of(content, "dock.json"));
  } catch (const InputError& error) {
    return error.what();
  }
  return {};
}
std::string error_with(const std::string& from, const std::string& to) {
  return error_of(replaced(kDock, from, to));
}

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a whole station file") {
    const Station dock = parse_station(text_of(kDock, "dock.json"));
    CHECK(dock.name == "dock");
    CHECK(dock.id == "5d0c1f4e-0000-4000-8000-000000000001");
    CHECK(dock.grid.pitch.mm() == 96);
    CHECK(dock.grid.missing == std::vector<station::Hole>{{1, 1}});
    CHECK(dock.grid.drill_scatter->mm() == 0.1);
    CHECK(dock.dogs.at("tall-1").held == station::Held::screwed);
    CHECK(dock.dogs.at("tall-1").eccentric_deg == 90);
    CHECK(dock.dogs.at("tall-2").held == station::Held::unknown);
    CHECK_FALSE(dock.dogs.at("tall-2").play);
    CHECK(dock.rails.at("long").width.mm() == 180);
    CHECK(dock.shims.at(0).layers == 8);
    CHECK(dock.calipers.at(0).caliper_class == "digital");
    const station::Setup& setup = dock.setup("crosscut");
    CHECK(setup.rail.second.hole == station::Hole{5, 10});
    CHECK(setup.rail.second.dog == "tall-2");
    CHECK(setup.rail_on_face == station::Side::right);
    CHECK(setup.panel_side == station::PanelSide::before);
    CHECK(setup.keep == station::Side::left);
    CHECK(setup.bar->taper->mm() == -0.02);
    CHECK(near(setup.tolerance->angle.rad(), 0.1 / 600, 1e-15, 0));
  }

  TEST_CASE("a station written reads back the same") {
    const std::vector<std::string> contents{
        kDock,
        replaced(kDock, R"({ "mm": 0.10, "over_mm": 600 })", R"({ "deg": 0.0123 })"),
        replaced(kDock, R"(, "bar": { "length_mm": 600, "bow_mm": 0, "taper_mm": -0.02 })", ""),
        replaced(kDock, R"("before", "keep": "left")", R"("beyond", "keep": "right")"),
        replaced(kDock, R"("held": "pushed")", R"("held": "wedged")"),
        R"({ "name": "möbel ½", "grid": { "pitch_mm": 96.123456789012345, "columns": 3, "rows": 4 } })"};
    for (const std::string& content : contents) {
      CAPTURE(content);
      const Station first = parse_station(text_of(content, "dock.json"));
      const std::string written = files::write_station(first);
      const Station second = parse_station(text_of(written, "dock.json"));
      CHECK(files::write_station(second) == written);
      CHECK(second.grid.pitch == first.grid.pitch);
      CHECK(second.grid.drill_scatter == first.grid.drill_scatter);
      CHECK(second.id == first.id);
      CHECK(second.dogs.size() == first.dogs.size());
      CHECK(second.shims.size() == first.shims.size());
      for (const auto& [name, setup] : first.setups) {
        CHECK(second.setup(name).tolerance->angle == setup.tolerance->angle);
        CHECK(second.setup(name).panel_side == setup.panel_side);
        CHECK(second.setup(name).keep == setup.keep);
        CHECK(second.setup(name).bar.has_value() == setup.bar.has_value());
      }
    }
    // Key by key the file it came from: what the format describes, in its order.
    const std::string written = files::write_station(parse_station(text_of(kDock, "dock.json")));
    CHECK(written.find("{\n  \"name\": \"dock\",\n  \"operator\": \"front\",\n") == 0);
    CHECK(written.find("\"pitch_mm\": 96,\n") != std::string::npos);
    CHECK(written.find("\"drill_scatter_mm\": 0.1\n") != std::string::npos);
    CHECK(written.find("\"taper_mm\": -0.02\n") != std::string::npos);
  }

  TEST_CASE("what a file may leave out") {
    Station dock = parse_station(
        text_of(replaced(kDock, R"(, "uncertainty_mm": 0.005, "layers": 8, "hard": false)", ""), "d"));
    CHECK(near(dock.shims[0].uncertainty.mm(), 0.007, 1e-12,
               0));  // a tenth of the layer: common practice, no source
    CHECK(dock.shims[0].layers == 1);
    dock = parse_station(text_of(replaced(kDock, R"("nominal_deg": 90,)", ""), "d"));
    CHECK(dock.setup("").nominal_deg == 90);
  }

  TEST_CASE("broken JSON is refused with line and column") {
    CHECK(error_of("{ \"name\": \"dock\",\n  \"grid\": { \"pitch_mm\": 96, }\n}") ==
          "station file is '}', but must be JSON at this place (dock.json:2:29). Hint: take out the comma "
          "before it");
    CHECK(error_of("{ 'name': 1 }").find("(dock.json:1:3). Hint: JSON has double quotes") !=
          std::string::npos);
    CHECK(error_of("{\n// a remark\n}").find("(dock.json:2:1). Hint: JSON has no comments") !=
          std::string::npos);
    CHECK(error_of("{ \"name\": \"dock\"\n  \"grid\": 1 }").find("(dock.json:2:3)") != std::string::npos);
    CHECK(error_of("{ \"name\": \"dock\"").find("station file is 'the end of the file'") == 0);
    CHECK(error_of("{ \"name\": nan }").find("(dock.json:1:11)") != std::string::npos);
    CHECK(error_of("{ \"name\": \"½\", x }").find("(dock.json:1:16)") != std::string::npos);
    CHECK(error_of("{} {}").find("(dock.json:1:4)") != std::string::npos);
    CHECK(error_of("{ \"grid\": 1e999 }")
              .find("number is '1e999', but must be one that a workshop meets "
                    "(dock.json:1:11). Hint: ") == 0);
    CHECK(error_of("panel,from_cut\n").find("JSON at this place (dock.json:1:1)") != std::string::npos);
    CHECK(error_of("[1, 2]").find("file is '[1,2]', but must be an object { ... }") == 0);
  }

  TEST_CASE("JSON nested 200,000 deep is refused, in no time and without a crash") {
    const double start = test::processor_time();
    for (const std::string& deep :
         {std::string(200'000, '['), std::string(200'000, '[') + std::string(200'000, ']'),
          "{ \"name\": " + std::string(200'000, '[') + std::string(200'000, ']') + " }"}) {
      CHECK(error_of(deep).find("station file is 'nested more than 32 deep'") == 0);
    }
    std::string objects;
    for (int i = 0; i < 200'000; ++i) objects += "{\"a\":";
    CHECK(error_of(objects).find("(dock.json:1:161)") != std::string::npos);
    CHECK(test::processor_time() - start < 1);
    // Brackets inside a text are no nesting.
    CHECK(error_of("{ \"name\": \"" + std::string(50, '[') + "\\\"" + std::string(50, '{') + "\" }")
              .find("grid is missing") == 0);
  }

  TEST_CASE("keys that are unknown, given twice or missing") {
    CHECK(error_with(R"("pitch_mm": 96)", R"("pich_mm": 96)") ==
          "key is 'grid.pich_mm', but must be one of: pitch_mm, columns, rows, hole_diameter_mm, missing or "
          "drill_scatter_mm "
          "(dock.json:2:13). Hint: did you mean 'pitch_mm'?");
    CHECK(
        error_with(R"("keep": "left",)", R"("keep": "left", "keep": "right",)") ==
        "key is 'setups.crosscut.keep', but must be given once (dock.json:12:47). Hint: take one of the two "
        "out");
    CHECK(error_with(R"("tall-2")", R"("tall-1")").find("key is 'dogs.tall-1', but must be given once") == 0);
    CHECK(
        error_with(R"("keep": "left",)", "") ==
        "setups.crosscut.keep is missing, but must be given (dock.json:8:27). Hint: the side of the rail on "
        "which the panel stays");
    CHECK(error_with(R"("tolerance": { "mm": 0.10, "over_mm": 600 })", R"("nominal_deg": 90)")
              .find("given once") != std::string::npos);
    CHECK(
        error_with(R"(, "over_mm": 600)", "") ==
        "setups.crosscut.tolerance.over_mm is missing, but must be given (dock.json:13:20). Hint: such as { "
        "\"mm\": 0.10, \"over_mm\": 600 }");
    CHECK(
        error_with(R"("diameter_mm": 19.98)", "") ==
        "dogs.tall-2.diameter_mm is missing, but must be given (dock.json:4:23). Hint: of the dog where the "
        "rail or the panel touches it, such as 20");
  }

  TEST_CASE("values that are none") {
    CHECK(
        error_with(R"("pitch_mm": 96)", R"("pitch_mm": "96")") ==
        "grid.pitch_mm is '96', but must be a number (dock.json:2:25). Hint: a number stands without quotes, "
        "with a decimal point");
    CHECK(error_with(R"("columns": 9)", R"("columns": 9.5)")
              .find("grid.columns is '9.5', but must be a whole number") == 0);
    CHECK(error_with(R"("columns": 9)", R"("columns": 1e30)").find("grid.columns is '1e+30'") == 0);
    CHECK(error_with(R"("columns": 9)", R"("columns": null)").find("grid.columns is 'null'") == 0);
    CHECK(error_with(R"("joined": false)", R"("joined": "no")")
              .find("rails.long.joined is 'no', but must be true or false") == 0);
    CHECK(error_with(R"("held": "screwed")", R"("held": "screwd")") ==
          "dogs.tall-1.held is 'screwd', but must be screwed, pushed, wedged or unknown (dock.json:3:54). "
          "Hint: "
          "did you mean "
          "'screwed'?");
    CHECK(error_with(R"("operator": "front")", R"("operator": "back")")
              .find("operator is 'back', but must be front") == 0);
    CHECK(error_with(R"("class": "digital")", R"("class": "digitl")").find("calipers[0].class is 'digitl'") ==
          0);
    CHECK(error_with(R"("foil tape")", R"("foil\u001b[2J")")
              .find("shims[0].name is 'foil\\x1b[2J', but must be one line") == 0);
    CHECK(error_with(R"("foil tape")", R"("")").find("shims[0].name is empty") == 0);
    CHECK(error_with(R"({ "mm": 0.10, "over_mm": 600 })", R"({ "mm": -0.10, "over_mm": -600 })")
              .find("tolerance.over_mm is '-600'") != std::string::npos);
    CHECK(error_with(R"({ "mm": 0.10, "over_mm": 600 })", R"({ "mm": 0.10, "over_mm": 600, "deg": 1 })")
              .find("either mm over") != std::string::npos);
    CHECK(error_with(R"({ "mm": 0.10, "over_mm": 600 })", R"({ "mm": 20, "over_mm": 600 })")
              .find("setups.crosscut.tolerance") == 0);
    CHECK(error_with(R"("missing": ["A1"])", R"("missing": "A1")")
              .find("grid.missing is 'A1', but must be a list") == 0);
  }

  TEST_CASE("holes and dogs that can not be") {
    CHECK(error_with(R"("hole": "E10")", R"("hole": "Z10")").find("setups.crosscut.rail.far.hole is 'Z10'") ==
          0);
    CHECK(error_with(R"("hole": "E10")", R"("hole": "Z10")")
              .find("(dock.json:10:78). Hint: a hole is a column letter and a row number: E10") !=
          std::string::npos);
    CHECK(error_with(R"("hole": "E10")", R"("hole": "10E")").find("setups.crosscut.rail.far.hole is '10E'") ==
          0);
    CHECK(error_with(R"("hole": "A9")", R"("hole": "A1")").find("setups.crosscut.fence.left.hole is 'A1'") ==
          0);  // missing
    CHECK(error_with(R"("hole": "D9", "dog": "low-2")", R"("hole": "A9", "dog": "low-2")")
              .find("hole is 'A9'") != std::string::npos);
    CHECK(error_with(R"("hole": "D9", "dog": "low-2")", R"("hole": "D9", "dog": "low-3")")
              .find("dog is 'low-3'") != std::string::npos);
  }

  TEST_CASE("every value of the file, made wrong, is told at its line and column and with a hint") {
    // Each key's value in turn becomes one that it cannot be.
    const std::regex told(R"(.* is .*, but must be .* \(dock\.json:\d+:\d+\)\. Hint: .+)");
    const std::regex value(R"(: ("[^"]*"|-?[0-9.]+|true|false))");
    int faults = 0;
    for (auto it = std::sregex_iterator(kDock.begin(), kDock.end(), value); it != std::sregex_iterator();
         ++it) {
      const auto at = static_cast<std::size_t>(it->position(1));
      for (const std::string wrong : {"null", "[]", "-1e6", "\"\"", "{}", "\"\\u0007\"", "1e999"}) {
        std::string text = kDock;
        text.replace(at, static_cast<std::size_t>(it->length(1)), wrong);
        const std::string error = error_of(text);
        CAPTURE(error);
        if (error.empty()) continue;  // a bow of the bar, for one, may be of either sign
        CHECK(std::regex_match(error, told));
        const int line =
            1 + static_cast<int>(std::count(kDock.begin(), kDock.begin() + it->position(1), '\n'));
        CHECK(error.find("dock.json:" + std::to_string(line) + ":") != std::string::npos);
        ++faults;
      }
    }
    CHECK(faults > 200);
  }

  TEST_CASE("a value that is no UTF-8 is refused, as is a path") {
    const Station dock = parse_station(text_of(kDock, "dock.json"));
    const auto set = [&](const std::string& path, const std::string& value) -> std::string {
      try {
        (void)files::with_value(dock, path, value, units::Unit::mm);
        return {};
      } catch (const InputError& error) {
        return error.what();
      }
    };
    CHECK(set("dogs.tall-2.held", "pushed").empty());
    CHECK(set("operator", "b\x98k").find("UTF-8") != std::string::npos);
    CHECK(set("dogs.t\xf3.held", "pushed").find("UTF-8") != std::string::npos);
    // A list has no holes in it, however far a number reaches.
    CHECK(set("shims.0.layer_mm", "0.08").empty());
    for (const char* path : {"shims.99999999999999.layer_mm", "shims.999999.layer_mm", "shims.-.layer_mm",
                             "shims.first.layer_mm", "grid.pitch_mm.x", "grid.99999999999999.8"})
      CHECK_FALSE(set(path, "0.08").empty());
  }

  TEST_CASE("where a path stands in a JSON text") {
    const auto text = text_of("{\"a\": [1, {\"b\\\"c\": [[],\n 2]}],\n \"½\": \"x]\", \"d.e\": 3}", "f");
    const auto place = [&](const std::string& path, files::JsonPart part = files::JsonPart::value) {
      return files::place_of_path(text, path, part).text();
    };
    CHECK(place("") == "f:1:1");
    CHECK(place("a") == "f:1:7");
    CHECK(place("a[0]") == "f:1:8");
    CHECK(place("a[1]") == "f:1:11");
    CHECK(place("a[1].b\"c") == "f:1:20");
    CHECK(place("a[1].b\"c[0]") == "f:1:21");
    CHECK(place("a[1].b\"c[1]") == "f:2:2");
    CHECK(place("½") == "f:3:7");
    CHECK(place("½", files::JsonPart::key) == "f:3:2");
    CHECK(place("d.e") == "f:3:20");
    CHECK(place("a[1].none.such") == "f:1:11");  // the innermost on the way
    CHECK(place("a[1].none", files::JsonPart::key) == "f:1:11");
    CHECK(place("a[10]") == "f:1:7");
  }

  TEST_CASE("every shortened file is refused or whole, never a crash") {
    for (std::size_t n = 1; n < kDock.size(); ++n) {
      CAPTURE(n);
      CHECK_FALSE(error_of(kDock.substr(0, n)).empty());
    }
  }
}
