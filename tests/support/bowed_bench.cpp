// SPDX-License-Identifier: MIT
#include "support/bowed_bench.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

#include "check/bow_effects.hpp"

namespace quarterturn::test {
namespace {

struct Sawing {
  Sawn last;
  double mean_length_mm = 0;  ///< of the last two cuts
};

Sawing five_cuts(const BowedBench& bench) {
  Sawing out;
  Panel panel = raw_panel({Point{0, 0},
                           {BowedBench::kWidthMm, 0},
                           {BowedBench::kWidthMm, BowedBench::kDepthMm},
                           {0, BowedBench::kDepthMm}});
  double before = 0;
  for (int cut = 1; cut <= 5; ++cut) {
    out.last = saw(bench.table, panel, cut - 1, cut);
    out.mean_length_mm = (before + out.last.cut_length_mm) / 2;
    before = out.last.cut_length_mm;
    panel = out.last.kept;
  }
  return out;
}

Sawn straight_edged(const BowedBench& bench, double width_mm, double depth_mm) {
  return saw(bench.table, raw_panel({Point{0, 0}, {width_mm, 0}, {width_mm, depth_mm}, {0, depth_mm}}), 0, 1);
}

}  // namespace

BowedBench bowed_bench(const Case& setup, double h_edge_mm) {
  BowedBench bench{setup, table_of(setup.station, setup.setup), h_edge_mm};
  bench.table.curvature_per_mm = check::kept_edge_sign(setup.setup.keep, setup.setup.rail_on_face) * 8 *
                                 h_edge_mm / (BowedBench::kRailMm * BowedBench::kRailMm);
  return bench;
}

std::string BowedBench::head(const std::string& test, const std::string& date) const {
  return fmt::format(
      "# station: bench\n# setup: crosscut\n# date: {}\n# test: {}\n# unit: mm\n"
      "# caliper: resolution 0.001, repeatability 0.002, reliability 0.1\n",
      date, test);
}

std::string BowedBench::rail(const std::string& date) const {
  const auto gap = turned_rail_gap(bowed_rail(kRailMm, h_edge_mm));
  std::string text = head("rail", date) + "position,gap\n";
  for (const double at : {20.0, 310.0, 600.0, 890.0, 1180.0})
    text += fmt::format("{},{:.6f}\n", at, std::max(0.0, gap.at(at)));
  return text;
}

std::string BowedBench::strips(const std::string& date, int panels) const {
  const auto strip = five_cuts(*this).last.strip;
  std::string text = head("five-cut", date) +
                     fmt::format("# panel-size: {} x {} x 18 mm\npanel,from_cut,to_cut,position,width\n",
                                 kWidthMm, kDepthMm);
  for (int panel = 1; panel <= panels; ++panel) {
    for (const double at : {20.0, 270.0, 520.0})
      text += fmt::format("{},1,5,{},{:.6f}\n", panel, at, strip.width_mm(at));
  }
  return text;
}

std::string BowedBench::pair(const std::string& date, double displaced_rad, int places) const {
  constexpr int kPairs = 3;
  const auto a = straight_edged(*this, 640, kDepthMm), b = straight_edged(*this, 640, kDepthMm);
  Laying laying;
  laying.seating_b_rad = displaced_rad;
  const auto gap = pair_gap(a.kept, b.kept, 0, 1, laying);
  std::string text =
      head("turn-over", date) +
      fmt::format("# form: pair\n# panel-size: 640 x {} x 18 mm\npanel,position,gap\n", kDepthMm);
  for (int pair = 1; pair <= kPairs; ++pair) {
    for (int k = 0; k < places; ++k) {
      const double at = 20 + (kDepthMm - 40) * k / (places - 1);
      text += fmt::format("{},{},{:.6f}\n", pair, at, std::max(0.0, gap.at(at)));
    }
  }
  return text;
}

double BowedBench::strips_rad() const {
  return five_cuts(*this).last.strip.line_taper_rad(41) / 4;
}

double BowedBench::corner_rad() const {
  return straight_edged(*this, 640, five_cuts(*this).mean_length_mm).kept_corner_rad - std::numbers::pi / 2;
}

double BowedBench::pairs_corner_rad() const {
  return straight_edged(*this, 640, kDepthMm).kept_corner_rad - std::numbers::pi / 2;
}

}  // namespace quarterturn::test
