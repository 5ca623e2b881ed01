// SPDX-License-Identifier: MIT
#include "check/fit.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "check/interval.hpp"
#include "check/misfit.hpp"
#include "check/mistakes.hpp"
#include "check/scatter.hpp"
#include "check/verdict.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::check {

namespace {

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2;
constexpr const char* kBoardTaperUnseen = "board-taper-unseen";

double quantile(double confidence, double dof) {
  return stats::t_quantile(0.5 * (1 + confidence), dof);
}

double chi2_dof(double theta, double variance) {
  return variance > 0 ? 2 * theta * theta / variance : 0.0;
}

/// Variance of the weighted tapers from readings and saw marks alone, with its degrees of freedom.
struct Measuring {
  double variance, dof;
};
Measuring measuring_of(const ScatterFit& s, std::span<const double> weights) {
  Measuring m{0, kUnbounded};
  double gradient[3] = {0, 0, 0};
  for (std::size_t j = 0; j < weights.size(); ++j) {
    const double w2 = weights[j] * weights[j];
    m.variance += w2 * s.tapers.variance[j];
    gradient[kReading] += w2 * s.tapers.reading_part[j];
    gradient[kSaw] += w2 * s.tapers.saw_part[j];
  }
  // Seating is not part of it: its row of the information is left out, not held at its estimate.
  std::vector<double> information = s.information;
  for (std::size_t k = 0; k < 3; ++k) information[k * 3 + kSeating] = information[kSeating * 3 + k] = 0;
  m.dof = stats::satterthwaite(m.variance, gradient, information);
  return m;
}

/// \param weights  of the tapers in eta
VarianceParts parts_of(const ScatterFit& s, const std::vector<double>& weights) {
  VarianceParts parts;
  TaperFit weighted = s.tapers;
  weighted.weights = weights;
  const std::vector<double> gradient = s.likelihood->variance_gradient(weighted);
  std::copy_n(gradient.begin(), 3, parts.per_mm2.begin());
  for (std::size_t j = 0; j < weights.size(); ++j) {
    const double scattered =
        s.tapers.reading_part[j] * s.theta[kReading] + s.tapers.saw_part[j] * s.theta[kSaw];
    parts.rounding += weights[j] * weights[j] * std::max(0.0, s.tapers.variance[j] - scattered);
  }
  return parts;
}

Source source_of(const ScatterFit& s, Component component, const Summary& today) {
  const auto k = static_cast<std::size_t>(component);
  if (!s.informed[k]) return Source::unknown;
  if (component == Component::seating) {
    if (s.assumed) return Source::assumed;
    return s.log || s.evidence_nu[k] > 0 ? Source::log : Source::readings;
  }
  if (component == Component::reading) {
    if (today.nu_pure > 0) return Source::readings;
    return s.earlier.nu_pure > 0 ? Source::log : Source::caliper;
  }
  return today.nu_line <= 0 && s.earlier.nu_line > 0 ? Source::log : Source::readings;
}

void fill_scatter(Fit& fit, const ScatterFit& s, const Summary& today) {
  for (std::size_t k = 0; k < 3; ++k) {
    const auto component = static_cast<Component>(k);
    fit.scatter[k].estimate_mm = std::sqrt(s.theta[k]);
    const Source source = fit.scatter[k].source = source_of(s, component, today);
    fit.scatter[k].pooled = s.evidence_nu[k] > 0 && (source == Source::readings || source == Source::log);
    fit.scatter[k].dof = s.is_free[k] ? chi2_dof(s.theta[k], s.theta_variance(component)) : 0.0;
  }
  if (s.informed[kReading]) {
    fit.scatter[kReading].dof = s.nu_reading;
    if (!s.is_free[kReading]) fit.scatter[kReading].estimate_mm = std::sqrt(s.s2_reading);
  }
}

/// (M25), (M26)
void satterthwaite_interval(Fit& fit, const ScatterFit& s) {
  const double variance = s.variance();
  fit.eta.u = std::sqrt(variance);
  fit.eta.dof = stats::satterthwaite(variance, s.likelihood->variance_gradient(s.tapers), s.information);
  fit.eta.half_width = quantile(fit.eta.confidence, fit.eta.dof) * fit.eta.u;
  fit.rule = Rule::satterthwaite;
}

/// Observations that share nothing (M27): tapers of panels, or halves of one board from both its ends, whose
/// mean is free of the board's own taper (M96).
struct Units {
  std::vector<double> taper, variance, weights;  ///< weights: of the tapers in eta
  double turns = 4;                              ///< what eta counts for in one
  double squares = 4;                            ///< its variance in units of one seating's
};
Units units_of(const ScatterFit& s, const Corners& corners) {
  Units units;
  units.turns = corners.t.front();
  units.squares = corners.squares(0);
  if (corners.boards == 0) {
    units.taper = s.tapers.taper;
    units.variance = s.tapers.variance;
    units.weights.assign(units.taper.size(), 1.0 / (static_cast<double>(units.taper.size()) * units.turns));
    return units;
  }
  units.squares /= 2;
  units.weights.assign(s.tapers.taper.size(), 0.0);
  const auto boards = static_cast<std::size_t>(corners.boards);
  for (std::size_t b = 0; b < boards; ++b) {
    std::vector<std::size_t> joints;
    for (std::size_t j = 0; j < s.tapers.taper.size(); ++j) {
      if (corners.K[j * boards + b] != 0) joints.push_back(j);
    }
    if (joints.size() != 2) continue;
    units.taper.push_back((s.tapers.taper[joints[0]] + s.tapers.taper[joints[1]]) / 2);
    units.variance.push_back((s.tapers.variance[joints[0]] + s.tapers.variance[joints[1]]) / 4);
    for (const std::size_t j : joints) units.weights[j] = 0.5 / units.turns;
  }
  for (double& weight : units.weights) weight /= static_cast<double>(units.taper.size());
  return units;
}

/// (M27)
void panels_rule(Fit& fit, const ScatterFit& s, const Corners& corners) {
  const Units units = units_of(s, corners);
  const auto n = static_cast<double>(units.taper.size());
  const double turns = std::fabs(units.turns);
  const Measuring measuring = measuring_of(s, units.weights);
  const PanelsInterval panels =
      panels_interval(units.taper, units.variance, measuring.dof, turns, fit.eta.confidence);
  fit.eta.x = units.turns < 0 ? -panels.mean : panels.mean;
  fit.eta.half_width = panels.half_width;
  fit.eta.dof = panels.dof;
  fit.eta.u = panels.half_width / quantile(fit.eta.confidence, panels.dof);
  fit.measuring_half_width = quantile(fit.eta.confidence, measuring.dof) * std::sqrt(measuring.variance);
  fit.parts = parts_of(s, units.weights);
  fit.rule = Rule::panels;
  // (M38): s^2 (1/(tau^2 n) + 1/sum of squares of the counts) on n - 1. Tapers that agree better than they
  // can be measured are luck: s^2 is no smaller than what measuring alone gives a taper.
  double floor = 0;
  for (const double v : units.variance) floor += v / n;
  const double s2 = std::max(panels.s2_taper, floor);
  const double dof = s2 > panels.s2_taper ? std::min(n - 1, measuring.dof) : n - 1;
  fit.next_panel = Fit::NextPanel{std::sqrt(s2 * (1 / (turns * turns * n) + 1 / units.squares)), dof};
}

/// Terms of (M28) and whether the rule applies.
struct FewDfCase {
  FewDfTerms terms;
  bool applies = false;
};
FewDfCase few_df_case(const ScatterFit& s, const Summary& today) {
  FewDfCase c;
  const std::vector<double>& a = s.tapers.weights;
  const StripLikelihood& likelihood = *s.likelihood;
  c.terms.c_r = likelihood.variance_gradient(s.tapers)[kSeating];
  for (std::size_t j = 0; j < a.size(); ++j) c.terms.c_b += a[j] * a[j] / today.sxx[j];
  c.terms.s2_r = s.theta[kSeating];
  // Below one degree of freedom there is no telling (M26).
  c.terms.nu_r = std::max(1.0, chi2_dof(s.theta[kSeating], s.theta_variance(Component::seating)));
  c.terms.nu_l = today.nu_line + s.earlier.nu_line;
  c.terms.s2_l = c.terms.nu_l > 0 ? (today.ss_line + s.earlier.ss_line) / c.terms.nu_l : 0.0;
  c.terms.nu_e = s.nu_reading;
  c.terms.s2_e_over_k = s.s2_reading / today.harmonic_repeats;
  c.terms.fixed = s.fixed;
  const double fifth = s.variance() / 5;
  const double spot = std::max({c.terms.s2_l, c.terms.s2_e_over_k, c.terms.fixed});
  const bool saw = c.terms.nu_l > 0 && c.terms.nu_l < 3 && c.terms.c_b * spot > fifth;
  const bool log = s.log && s.log_nu < 3 && c.terms.c_r * c.terms.s2_r > fifth;
  c.applies = saw || log;
  return c;
}

/// (M28): the wider of the quadrature and, where seating was estimated as nothing, Satterthwaite.
void few_df_rule(Fit& fit, const ScatterFit& s, const FewDfTerms& terms, bool coarse) {
  auto few = std::make_shared<const FewDf>(terms, coarse);
  const double half_width = few->half_width(fit.eta.confidence);
  if (s.theta[kSeating] <= 0 && half_width < fit.eta.half_width) return;
  fit.eta.half_width = half_width;
  fit.eta.u = half_width / quantile(fit.eta.confidence, fit.eta.dof);
  fit.rule = Rule::few_df;
  fit.probability_within_at = [few](double x, double tolerance) {
    return few->probability_within(x, tolerance);
  };
}

/// (M38): var eta + sigma_r^2 with the dof of the sum; seating fitted as nothing counts as one standard
/// error.
void next_panel(Fit& fit, const ScatterFit& s, const Corners& corners, double per_mm2) {
  if (corners.contrasts() < 1 && !s.log && !(s.evidence_nu[kSeating] > 0 && !s.assumed)) return;
  double seating = s.theta[kSeating];
  if (seating <= 0) seating = std::sqrt(std::max(0.0, s.theta_variance(Component::seating)));
  std::vector<double> gradient = s.likelihood->variance_gradient(s.tapers);
  gradient[kSeating] += per_mm2;
  const double variance = s.variance() + seating * per_mm2;
  fit.next_panel =
      Fit::NextPanel{std::sqrt(variance), stats::satterthwaite(variance, gradient, s.information)};
}

Finding finding(const char* code) {
  return Finding{code, {}, {}, {}};
}

/// (M30): what these readings cannot show.
void unseen(Fit& fit, const ScatterFit& s, const Summary& today, const Corners& corners) {
  if (corners.board_taper_unseen) fit.findings.push_back(finding(kBoardTaperUnseen));
  if (corners.contrasts() < 1 && (!s.log || s.assumed)) {
    Finding f = finding("seating-unseen");
    f.numbers["assumed_mm"] = s.assumed ? kAssumedSeatingMm : 0.0;
    f.numbers["holds_to_mm"] = 1.6 * kAssumedSeatingMm;
    f.words["kind"] = s.assumed                     ? "; a usual size is ASSUMED"
                      : s.evidence_nu[kSeating] > 0 ? "; its size was given"
                                                    : ", so no honest ± can be given";
    fit.findings.push_back(f);
  }
  if (today.nu_line <= 0 && !s.informed[kSaw]) {
    Finding f = finding("saw-marks-unseen");
    f.words["kind"] = s.assumed ? "; the ± covers readings and assumed seating only"
                      : s.log || s.evidence_nu[kSeating] > 0
                          ? "; the ± covers readings and logged seating only"
                      : s.informed[kSeating] ? "; what there is of them counts as seating"
                                             : "";
    fit.findings.push_back(f);
  }
}

/// A ± of measuring alone, which would pass for more than it is: it stands as not known, with its reason.
void measured_alone(Fit& fit, const Measuring& measuring, const char* reason) {
  fit.eta.u = std::sqrt(measuring.variance);
  fit.eta.dof = measuring.dof;
  fit.eta.half_width = fit.measuring_half_width;
  fit.eta.unknown = reason;
  fit.rule = Rule::satterthwaite;
  fit.next_panel.reset();
  fit.probability_within_at = nullptr;
}

/// The interval and what belongs to it, without looking for what does not fit.
/// \param coarse  the quadrature of (M28), for one fit of many
Fit interval_fit(const Check& check, const Corners& corners, const Summary& today, const ScatterFit& s,
                 const FitOptions& options, bool coarse = false) {
  Fit out;
  out.eta.confidence = options.confidence;
  out.resolution_mm = s.resolution;
  out.span_mm = corner_spans(check, corners, options).front();
  out.span_assumed = !options.span_mm && !options.bar_length_mm;
  out.provisional = s.assumed;
  fill_scatter(out, s, today);
  const double per_mm2 = 2.0 / (out.span_mm * out.span_mm);
  out.seating_rad = std::sqrt(s.theta[kSeating] * per_mm2);
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    const Strip& strip = check.strips[j];
    out.tapers.push_back({strip.panel, strip.from_cut, strip.to_cut, s.tapers.taper[j],
                          std::sqrt(s.tapers.variance[j]), corners.t[j],
                          corners.squares(static_cast<int>(j))});
  }
  out.eta.x = s.tapers.beta[0];
  const Measuring measuring = measuring_of(s, s.tapers.weights);
  out.measuring_half_width = quantile(options.confidence, measuring.dof) * std::sqrt(measuring.variance);
  out.parts = parts_of(s, s.tapers.weights);
  const bool seating_from_outside = s.log || s.evidence_nu[kSeating] > 0;
  if (!s.informed[kSeating]) {
    measured_alone(out, measuring, "seating-unseen");
  } else if (corners.independent() && !seating_from_outside) {
    panels_rule(out, s, corners);
  } else {
    satterthwaite_interval(out, s);
    const FewDfCase few = few_df_case(s, today);
    if (few.applies) few_df_rule(out, s, few.terms, coarse);
    next_panel(out, s, corners, per_mm2);
  }
  if (corners.board_taper_unseen) measured_alone(out, measuring, kBoardTaperUnseen);
  if (!out.probability_within_at) {
    out.probability_within_at = [u = out.eta.u, dof = out.eta.dof](double x, double tolerance) {
      return probability_inside(x, u, dof, tolerance);
    };
  }
  out.probability_within = [at = out.probability_within_at, x = out.eta.x](double tolerance) {
    return at(x, tolerance);
  };
  return out;
}

