// SPDX-License-Identifier: MIT
#include "report/station_report.hpp"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::report {
namespace {

using Json = nlohmann::ordered_json;

std::string dump(const Json& json) {
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

const char* side(station::Side value) {
  return value == station::Side::left ? "left" : "right";
}

}  // namespace

std::string tolerance_words(const units::Tolerance& tolerance, const TextOptions& options) {
  if (tolerance.offset && tolerance.over) {
    return fmt::format(
        "{} over {}",
        length_text(tolerance.offset->mm(), options.unit, fine_decimals(tolerance.offset->mm())),
        size_text(tolerance.over->mm(), options.unit));
  }
  return units::shortest(tolerance.angle.deg()) + "°";
}

namespace {

std::string post_words(const station::Post& post) {
  return post.hole.name() + (post.dog.empty() ? "" : " (" + units::inert(post.dog) + ")");
}

std::string setup_lines(const station::Setup& setup, const TextOptions& options) {
  std::string text =
      fmt::format("setup {}, {}°\n", units::inert(setup.name), units::shortest(setup.nominal_deg));
  text += fmt::format("  rail dogs near {}, far {}; the rail rests on their {} face{}\n",
                      post_words(setup.rail.first), post_words(setup.rail.second), side(setup.rail_on_face),
                      setup.rail_name.empty() ? "" : "; rail " + units::inert(setup.rail_name));
  text += fmt::format(
      "  fence dogs left {}, right {}{}; the panel lies {}\n", post_words(setup.fence.first),
      post_words(setup.fence.second),
      setup.bar ? "; a bar of " + size_text(setup.bar->length.mm(), options.unit) + " lies against them" : "",
      setup.panel_side == station::PanelSide::before ? "before the fence (your side)" : "beyond the fence");
  text += fmt::format("  the part {} of the rail is kept; {}\n", side(setup.keep),
                      setup.tolerance ? "square enough: " + tolerance_words(*setup.tolerance, options)
                                      : std::string("no tolerance"));
  return text;
}

}  // namespace

std::string station_text(const station::Station& station, const TextOptions& options) {
  std::string text =
      fmt::format("station {}: {} columns (A to your right), {} rows (1 nearest you), {} apart, holes {}\n",
                  units::inert(station.name), station.grid.columns, station.grid.rows,
                  size_text(station.grid.pitch.mm(), options.unit),
                  size_text(station.grid.hole_diameter.mm(), options.unit));
  for (const auto& [name, dog] : station.dogs) {
    text += fmt::format("dog {}: {}\n", units::inert(name), length_text(dog.diameter.mm(), options.unit));
  }
  for (const auto& [name, setup] : station.setups) text += setup_lines(setup, options);
  text += "shims\n" + shims_text(station.shims, options) + "calipers\n" + calipers_text(station.calipers);
  return finished(text, options);
}

std::string station_names_text(const std::vector<std::string>& names) {
  if (names.empty()) return "No station yet.\n";
  std::string text;
  for (const auto& name : names) text += units::inert(name) + "\n";
  return text;
}

std::string station_names_json(const std::vector<std::string>& names) {
  return dump({{"schema", "quarterturn/stations/1"}, {"stations", names}});
}

std::string shim_line(const station::Shim& shim, const TextOptions& options) {
  return fmt::format("{}: {} layer{} of {}{}", units::inert(shim.name), shim.layers,
                     shim.layers == 1 ? "" : "s", length_text(shim.layer.mm(), options.unit, 3),
                     shim.hard ? ", hard" : "");
}

std::string shims_text(const std::vector<station::Shim>& shims, const TextOptions& options) {
  if (shims.empty()) return "  none\n";
  std::string text;
  for (const auto& shim : shims) text += "  " + shim_line(shim, options) + "\n";
  return text;
}

std::string shims_json(const std::vector<station::Shim>& shims) {
  Json list = Json::array();
  for (const auto& shim : shims) {
    list.push_back({{"name", shim.name},
                    {"layer_mm", shim.layer.mm()},
                    {"uncertainty_mm", shim.uncertainty.mm()},
                    {"layers", shim.layers},
                    {"hard", shim.hard}});
  }
  return dump({{"schema", "quarterturn/shims/1"}, {"shims", list}});
}

std::string calipers_text(const std::vector<station::OwnedCaliper>& calipers) {
  if (calipers.empty()) return "  none\n";
  std::string text;
  for (const auto& caliper : calipers) {
    text += fmt::format("  {}: class {}\n", units::inert(caliper.name), units::inert(caliper.caliper_class));
  }
  return text;
}

std::string calipers_json(const std::vector<station::OwnedCaliper>& calipers) {
  Json list = Json::array();
  for (const auto& caliper : calipers)
    list.push_back({{"name", caliper.name}, {"class", caliper.caliper_class}});
  return dump({{"schema", "quarterturn/calipers/1"}, {"calipers", list}});
}

std::string caliper_classes_text(const std::vector<ClassLine>& classes, const TextOptions& options) {
  std::string text;
  for (const auto& line : classes) {
    text += fmt::format(
        "{}: reads to {}, repeats to {} (one standard deviation, known to {}), reaches {}\n  source: {}\n",
        line.caliper.name, length_text(line.caliper.resolution_mm, options.unit, 3),
        length_text(line.caliper.repeatability_mm, options.unit, 3), percent_text(line.caliper.reliability),
        size_text(line.caliper.reach_mm, options.unit), line.source);
  }
  return finished(text, options);
}

std::string trial_text(const TrialLine& trial, const TextOptions& options) {
  const int digits = trial.caliper.resolution_mm < 0.00999 ? 3 : 2;
  std::string text = fmt::format(
      "{} readings from {} to {}: one reading scatters by {} (one standard deviation, itself known to {}).\n",
      trial.readings, length_text(trial.lowest_mm, options.unit, digits),
      length_text(trial.highest_mm, options.unit, digits),
      length_text(trial.caliper.repeatability_mm, options.unit, 3), percent_text(trial.caliper.reliability));
  const double unit_mm = options.unit == units::Unit::inch ? units::kMmPerInch : 1.0;
  text +=
      fmt::format("Use it so: --caliper \"resolution {}, repeatability {}, reliability {}\"\n",
                  units::shortest(std::round(trial.caliper.resolution_mm / unit_mm * 1e6) / 1e6),
                  fixed(trial.caliper.repeatability_mm / unit_mm, options.unit == units::Unit::inch ? 5 : 4),
                  fixed(trial.caliper.reliability, 2));
  if (trial.readings < 10) text += "Ten readings tell more.\n";
  return finished(text, options);
}

std::string trial_json(const TrialLine& trial) {
  return dump({{"schema", "quarterturn/caliper-trial/1"},
               {"readings", trial.readings},
               {"mean_mm", trial.mean_mm},
               {"lowest_mm", trial.lowest_mm},
               {"highest_mm", trial.highest_mm},
               {"resolution_mm", trial.caliper.resolution_mm},
               {"repeatability_mm", trial.caliper.repeatability_mm},
               {"reliability", trial.caliper.reliability}});
}

}  // namespace quarterturn::report
