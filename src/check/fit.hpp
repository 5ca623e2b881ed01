// SPDX-License-Identifier: MIT
/// \file fit.hpp
/// From readings to the corner error eta with honest bounds.
///
/// In       a Check; knowledge from outside as variances on degrees of freedom; earlier checks of a log
/// Out      eta, three scatters, the tapers, what does not fit, what cannot be seen
/// Maths    METHOD.md (M9)–(M36): split restricted likelihood, Satterthwaite, two special rules
/// Assumes  readings of one spot independent; seating one random angle a cut; saw marks independent between
/// spots Accuracy coverage of every design in tests/check/coverage_test.cpp; R in tests/check/peers_test.cpp
#pragma once

#include <array>
#include <functional>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "check/check.hpp"
#include "check/corners.hpp"
#include "check/finding.hpp"

namespace quarterturn::check {

inline constexpr double kUnbounded = std::numeric_limits<double>::infinity();

enum class Component { reading = 0, saw_marks = 1, seating = 2 };
enum class Source { readings, caliper, log, assumed, unknown };

/// An independent variance on degrees of freedom: the one door for knowledge from outside (M17).
struct Evidence {
  Component component = Component::reading;
  double s2 = 0;  ///< mm^2 (seating: the seating in mm, squared)
  double nu = 0;  ///< degrees of freedom
  Source source = Source::caliper;
  std::string check_id;
};

/// One earlier check of the same setup in the split likelihood: own eta, shared variances (M18).
struct ScatterEvidence {
  Check readings;
  double span_mm = 0;
  std::string check_id, person;
};

struct FitOptions {
  double confidence = 0.95;
  bool use_assumed = true;              ///< assumed seating while nothing else informs it
  double omega2 = 0.2;                  ///< between-check variance of ln s^2 (discount of a log)
  std::optional<double> span_mm;        ///< distance of the fence contacts; empty: kDefaultSpanMm, said so
  std::optional<double> bar_length_mm;  ///< the fence is a bar: contacts are the ends of the panel's edge
};
inline constexpr double kDefaultSpanMm = 384.0;  ///< four pitches of 96 mm, common practice, no source
inline constexpr double kBarEdgeMm =
    600.0;  ///< edge on a bar when the panel's size is not stated; common practice, no source
inline constexpr double kAssumedSeatingMm = 0.02;  ///< common practice, no source
/// A log that counts for as much, with today's strips, stands without the assumption (M19).
inline constexpr double kAssumedSeatingDof = 3.0;

/// A value with its uncertainty; or 'cannot tell' with its reason.
struct Estimate {
  double x = 0;  ///< rad
  double u = 0;  ///< standard uncertainty, rad
  double dof = kUnbounded;
  double confidence = 0.95;
  double half_width = 0;               ///< rad
  std::optional<std::string> unknown;  ///< reason code when there is no interval; u, dof, half_width then
                                       ///< hold for measuring alone
  [[nodiscard]] double low() const { return x - half_width; }
  [[nodiscard]] double high() const { return x + half_width; }
};

struct Scatter {
  double estimate_mm = 0;
  double dof = 0;
  Source source = Source::unknown;
  bool pooled = false;  ///< with knowledge from outside of the same scatter
};

struct Taper {
  int panel, from_cut, to_cut;
  double taper_rad, u_rad;  ///< u: readings and saw marks only
  double turns = 4;         ///< what eta counts for in it: t of (M7)
  double squares = 4;       ///< of the corner counts that it sums
  [[nodiscard]] double corner_rad() const { return taper_rad / turns; }
  [[nodiscard]] double corner_u_rad() const { return u_rad / (turns < 0 ? -turns : turns); }
};

/// What the seating of the earlier checks was to a fit (M18).
enum class LogSeating {
  used,
  differs,           ///< today's strips scatter more than it lets expect: left out, `log-not-used`
  one_strip_each,    ///< no earlier check has two strips: nothing known of seating
  board_tapers,      ///< halves: how the boards' own tapers differ would pass as seating
  saw_marks_unseen,  ///< two spots a strip throughout: saw marks would pass as seating
};

/// What the earlier checks brought (M18). Their readings and residuals inform reading and saw marks always.
struct LogUse {
  int checks = 0, strips = 0;
  double nu_pure = 0, nu_line = 0;  ///< degrees of freedom of their readings, and of places about their lines
  double nu_counted = 0;  ///< degrees of freedom their seating counts for, discounted; 0: tells nothing
  std::optional<double>
      p_same;  ///< that today's strips scatter so much if seating is the log's; two strips on
  LogSeating seating = LogSeating::used;
  std::optional<double>
      half_width_without;        ///< [rad] of the same check without them; empty: it would have none
  bool assumed_without = false;  ///< and that would rest on assumed seating
  [[nodiscard]] bool used() const { return seating == LogSeating::used; }
};

/// What makes the variance of eta (M25): each scatter's square, times what of it is left in eta, and
/// rounding.
struct VarianceParts {
  std::array<double, 3> per_mm2{};  ///< by Component [rad^2/mm^2]
  double rounding = 0;              ///< known [rad^2]
};

/// Which rule made the interval.
enum class Rule { satterthwaite, panels, few_df };

struct Fit {
  Estimate eta;
  std::array<Scatter, 3> scatter;  ///< by Component
  double span_mm = 0;
  bool span_assumed = false;
  double seating_rad = 0;  ///< sigma_r
  std::vector<Taper> tapers;
  std::vector<Finding> findings;
  Rule rule = Rule::satterthwaite;
  VarianceParts parts;
  bool provisional = false;         ///< rests on assumed seating
  double measuring_half_width = 0;  ///< readings and saw marks alone
  double resolution_mm = 0;
  std::optional<LogUse> log;  ///< empty without earlier checks
  /// eta + e of the next panel: variance and dof; empty when one strip tells nothing of seating.
  struct NextPanel {
    double u, dof;
  };
  std::optional<NextPanel> next_panel;
  /// Probability that |eta| <= tolerance, by the same rule as the interval (M28), (M37).
  std::function<double(double tolerance_rad)> probability_within;
  /// The same were eta another, all else as it is.
  std::function<double(double eta_rad, double tolerance_rad)> probability_within_at;
};

/// No repeat, no residual, no caliper statement: the arithmetic can be shown, an interval cannot.
struct NoInterval {
  double eta_rad = 0;
  std::vector<Taper> tapers;
};

/// \param earlier  checks of the same setup as it stands now, in any order (log_of_person of log_choice.hpp)
/// \throws NoInterval when nothing informs the scatter of a reading; units::InputError from validate()
Fit fit(const Check& check, std::span<const Evidence> evidence = {},
        std::span<const ScatterEvidence> earlier = {}, const FitOptions& options = {});

/// The same without looking for what does not fit or cannot be seen: no findings, no `half_width_without`.
Fit fit_interval(const Check& check, std::span<const Evidence> evidence = {}, const FitOptions& options = {});

struct EarlierChecks;

/// The same fit over and over, for checks of one design: earlier checks are read once, and nothing is looked
/// for that does not fit; findings and what a log brought are left empty.
class Refit {
 public:
  /// \param like  a check of the design: strips, spots and readings as those to come
  Refit(const Check& like, std::vector<Evidence> evidence, std::span<const ScatterEvidence> earlier,
        const FitOptions& options);
  ~Refit();
  Refit(const Refit&) = delete;
  Refit& operator=(const Refit&) = delete;
  /// \throws NoInterval
  [[nodiscard]] Fit operator()(const Check& check) const;

 private:
  std::vector<Evidence> evidence_;
  FitOptions options_;
  std::unique_ptr<const EarlierChecks> earlier_;
};

}  // namespace quarterturn::check