/// Findings of a gap test speak of its pairs or rings, those of strips of panels.
void name_joints(Fit& fit, const Check& check) {
  if (!check.gaps()) return;
  for (Finding& found : fit.findings) {
    found.words["joint"] = joint_word(check);
    found.where.counted = test_row(check.test).unit_word;
  }
}

LogSeating seating_of(const ScatterFit& s) {
  if (s.log) return LogSeating::used;
  if (s.earlier.of_several_strips == 0) return LogSeating::one_strip_each;
  if (s.earlier.nu_seating > 0) return LogSeating::differs;
  return s.earlier.of_halves > 0 ? LogSeating::board_tapers : LogSeating::saw_marks_unseen;
}

/// (M18), and what the interval would be had nobody kept a log.
void log_use(Fit& fit, const ScatterFit& s, const Check& check, const Corners& corners, const Summary& today,
             std::span<const Evidence> evidence, const FitOptions& options) {
  LogUse use;
  use.checks = s.earlier.checks;
  use.strips = s.earlier.strips;
  use.nu_pure = s.earlier.nu_pure;
  use.nu_line = s.earlier.nu_line;
  use.nu_counted = s.log_nu;
  use.seating = seating_of(s);
  if (s.earlier.test) use.p_same = s.earlier.test->p;
  if (use.seating == LogSeating::differs) {
    Finding f = finding("log-not-used");
    f.numbers["ratio"] = std::sqrt(s.earlier.test->f);
    fit.findings.push_back(f);
  }
  try {
    const ScatterFit alone = fit_scatter(check, corners, evidence, {}, options);
    const Estimate eta = interval_fit(check, corners, today, alone, options).eta;
    if (!eta.unknown) use.half_width_without = eta.half_width;
    use.assumed_without = alone.assumed;
  } catch (const NoInterval&) {
    // Without the log nothing would inform the scatter of a reading: there is no half-width to compare with.
  }
  fit.log = use;
}

}  // namespace

