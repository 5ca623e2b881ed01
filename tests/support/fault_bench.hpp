// SPDX-License-Identifier: MIT
/// \file fault_bench.hpp
/// A workshop whose dogs, holes, rail and people can be put out of order, and which keeps a log of checks.
///
/// In       a state in millimetres, changed by whoever holds the bench
/// Out      a Scene: every check sawn by the oracle, cut by cut, measured with noise, and fitted
/// Method   nothing of a cause is put in by its formula: the table is moved, the panel is sawn (oracle.hpp)
#pragma once

#include <array>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "check/fit.hpp"
#include "history/scene.hpp"
#include "support/oracle.hpp"

namespace quarterturn::test {

double uniform(std::mt19937_64& random);
double between(std::mt19937_64& random, double low, double high);
int whole(std::mt19937_64& random, int low, int high);  ///< both included
bool chance(std::mt19937_64& random, double p);

struct TrueDog {
  double diameter_mm = 20;
  Point lean;           ///< of its contact as it was put in first; turns with it
  Point in_hole;        ///< of this insertion
  double worn_mm = 0;   ///< off the face that is touched
  double gap_mm = 0;    ///< between it and what should touch it
  double shim_mm = 0;   ///< on its face
  double gives_mm = 0;  ///< standard deviation from cut to cut
  bool turned = false;
};

class FaultBench {
 public:
  explicit FaultBench(std::mt19937_64& random);

  // The state.
  station::Station station;
  std::map<std::string, Point> holes;
  std::map<std::string, TrueDog> dogs;
  double shear_rad = 0, curvature_per_mm = 0;
  double play_mm = 0.02;                         ///< hole minus dog
  double seating_mm = 0.012, wobble_per_mm = 0;  ///< wobble: sd of the curvature from cut to cut
  double chip_share = 0, chip_mm = 0;            ///< of cuts with something at low-2
  double person_rad = 0;                         ///< a lean of whoever pushes the panel
  std::string person = "one", caliper = "first";
  std::map<std::string, std::vector<check::ScatterEvidence>> earlier;
  double day = 0;
  std::optional<int> strips_a_check;  ///< of a check; else one to three
  history::Scene scene;
  int insertion = 0;
  history::Turned turned;

  std::mt19937_64& random() { return random_; }
  void reinsert();  ///< every dog anew
  void event(const std::string& kind, const std::string& target = "");
  /// Foil on a dog's face; `setup` is the one it is meant for.
  void shim(const std::string& setup, const std::string& dog, double mm);
  [[nodiscard]] double eps(const std::string& setup) const;
  /// Brings eps near `eps`, by the right fence dog's place, without a record: it was done before the log.
  void adjust(const std::string& setup, double eps);
  /// Change of eps of a setup by one mm of a dog across its line, or off it.
  [[nodiscard]] double per(const std::string& setup, const std::string& dog, bool off) const;
  void wait(double days) { day += days; }
  /// Makes a check; `spoil` changes what was measured before it is fitted.
  template <typename Spoil>
  void check(const std::string& setup, Spoil spoil) {
    auto made = measure(setup);
    spoil(made);
    keep(setup, made);
  }
  void check(const std::string& setup) {
    check(setup, [](check::Check&) {});
  }

 private:
  [[nodiscard]] Table table(const std::string& setup, bool with_noise);
  [[nodiscard]] Table still_table(const std::string& setup) const;
  [[nodiscard]] check::Check measure(const std::string& setup);
  void keep(const std::string& setup, const check::Check& made);
  [[nodiscard]] std::vector<OracleStrip> cut(const std::string& setup, int cuts);

  std::mt19937_64& random_;
};

}  // namespace quarterturn::test
