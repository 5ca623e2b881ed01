// SPDX-License-Identifier: MIT
/// \file correct.hpp
/// Whether to move anything, what, by how much, and what it leaves.
///
/// In       the squareness error eps with its uncertainty, the lines of the setup, what the person owns
/// Out      a decision; every way to correct, ranked; what the next strip should read
/// Maths    METHOD.md (M40)–(M50), (M116)
/// Assumes  eps applies to the dogs as they stand; the saw is unplugged before anything is touched
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "check/fit.hpp"
#include "station/geometry.hpp"
#include "station/station.hpp"

namespace quarterturn::survey {
class Adjustment;
}

namespace quarterturn::correct {

/// What was believed of eps before this check (M40): a log's prediction, or the drilling scatter of a new
/// station.
struct Prediction {
  double m0 = 0, tau2 = 0;  ///< rad, rad^2
  bool from_log = false;
};
/// A new station: 0 and 2 sigma_h^2 (1/B_r^2 + 1/B_f^2); sigma_h from the grid, else kDrillScatterMm.
Prediction prediction_of_new_station(const station::Geometry& geometry,
                                     std::optional<double> drill_scatter_mm);
inline constexpr double kDrillScatterMm = 0.1;  ///< common practice, no source

/// What the log tells of eps on the dogs as they stand.
struct Believed {
  /// After a move of known size: eps believed before it plus the move, with both variances.
  std::optional<Prediction> after_move;
  std::vector<double> eps, u;  ///< of the checks since, in the order of their dates [rad]
};
/// (M40): the prior sharpened by the checks; from three on with what lies between checks. Without any of
/// either: the prior as it is.
Prediction prediction_from_log(const Prediction& of_new_station, const Believed& believed);
/// Whether a check lies too far from what was believed of it, 1.96 standard uncertainties of their
/// difference: a move that was noted but did nothing, or a table that changed.
bool contradicts(const Prediction& prior, double eps_rad, double u_rad);

/// An earlier valid check, for 'find first'.
struct LastCheck {
  double eps_rad, u_rad;
  bool explained = false;  ///< an event since then explains a change
};

/// The cost of a move as an error, c = T/4 (M42): a smaller error is not worth touching the dogs for.
inline constexpr double kMoveCostShare = 0.25;

enum class Correct { yes, no, unclear };

struct Decision {
  Correct correct = Correct::no;
  bool find_first = false;
  double mu = 0, v = 0;  ///< posterior mean and variance of eps, rad
  double probability_improves = 0.5;
  double remaining_u = 0;  ///< sqrt(v + u_a^2)
};
/// \param u_action  standard uncertainty of the move, rad
Decision decide(double eps_rad, double u_rad, const Prediction& prior, double u_action, double tolerance_rad,
                std::optional<LastCheck> last = std::nullopt);

enum class Means {
  shift,
  shim,
  re_seat,
  turn_dog,
  eccentric,
  exchange_dogs,
  turn_bar,
  other_rail,
  wider_pair,
  other_holes,
  re_bore
};
/// One row a means: its word in JSON, minutes, whether it can be undone, what a person is told.
struct MeansRow {
  Means means;
  std::string_view word;
  int minutes;
  bool undoable;
  std::string_view care;  ///< what it needs or risks
};
const MeansRow& means_row(Means means);

enum class WhichDog { rail_far, rail_near, fence_right, fence_left, none };
std::string_view dog_words(WhichDog dog);  ///< 'far rail dog', …

/// One shim of a stack.
struct Part {
  std::string shim;
  int layers = 0;
};

/// A dog that goes into another hole.
struct HoleChange {
  WhichDog dog = WhichDog::none;
  station::Hole from, to;
};
/// What a survey foretells of other holes, beside what any move has.
struct OtherHolesMove {
  std::vector<HoleChange> changes;
  double change_rad = 0, change_u_rad = 0;  ///< of eps, by the survey alone
  double improves = 0, within = 0;          ///< chances
  std::vector<station::Hole> unseen;        ///< holes nobody measured
};

struct Move {
  Means means = Means::shift;
  WhichDog dog = WhichDog::none;
  std::optional<station::Hole> hole;
  std::string face;                       ///< 'left', 'right', 'operator's side', 'far side', or empty
  double shift_x_mm = 0, shift_y_mm = 0;  ///< of the dog, or of the line at that dog
  std::vector<Part> parts;
  double moved_rad = 0;  ///< change of eps it makes
  /// Size not known beforehand: try and measure. moved_rad is then the largest in the direction wanted (0:
  /// not even that is known), and what remains is eps as it is.
  bool bound_only = false;
  double u_action_rad = 0;
  int minutes = 0;
  bool undoable = true;
  bool advised = false;  ///< the one to do; none while it says to measure, or to find the cause, first
  /// The instruction, in words: what, which dog (hole), which face. `{name}` stands for a length of
  /// `numbers`, as in check::FindingRow; report/ puts it in, in the person's unit. Names that people gave are
  /// made inert and brace-free.
  std::string text;
  std::map<std::string, double> numbers;  ///< mm, by name
  double remaining_rad = 0, remaining_u_rad = 0;
  double one_layer_rad = 0;  ///< size of what one layer of the first part does, >= 0
  std::optional<OtherHolesMove> other_holes;
};

/// A survey of the station's holes.
struct Surveyed {
  const survey::Adjustment* adjustment = nullptr;
  bool has_check = false;  ///< the check that is asked about is among its observations
  bool between = false;  ///< something stands between dogs and rail or panel that the survey knows nothing of
  /// Whether the table could be used so: near, far, left, right.
  std::function<bool(station::Hole, station::Hole, station::Hole, station::Hole)> usable;
};
/// How it went together with the check.
struct SurveyUse {
  enum class How { both, has_check, between, contradicted, difference, not_this_setup };
  How how = How::both;
  std::optional<double> foretold_rad, foretold_u_rad;  ///< of the setup in use, by the survey
  bool dogs_as_stated = false;  ///< it does not part unequal dogs from holes: stated diameters were believed
  bool named = false;           ///< some other holes are better
};

struct Request {
  double eps_rad = 0, u_rad = 0;  ///< from the check; u as Outcome::acting_u_rad
  double tolerance_rad = 0;
  Prediction prior;
  station::Geometry geometry;
  const station::Station* station = nullptr;  ///< empty from options alone
  const station::Setup* setup = nullptr;
  std::vector<station::Shim> shims;  ///< when there is no station
  std::optional<LastCheck> last;
  std::optional<Surveyed> survey;
};
struct Advice {
  Decision decision;
  std::vector<Move> moves;  ///< the best one first if there is one, then ranked; the plain shifts at the end
  bool has_best = false;    ///< moves.front() is what would be done, now or if it stays so
  std::optional<SurveyUse> survey;  ///< with one
  bool ask_rail_straight = false;   ///< beyond 0.10 mm over 600: straightness of the rail first (M6)
};
Advice advise(const Request& request);

/// What looked like a case for a move is none yet. \param keep_best  whether a best move may still be named
void hold_back(Advice& advice, bool keep_best);

/// What the next strip, or the gap at the next joint, should read after `moved_rad`, (M48): w_0 + tau D q
/// d_eps, in mm, F end minus free end.
struct Expected {
  double was_mm, expect_mm, u_mm;
  double wrong_dog_mm;       ///< w_0 - d: wrong dog or face, or F wrong both times
  double f_wrong_before_mm;  ///< d - w_0
  double f_wrong_now_mm;     ///< -(w_0 + d)
};
/// \param turns, squares  what eta counts for in it, and the sum of squares of its corner counts (M7)
Expected expected_strip(const check::Fit& fit, double apart_mm, double turns, double squares,
                        double last_difference_mm, int q, double moved_rad, double u_action_rad,
                        double strip_variance_rad2);

}  // namespace quarterturn::correct
