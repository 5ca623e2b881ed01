// SPDX-License-Identifier: MIT
#include "report/readings_table.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "report/amounts.hpp"
#include "report/page.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr std::size_t kMostColumns = 6;  // of places, each wide enough for a reading on paper and on a phone

std::string typed(const check::Spot& spot) {
  std::string all, notes;
  for (const auto& reading : spot.readings) {
    all += (all.empty() ? "" : "  ") + units::inert(reading.as_typed);
    if (!reading.note.empty()) notes += (notes.empty() ? "" : "; ") + units::inert(reading.note, 200);
  }
  return all + (notes.empty() ? "" : " (" + notes + ")");
}

bool same_places(const check::Strip& a, const check::Strip& b) {
  return std::ranges::equal(a.spots, b.spots, {}, &check::Spot::position_mm, &check::Spot::position_mm);
}

}  // namespace

void readings_table(Markup& markup, const check::Check& check, units::Unit unit) {
  const bool rail = check.test == check::TestKind::rail;
  const auto& strips = check.strips;
  if (strips.empty()) return;
  const bool several = std::ranges::any_of(strips, [](const auto& strip) { return strip.panel > 1; });
  const bool by_place = strips.front().spots.size() <= kMostColumns &&
                        std::ranges::all_of(strips, [&strips](const auto& strip) {
                          return same_places(strip, strips.front());
                        });
  Cells heads;
  if (several && !check.gaps()) heads.emplace_back("panel");
  if (!rail) heads.push_back(counted_word(check));
  if (by_place) {
    for (const auto& spot : strips.front().spots) heads.push_back("at " + size_text(spot.position_mm, unit));
  } else {
    heads.emplace_back("place");
    heads.emplace_back(check.gaps() ? "gaps" : "widths");
  }
  std::vector<Cells> rows;
  for (const auto& strip : strips) {
    Cells lead;
    if (several && !check.gaps()) lead.push_back(std::to_string(strip.panel));
    if (!rail) lead.push_back(check::strip_name(check, strip));
    Cells row = lead;
    for (const auto& spot : strip.spots) {
      if (!by_place) {
        row = lead;
        row.push_back(size_text(spot.position_mm, unit));
      }
      row.push_back(typed(spot));
      if (!by_place) rows.push_back(row);
    }
    if (by_place) rows.push_back(row);
  }
  const char* from = rail                                   ? "from the rail's near end"
                     : check.test == check::TestKind::frame ? "from the outer end"
                                                            : "from the fence end";
  table(markup,
        fmt::format("{} as typed, in {} where no unit stands with them; places {}",
                    check.gaps() ? "Gaps" : "Widths", check.unit == units::Unit::mm ? "mm" : "inches", from),
        heads, rows, by_place ? Literal("stack") : Literal("short"));
}

}  // namespace quarterturn::report
