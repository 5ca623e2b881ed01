// SPDX-License-Identifier: MIT
/// \file make_gap_examples.cpp
/// Makes the readings files of examples/readings whose tests read gaps, from exact geometry with fixed seeds.
/// All of it is invented.
///   make_gap_examples STATIONS_FOLDER READINGS_FOLDER
/// Pieces are sawn on the exact table of the station, laid and slid until they touch; a feeler reads the
/// thickest of leaves 0.05 mm apart that enters. The recipe of each file stands in main();
/// tests/app/examples_test.cpp holds the program's answers against the same figures.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "support/oracle_gap.hpp"
#include "support/simulate.hpp"

namespace {

using namespace quarterturn;

constexpr double kSeatingRad = 2e-5, kFeelerMm = 0.015, kLeafMm = 0.05;

/// The table whose far rail dog is moved until the exact tangents make the wanted error.
test::Table table_with(const std::string& stations, const std::string& name, const std::string& setup,
                       double eps_rad) {
  const auto station = files::parse_station(files::read_text(stations + "/" + name + ".json"));
  test::Table table = test::table_of(station, station.setup(setup));
  const double dx = table.rail_far.hole.x - table.rail_near.hole.x,
               dy = table.rail_far.hole.y - table.rail_near.hole.y;
  for (int i = 0; i < 8; ++i) {
    const double turn = test::exact_eps(table) - eps_rad;
    table.rail_far.shift.x += turn * dy;
    table.rail_far.shift.y -= turn * dx;
  }
  return table;
}

class Bench {
 public:
  explicit Bench(std::uint64_t seed) : random_(seed) {}
  double seating() { return kSeatingRad * test::normal(random_); }
  /// `0.30`
  std::string read(double gap_mm) {
    const double seen = std::max(gap_mm + kFeelerMm * test::normal(random_), 0.0);
    char text[16];
    std::snprintf(text, sizeof text, "%.2f", std::floor(seen / kLeafMm + 0.5) * kLeafMm);
    return text;
  }
  /// One row a place, each read twice. \param number  of the joint; empty: none
  std::string rows(const test::OracleGap& gap, const std::string& number, const std::vector<double>& places) {
    std::string text;
    for (const double place : places) {
      const std::string once = read(gap.at(place));
      text += (number.empty() ? "" : number + ",") + std::to_string(static_cast<int>(place)) + "," + once +
              " " + read(gap.at(place)) + "\n";
    }
    return text;
  }

 private:
  std::mt19937_64 random_;
};

std::string head(const std::string& station, const std::string& setup, const char* date,
                 const std::string& test) {
  return "# note: invented, scenery workshop\n# station: " + station + "\n# setup: " + setup +
         "\n# date: " + date + "\n# test: " + test + "\n# caliper: feeler\n";
}

/// Two pairs of panels, 520 mm along the cut.
std::string pair(const test::Table& table, Bench& bench) {
  std::string text;
  for (const char* number : {"1", "2"}) {
    const auto panel = test::raw_panel({test::Point{0, 0}, {700, 0}, {700, 520}, {0, 520}});
    const auto a = test::saw(table, panel, 0, 1, {25, bench.seating()});
    const auto b = test::saw(table, panel, 0, 1, {25, bench.seating()});
    const test::Laying laying{{60, 300}, {60, 300}, bench.seating(), bench.seating()};
    text += bench.rows(test::pair_gap(a.kept, b.kept, 0, 1, laying), number, {20, 260, 500});
  }
  return text;
}

/// One board, 400 mm wide and 0.5 mm on 1 m wider at one end, then the same board turned end for end.
std::string halves(const test::Table& table, Bench& bench) {
  std::string text;
  for (const double taper : {5e-4, -5e-4}) {
    const auto board = test::raw_panel({test::Point{0, 0}, {1200, 0}, {1200, 400 + 1200 * taper}, {0, 400}});
    const auto sawn = test::saw(table, board, 0, 1, {500, bench.seating()});
    const test::Laying laying{{60, 400}, {60, 400}, bench.seating(), bench.seating()};
    text += bench.rows(test::halves_gap(sawn.kept, sawn.strip.shape, 0, -2, 1, laying), taper > 0 ? "1" : "2",
                       {20, 200, 380});
  }
  return text;
}

/// Four pieces 90 mm wide, every end a cut of its own.
std::string frame(const test::Table& table, Bench& bench) {
  std::vector<test::FramePiece> pieces;
  for (int i = 0; i < 4; ++i) {
    const auto raw = test::raw_panel({test::Point{0, 0}, {1200, 0}, {1200, 90}, {0, 90}});
    const auto one = test::saw(table, raw, 0, 1, {140, bench.seating()});
    const auto two = test::saw(table, test::turned_over(one.kept), 0, 2, {140, bench.seating()});
    pieces.push_back({two.kept, 0});
  }
  return bench.rows(test::frame_gap(pieces), "1", {10, 60, 110});
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("make_gap_examples STATIONS_FOLDER READINGS_FOLDER\n", stderr);
    return 2;
  }
  const std::string stations = argv[1], readings = argv[2];
  const auto keep = [&](const std::string& name, const std::string& text) {
    std::ofstream(readings + "/" + name, std::ios::binary) << text;
  };
  constexpr double kFirst = 2.83e-4, kFoil = kFirst - 0.21 / 768;
  Bench first(111), after(112), rail(113), tour(311);
  keep("dock-pair.csv", head("dock", "crosscut", "2026-03-14T10:45:00+00:00", "turn-over") +
                            "# form: pair\n# panel-size: 700 x 520\npanel,position,gap\n" +
                            pair(table_with(stations, "dock", "crosscut", kFirst), first));
  keep("dock-halves.csv", head("dock", "crosscut", "2026-03-14T11:30:00+00:00", "turn-over") +
                              "# form: halves\n# panel-size: 1200 x 400\npanel,position,gap\n" +
                              halves(table_with(stations, "dock", "crosscut", kFoil), after));
  // Hollow by 0.12 mm over its 1400 mm.
  keep("dock-rail.csv",
       head("dock", "crosscut", "2026-03-14T10:50:00+00:00", "rail") + "position,gap\n" +
           rail.rows(test::turned_rail_gap(test::bowed_rail(1400, -0.12)), "", {20, 360, 700, 1040, 1380}));
  keep("tour-frame.csv", head("tour", "mitre", "2026-09-21", "frame") + "# pieces: 4\nring,position,gap\n" +
                             frame(table_with(stations, "tour", "mitre", 2.0e-4), tour));
  return 0;
}
