// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "report/amounts.hpp"
#include "report/care.hpp"
#include "report/page.hpp"
#include "report/sheets.hpp"
#include "report/station_report.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

constexpr double kTurns = 4;  // corners that a strip of a five-cut sums
constexpr double kSquareDeg = 1e-4;
constexpr int kBlankRows = 6;

/// The stock that makes the finest steps with enough layers for three of them; else the finest.
const station::Shim* shim_for(const station::Station& station) {
  const station::Shim* best = nullptr;
  for (const auto& shim : station.shims) {
    const bool enough = shim.layers >= 3, best_enough = best != nullptr && best->layers >= 3;
    if (best == nullptr || enough > best_enough ||
        (enough == best_enough && shim.layer.mm() < best->layer.mm()))
      best = &shim;
  }
  return best;
}

std::string layers_words(const LayerTable& table, const LayerRow& row, units::Unit unit, bool stock) {
  if (!stock) return length_text(row.layers * table.shim.layer.mm(), unit);
  return fmt::format("{} layer{}", row.layers, row.layers == 1 ? "" : "s");
}

/// `Wider: FAR rail dog (E10)`
std::string dog_line(const station::Setup& setup, bool far) {
  return fmt::format("{} rail dog ({}), {} face", far ? "FAR" : "NEAR",
                     (far ? setup.rail.second : setup.rail.first).hole.name(),
                     setup.rail_on_face == station::Side::right ? "right" : "left");
}

bool is_mitre(const station::Setup& setup) {
  return std::fabs(setup.nominal_deg - 90) > kSquareDeg;
}

void corrections(Markup& page, const CardShown& shown, const station::Setup& setup) {
  const auto geometry = station::geometry_of(shown.station, setup);
  const auto* owned = shim_for(shown.station);
  station::Shim shim;
  shim.layer = units::Length::from_mm(0.1);
  shim.layers = 5;
  if (owned != nullptr) shim = *owned;
  const auto rows = layer_table(geometry, shim, shown.apart_mm);
  if (rows.rows.empty()) return;
  const double limit = setup.tolerance ? kTurns * setup.tolerance->angle.rad() * shown.apart_mm : 0;
  std::vector<Cells> cells;
  if (setup.tolerance)
    cells.push_back({"up to " + length_text(limit, shown.unit), "leave it alone", "leave it alone"});
  for (const auto& row : rows.rows) {
    if (row.difference_mm <= limit) continue;
    const std::string words = layers_words(rows, row, shown.unit, owned != nullptr);
    cells.push_back({length_text(row.difference_mm, shown.unit), words, words});
  }
  page.element("h2", fmt::format("Five cuts, measured {} apart. At the end marked F the strip is",
                                 size_text(shown.apart_mm, shown.unit)));
  table(page, "",
        {"by", "WIDER at F: " + dog_line(setup, rows.far_when_wider),
         "NARROWER at F: " + dog_line(setup, !rows.far_when_wider)},
        cells, "rows");
  std::string foot = owned != nullptr
                         ? fmt::format("Layers are of {}, {} each. ", units::inert(owned->name),
                                       length_text(owned->layer.mm(), shown.unit, 3))
                         : "No shims are noted for this station: the thickness stands in place of layers. ";
  foot += "Shims go where the rail touches the dog. Beyond the last row: find out first what happened.";
  page.element("p", foot);
}

}  // namespace

LayerTable layer_table(const station::Geometry& geometry, const station::Shim& shim, double apart_mm,
                       int most) {
  LayerTable made{shim, {}, true};
  const bool square = std::fabs(geometry.nominal_rad - std::numbers::pi / 2) < kSquareDeg;
  if (!geometry.rail || geometry.q == 0 || !square) return made;
  const auto& rail = *geometry.rail;
  // (M4) a layer at the far dog; wider at F is eta > 0, and eps = q eta has to come down by it.
  const double per_layer = station::eps_change_rail(rail, true, shim.layer.mm() * rail.n);
  made.far_when_wider = per_layer * geometry.q < 0;
  for (int n = 1; n <= std::min(most, shim.layers); ++n)
    made.rows.push_back({kTurns * n * std::fabs(per_layer) * apart_mm, n});
  return made;
}

std::string card_page(const CardShown& shown, const std::string& made_on) {
  const auto& setup = shown.station.setup(shown.setup);
  const TextOptions options{.unit = shown.unit, .plain = true};
  Markup page;
  page.open("main");
  page.element("h1", shown.station.name + (shown.station.setups.size() > 1 ? ", " + shown.setup : ""));
  if (shown.last_date.empty()) {
    page.element("p", "Not checked yet.", {{"class", "big"}});
  } else {
    page.open("p", {{"class", "big"}});
    if (!shown.last_verdict.empty()) page.element("strong", shown.last_verdict).text(" ");
    page.text(unbroken(shown.last_date + ": " + shown.last_result)).close();
    page.element("p", "Next check: " + shown.due, {{"class", "big"}});
  }
  const bool mitre = is_mitre(setup);
  if (setup.tolerance)
    page.element("p", (mitre ? "True within " : "Square within ") +
                          tolerance_words(*setup.tolerance, options) + ". Check also after any knock.");
  if (mitre)
    page.element("p",
                 "This setup cuts mitres: a ring of pieces tests it, not a strip. 'check frame' tells what "
                 "its gap means, and which dog to shim.");
  corrections(page, shown, setup);
  page.element(
      "p",
      "Unplug the saw first. Wipe the dog, shim it, push the rail home; paper is gripped at BOTH rail "
      "dogs, then clamp. Then " +
          std::string(mitre ? "a new ring." : "five new cuts."));
  page.open("div", {{"class", "keep"}}).element("h2", shown.last_date.empty() ? "Checks" : "Since then");
  table(page, "",
        {"date", mitre ? "gap at the last joint, end" : "wider / narrower at F by", "done", "next check",
         "initials"},
        std::vector<Cells>(kBlankRows, Cells(5, " ")), "boxes");
  page.close();
  page.element("p",
               fmt::format("Card of {}. The saw maker's manual comes first. {}", made_on, kCertifiesNothing));
  page.close();
  return page_of("Card: " + shown.station.name, "card", page);
}

}  // namespace quarterturn::report
