// SPDX-License-Identifier: MIT
#include "app/kept_things.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "files/caliper_classes.hpp"
#include "files/station_file.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

using units::InputError;

station::Side parse_side(std::string_view text, const std::string& what) {
  const std::string word = units::lowered(text);
  if (word == "left") return station::Side::left;
  if (word == "right") return station::Side::right;
  throw InputError(what, std::string(text), "left or right", {}, "as seen from where you stand");
}

station::PanelSide parse_panel_side(std::string_view text, const std::string& what) {
  const std::string word = units::lowered(text);
  if (word == "before" || word == "mine") return station::PanelSide::before;
  if (word == "beyond") return station::PanelSide::beyond;
  throw InputError(what, std::string(text), "before (your side of the fence) or beyond", {},
                   "where the panel lies against the fence");
}

/// A value to set: as typed, what it is for, and the unit of bare numbers.
struct Typed {
  std::string_view value;
  std::string what;
  units::Unit unit;
};

struct SetupRow {
  const char* what;
  void (*apply)(station::Setup&, const Typed&);
};

const std::vector<SetupRow>& setup_rows() {
  using station::Setup;
  static const std::vector<SetupRow> rows{
      {"tolerance",
       [](Setup& setup, const Typed& t) { setup.tolerance = units::parse_tolerance(t.value, t.unit); }},
      {"keep", [](Setup& setup, const Typed& t) { setup.keep = parse_side(t.value, t.what); }},
      {"rail-on-face",
       [](Setup& setup, const Typed& t) { setup.rail_on_face = parse_side(t.value, t.what); }},
      {"panel-side",
       [](Setup& setup, const Typed& t) { setup.panel_side = parse_panel_side(t.value, t.what); }},
      {"rail-near",
       [](Setup& setup, const Typed& t) { setup.rail.first.hole = station::parse_hole(t.value); }},
      {"rail-far",
       [](Setup& setup, const Typed& t) { setup.rail.second.hole = station::parse_hole(t.value); }},
      {"fence-left",
       [](Setup& setup, const Typed& t) { setup.fence.first.hole = station::parse_hole(t.value); }},
      {"fence-right",
       [](Setup& setup, const Typed& t) { setup.fence.second.hole = station::parse_hole(t.value); }},
  };
  return rows;
}

constexpr const char* kDrillScatter = "drill-scatter";

InputError none_of(const std::string& kind, const std::string& value, const std::vector<std::string>& names) {
  return {kind,
          value,
          names.empty() ? "one that was added; there is none yet" : units::one_of(names),
          {},
          units::did_you_mean(value, names)};
}

}  // namespace

void add_station(station::Store& store, const station::Station& station) {
  const auto names = store.list();
  if (std::find(names.begin(), names.end(), station.name) != names.end()) {
    throw InputError("station name", station.name, "a new name; a station of that name is there", {},
                     "see it with 'station show " + station.name + "', or choose another name");
  }
  station::validate(station);
  store.save(station);
}

const std::vector<std::string>& settable() {
  static const std::vector<std::string> words = [] {
    std::vector<std::string> made{kDrillScatter};
    for (const auto& row : setup_rows()) made.emplace_back(row.what);
    return made;
  }();
  return words;
}

station::Station set_in_station(station::Store& store, const std::string& name, std::string_view what,
                                std::string_view value, units::Unit unit) {
  auto station = store.find(name);
  const auto dot = what.rfind('.');
  const std::string setup_name(dot == std::string_view::npos ? "" : what.substr(0, dot));
  const std::string word(dot == std::string_view::npos ? what : what.substr(dot + 1));
  if (word == kDrillScatter && setup_name.empty()) {
    const auto scatter = units::parse_length(value, kDrillScatter, unit);
    if (!(scatter.mm() > 0))
      throw InputError(kDrillScatter, std::string(value), "a length above 0", {},
                       "how far holes stray from the grid, such as 0.1");
    station.grid.drill_scatter = scatter;
  } else {
    const auto& rows = setup_rows();
    const auto row =
        std::find_if(rows.begin(), rows.end(), [&](const SetupRow& r) { return word == r.what; });
    if (row != rows.end()) {
      const std::string real = station.setup(setup_name).name;
      row->apply(station.setups.at(real), {value, word, unit});
    } else if (setup_name.empty()) {  // among them the name, which 'rename' changes
      throw none_of("what to set", word, settable());
    } else {
      station = files::with_value(station, what, value, unit);
    }
  }
  station::validate(station);
  store.save(station);
  return station;
}

station::Station add_shim(station::Store& store, const std::string& name, const station::Shim& shim) {
  auto station = store.find(name);
  std::erase_if(station.shims, [&](const auto& other) { return other.name == shim.name; });
  station.shims.push_back(shim);
  store.save(station);
  return station;
}

station::Station remove_shim(station::Store& store, const std::string& name, const std::string& shim) {
  auto station = store.find(name);
  std::vector<std::string> names;
  for (const auto& other : station.shims) names.push_back(other.name);
  if (std::erase_if(station.shims, [&](const auto& other) { return other.name == shim; }) == 0) {
    throw none_of("shim", shim, names);
  }
  store.save(station);
  return station;
}

station::Station add_caliper(station::Store& store, const std::string& name,
                             const station::OwnedCaliper& caliper) {
  files::caliper_of_class(caliper.caliper_class);  // throws when there is no such class
  auto station = store.find(name);
  std::erase_if(station.calipers, [&](const auto& other) { return other.name == caliper.name; });
  station.calipers.push_back(caliper);
  store.save(station);
  return station;
}

station::Station remove_caliper(station::Store& store, const std::string& name, const std::string& caliper) {
  auto station = store.find(name);
  std::vector<std::string> names;
  for (const auto& other : station.calipers) names.push_back(other.name);
  if (std::erase_if(station.calipers, [&](const auto& other) { return other.name == caliper; }) == 0) {
    throw none_of("caliper", caliper, names);
  }
  store.save(station);
  return station;
}

Trial trial_of(const std::vector<check::Reading>& readings) {
  if (readings.size() < 3) {
    throw InputError("trial", std::to_string(readings.size()) + " readings",
                     "three or more, ten to be of use", {},
                     "open and close the jaws between readings, always at the same spot");
  }
  const auto n = static_cast<double>(readings.size());
  Trial trial;
  trial.readings = static_cast<int>(readings.size());
  trial.lowest_mm = trial.highest_mm = readings.front().mm;
  double step_mm = readings.front().step_mm;
  for (const auto& reading : readings) {
    trial.mean_mm += reading.mm / n;
    trial.lowest_mm = std::min(trial.lowest_mm, reading.mm);
    trial.highest_mm = std::max(trial.highest_mm, reading.mm);
    step_mm = std::min(step_mm, reading.step_mm);
  }
  double squares = 0;
  for (const auto& reading : readings) squares += (reading.mm - trial.mean_mm) * (reading.mm - trial.mean_mm);
  trial.caliper.name = "trial";
  trial.caliper.resolution_mm = step_mm;
  // Identical readings: the step itself still scatters by step/sqrt(12) (GUM F.2.2.1).
  trial.caliper.repeatability_mm = std::max(std::sqrt(squares / (n - 1)), step_mm / std::sqrt(12.0));
  trial.caliper.reliability = 1.0 / std::sqrt(2.0 * (n - 1));
  return trial;
}

}  // namespace quarterturn::app
