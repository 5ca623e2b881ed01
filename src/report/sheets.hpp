// SPDX-License-Identifier: MIT
/// \file sheets.hpp
/// Paper for the wall and the bench: a card that works without a computer, a blank sheet for readings, a
/// sheet for a client.
///
/// In       a setup with its station; what the log knows of it; or a check
/// Out      pages of HTML, made to be printed
/// Maths    of the card: what a layer of shim at a rail dog does to the next strip, METHOD.md (M4), (M7),
/// (M48)
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/check_page.hpp"
#include "report/gap_test_words.hpp"
#include "report/svg.hpp"
#include "station/geometry.hpp"
#include "station/station.hpp"

namespace quarterturn::report {

/// So much wider at its fence end, so many layers: at one rail dog; as much narrower: at the other.
struct LayerRow {
  double difference_mm = 0;  ///< fence end minus free end
  int layers = 0;
};
struct LayerTable {
  station::Shim shim;
  std::vector<LayerRow> rows;
  bool far_when_wider = true;  ///< wider at F: the far rail dog; narrower: the near one
};
/// (M4), (M7), (M48) \param apart_mm  of the two measured places \param most  rows
/// Empty rows where it cannot be told: a mitre, sides not known.
LayerTable layer_table(const station::Geometry& geometry, const station::Shim& shim, double apart_mm,
                       int most = 5);

struct CardShown {
  station::Station station;
  std::string setup;
  double panel_mm = 600, apart_mm = 525;
  std::string last_date, last_result, last_verdict;  ///< empty: never checked
  std::string due;  ///< `2026-06-12`, or why it is due now; empty: never checked
  units::Unit unit = units::Unit::mm;
};
std::string card_page(const CardShown& shown, const std::string& made_on);

struct BenchSheetShown {
  std::string station, setup;  ///< empty: lines to write on
  bool keep_left = true, before = true, sides_known = false;
  std::string tolerance;
  int strips = 3;
  std::optional<GapTestShown> gaps;  ///< a test that reads gaps; else a five-cut
  units::Unit unit = units::Unit::mm;
};
std::string bench_sheet_page(const BenchSheetShown& shown);

/// The panel before each cut: which edge lies on the fence, X, F; for a page.
Drawing turns_picture(int cuts, bool keep_left, bool before);
/// To which side the panel is turned after each cut: `left` or `right`.
const char* turn_word(bool keep_left, bool before);

/// \param strict  the whole ± was asked to lie inside
std::string client_page(const CheckShown& shown, bool strict, const std::string& made_on);

}  // namespace quarterturn::report
