// SPDX-License-Identifier: MIT
/// \file station.hpp
/// A station: a worktop drilled with a square grid of dog holes, what stands in it, and its setups.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "station/hole.hpp"
#include "units/length.hpp"
#include "units/tolerance.hpp"

namespace quarterturn::station {

using units::Length;

struct Grid {
  Length pitch;  ///< spacing of the holes, > 0
  int columns = 0, rows = 0;
  Length hole_diameter = Length::from_mm(20);
  std::vector<Hole> missing;            ///< holes of the grid that were never drilled
  std::optional<Length> drill_scatter;  ///< sd of a hole's position a direction; empty = not stated

  /// Whether the hole is on the grid and drilled.
  [[nodiscard]] bool has(Hole hole) const;
};

enum class Held { screwed, pushed, wedged, unknown };

struct Dog {
  std::string name;
  Length diameter;
  Held held = Held::unknown;
  std::optional<Length> eccentric;      ///< distance of the dog's axis from its pin's, >= 0
  std::optional<double> eccentric_deg;  ///< its direction, counter-clockwise from +x, as the dog stands
  std::optional<Length> play;           ///< wins over hole minus dog
};

struct Rail {
  std::string name;
  Length length, width;
  bool joined = false;
};

/// A straight bar lying against the fence dogs; the panel is pushed against the bar.
struct Bar {
  Length length;
  std::optional<Length> bow;    ///< sagitta; positive: panel side hollow
  std::optional<Length> taper;  ///< width at its left end minus width at its right end
};

/// A dog standing in a hole.
struct Post {
  Hole hole;
  std::string dog;  ///< name in Station::dogs
};

struct DogPair {
  Post first;   ///< rail: near; fence: left
  Post second;  ///< rail: far;  fence: right
};

enum class Side { left, right };          ///< of the rail, seen by the operator
enum class PanelSide { before, beyond };  ///< of the fence: operator's side, or the far side

struct Setup {
  std::string name;
  double nominal_deg = 90.0;  ///< angle between the fence's +x and the rail's near-to-far direction
  DogPair rail;
  Side rail_on_face = Side::right;  ///< face of the rail dogs that the rail rests on
  std::string rail_name;            ///< name in Station::rails, or empty
  DogPair fence;
  std::optional<Bar> bar;
  PanelSide panel_side = PanelSide::before;
  Side keep = Side::left;  ///< the kept panel lies left or right of the rail
  std::optional<units::Tolerance> tolerance;
};

/// Shim stock the person owns.
struct Shim {
  std::string name;
  Length layer;        ///< thickness of one layer
  Length uncertainty;  ///< standard uncertainty of one layer's thickness
  int layers = 1;      ///< how many can be stacked
  bool hard = false;   ///< steel or card, against tape and paper that compress
};

/// A caliper the person owns, by the name of its class (files/caliper_classes.hpp).
struct OwnedCaliper {
  std::string name, caliper_class;
};

struct Station {
  std::string id;  ///< universally unique; empty until a store gives one
  std::string name;
  Grid grid;
  std::map<std::string, Dog> dogs;
  std::map<std::string, Rail> rails;
  std::vector<Shim> shims;
  std::vector<OwnedCaliper> calipers;
  std::map<std::string, Setup> setups;

  /// The setup of that name; with an empty name the only one. \throws units::InputError naming those there
  /// are
  [[nodiscard]] const Setup& setup(const std::string& name) const;
};

/// Holds a station to its own rules: holes on the grid and drilled, no two dogs in one hole, named dogs,
/// rails and diameters known, near before far, left before right, nominal angle that of the holes. \throws
/// units::InputError naming the path of the fault, e.g. `setups.crosscut.rail.far.hole`
inline constexpr double kLongestMm = 10000.0;  ///< no table is larger

void validate(const Station& station);

/// Where stations are kept between runs; the prompt and the command line know only this.
class Store {
 public:
  virtual ~Store() = default;
  [[nodiscard]] virtual std::vector<std::string> list() const = 0;
  /// \throws units::InputError with the nearest name when there is none of that name
  [[nodiscard]] virtual Station find(const std::string& name) const = 0;
  virtual void save(const Station& station) = 0;
  virtual void rename(const std::string& from, const std::string& to) = 0;
};

}  // namespace quarterturn::station