Fit fit(const Check& check, std::span<const Evidence> evidence, std::span<const ScatterEvidence> earlier,
        const FitOptions& options) {
  validate(check);
  const Corners corners = corners_of(check);
  const ScatterFit s = fit_scatter(check, corners, evidence, earlier, options);
  const Summary today = summarise(check);
  Fit out = interval_fit(check, corners, today, s, options);
  unseen(out, s, today, corners);
  if (!earlier.empty()) log_use(out, s, check, corners, today, evidence, options);
  find_misfits(out, check, corners, s);
  find_mistakes(out, check);
  name_joints(out, check);
  return out;
}

Fit fit_interval(const Check& check, std::span<const Evidence> evidence, const FitOptions& options) {
  validate(check);
  const Corners corners = corners_of(check);
  return interval_fit(check, corners, summarise(check), fit_scatter(check, corners, evidence, {}, options),
                      options);
}

Refit::Refit(const Check& like, std::vector<Evidence> evidence, std::span<const ScatterEvidence> earlier,
             const FitOptions& options)
    : evidence_(std::move(evidence)),
      options_(options),
      earlier_(std::make_unique<const EarlierChecks>(
          read_earlier(earlier, summarise(like), evidence_, options_))) {}
Refit::~Refit() = default;

Fit Refit::operator()(const Check& check) const {
  const Corners corners = corners_of(check);
  return interval_fit(check, corners, summarise(check),
                      fit_scatter_given(check, corners, evidence_, *earlier_, options_), options_, true);
}

}  // namespace quarterturn::check
