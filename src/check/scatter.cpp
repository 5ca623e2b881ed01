// SPDX-License-Identifier: MIT
#include "check/scatter.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "check/log_builder.hpp"
#include "check/log_choice.hpp"
#include "check/resolution.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::check {

namespace {

constexpr std::size_t kReading = 0, kSaw = 1, kSeating = 2;
constexpr int kContrastsWithoutAssumption = 3;  // four tapers (M19)
constexpr double kSameSeatingLevel = 0.05;      // of the test of today's seating against the log's (M18)

/// The likelihood over the free variances alone; the others stand at their given values.
stats::RemlModel over_free(const StripLikelihood& likelihood, const std::array<double, 3>& given,
                           const std::vector<std::size_t>& free) {
  return [&likelihood, given, free, all = stats::RemlPoint()](std::span<const double> theta,
                                                              stats::RemlPoint& out) mutable {
    std::array<double, 3> full = given;
    for (std::size_t i = 0; i < free.size(); ++i) full[free[i]] = theta[i];
    likelihood.evaluate(full, all);
    out.minus_log = all.minus_log;
    out.gradient.resize(free.size());
    out.information.resize(free.size() * free.size());
    for (std::size_t i = 0; i < free.size(); ++i) {
      out.gradient[i] = all.gradient[free[i]];
      for (std::size_t j = 0; j < free.size(); ++j) {
        out.information[i * free.size() + j] = all.information[free[i] * 3 + free[j]];
      }
    }
  };
}

/// From each start; the best of the maxima counts: a log and today's tapers that contradict each other may
/// make two, and where seating comes out as nothing there may be another with some (M23).
/// \param seating  from where that other is looked for; 0: it is not
void maximise(ScatterFit& fit, std::initializer_list<std::array<double, 3>> starts, double seating = 0) {
  std::vector<std::size_t> free;
  for (std::size_t k = 0; k < 3; ++k) {
    if (fit.is_free[k]) free.push_back(k);
  }
  fit.information.assign(9, 0.0);
  if (!free.empty()) {
    const stats::RemlModel model = over_free(*fit.likelihood, fit.theta, free);
    stats::RemlFit best;
    const auto from = [&](const std::vector<double>& begin) {
      stats::RemlFit reml = stats::maximise_reml(model, begin);
      if (best.theta.empty() || reml.at.minus_log < best.at.minus_log) best = std::move(reml);
    };
    for (const std::array<double, 3>& start : starts) {
      std::vector<double> begin;
      for (const std::size_t k : free) begin.push_back(start[k]);
      from(begin);
    }
    if (seating > 0 && free.back() == kSeating && best.theta.back() <= 0) {
      std::vector<double> begin = best.theta;
      begin.back() = seating;
      from(begin);
    }
    fit.minus_log = best.at.minus_log;
    for (std::size_t i = 0; i < free.size(); ++i) {
      fit.theta[free[i]] = best.theta[i];
      for (std::size_t j = 0; j < free.size(); ++j) {
        fit.information[free[i] * 3 + free[j]] = best.at.information[i * free.size() + j];
      }
    }
  }
  fit.tapers = fit.likelihood->tapers(fit.theta);
}

/// Moment estimates to start from, seating from outside alone; never zero.
std::array<double, 3> start_values(const ScatterFit& fit, const Summary& summary, const LogTerms& log,
                                   std::span<const Evidence> evidence) {
  const double floor = std::max({fit.s2_reading, fit.fixed, 1e-8});
  std::array<double, 3> start{floor, 0.5 * floor, kUsualSeatingMm2};
  const double nu_line = summary.nu_line + fit.earlier.nu_line;
  if (nu_line > 0) {
    const double line = (summary.ss_line + fit.earlier.ss_line) / nu_line;
    start[kSaw] = std::max(line - floor / summary.harmonic_repeats, 0.1 * line + 1e-3 * floor);
    if (!fit.is_free[kReading] || fit.s2_reading <= 0) start[kReading] = std::max(line, floor);
  }
  if (fit.log) {
    const double spot = start[kReading] / summary.harmonic_repeats + (nu_line > 0 ? start[kSaw] : 0.0);
    const double by_log = log.seating_by_moments(spot);
    if (by_log > 0) start[kSeating] = by_log;
  }
  for (const Evidence& e : evidence) {
    if (e.component == Component::seating && e.s2 > 0) start[kSeating] = e.s2;
  }
  return start;
}

/// Seating by the scatter of today's tapers, two or more.
double seating_of_today(const ScatterFit& fit, const Corners& corners, double least) {
  std::vector<double> ratio;
  for (std::size_t j = 0; j < corners.t.size(); ++j) ratio.push_back(fit.tapers.taper[j] / corners.t[j]);
  double mean = 0, ss = 0;
  for (const double r : ratio) mean += r / static_cast<double>(ratio.size());
  for (const double r : ratio) ss += (r - mean) * (r - mean);
  const double per_mm2 = fit.likelihood->groups()[0].seating[0] / (corners.t[0] * corners.t[0]);
  return std::max(0.5 * ss / static_cast<double>(ratio.size() - 1) / per_mm2, least);
}

/// What stands outside, with what of it informs the variance of a reading.
struct Outside {
  std::vector<Evidence> used;
  std::array<double, 3> nu{};  ///< by Component
  double ss_reading = 0;
};
Outside outside_of(std::span<const Evidence> evidence) {
  Outside out;
  for (const Evidence& e : evidence) {
    if (e.nu <= 0) continue;
    out.used.push_back(e);
    out.nu[static_cast<std::size_t>(e.component)] += e.nu;
    if (e.component == Component::reading) out.ss_reading += e.nu * e.s2;
  }
  return out;
}

LogTerms terms_of(std::span<const ScatterEvidence> earlier, const std::vector<Summary>& summaries,
                  double saw_nu, double s2_reading, const FitOptions& options, LogPart& log) {
  LogBuilder builder;
  for (std::size_t i = 0; i < earlier.size(); ++i) {
    const Check& readings = earlier[i].readings;
    const Corners corners = corners_of(readings);
    FitOptions then = options;
    if (earlier[i].span_mm > 0) then.span_mm = earlier[i].span_mm;
    const auto spans = corner_spans(readings, corners, then);
    // Halves hand nothing on: what their joints scatter by holds the boards' own tapers (M96).
    const bool halves = readings.form == Form::halves;
    log.of_halves += halves ? 1 : 0;
    const bool seating = !halves && hands_on_seating(readings, saw_nu);
    if (seating) log.nu_seating += corners.contrasts();
    GroupData group = group_of(readings, corners, summaries[i], spans, s2_reading);
    group.x = corners.t;
    group.regressors = 1;
    builder.add(group, summaries[i].ss_line, seating);
  }
  return builder.finish();
}

void set_rounding(ScatterFit& fit, const GroupData& today) {
  double fixed = 0, spots = 0;
  for (const StripData& strip : today.strips) {
    for (const double f : strip.fixed) {
      fixed += f;
      spots += 1;
    }
  }
  fit.fixed = fixed / spots;
}

bool shares_reading(const GroupData& group) {
  return std::any_of(group.strips.begin(), group.strips.end(), [](const StripData& strip) {
    return std::any_of(strip.reading_share.begin(), strip.reading_share.end(),
                       [](double share) { return share > 0; });
  });
}

/// (M18): the fit of the earlier checks alone; of today only what its tapers have no part in.
ScatterFit fit_of_log(const ScatterFit& whole, const GroupData& today, std::vector<Evidence> evidence,
                      const std::shared_ptr<const LogTerms>& log, double lambda,
                      const std::array<double, 3>& start) {
  std::erase_if(evidence, [](const Evidence& e) { return e.component == Component::seating; });
  GroupData no_tapers = today;
  no_tapers.discount = 0;
  std::vector<GroupData> groups;
  groups.push_back(std::move(no_tapers));
  ScatterFit own;
  own.is_free = {whole.is_free[kReading], whole.is_free[kSaw], true};
  own.theta = {whole.s2_reading, 0.0, 0.0};
  own.likelihood = std::make_unique<StripLikelihood>(std::move(groups), std::move(evidence), log, lambda);
  maximise(own, {start});
  return own;
}

/// (M18): F = z' V^-1 z / (J - 1); its expectation under the log's estimate carries the df of the
/// denominator.
std::optional<SeatingTest> test_of(const ScatterFit& log) {
  const auto scatter = log.likelihood->taper_scatter(log.theta);
  if (!scatter) return std::nullopt;
  SeatingTest test;
  test.f = scatter->f;
  test.dof1 = scatter->contrasts;
  test.dof2 = stats::satterthwaite(1.0, scatter->gradient, log.information);
  test.p = stats::f_upper(test.f, test.dof1, test.dof2);
  return test;
}

/// (M30): no repeat, no residual, no statement of the caliper.
[[noreturn]] void refuse(const ScatterFit& fit, const Check& check, const Corners& corners) {
  NoInterval no;
  const TaperFit tapers = fit.likelihood->tapers(std::array<double, 3>{1, 0, 1});
  double sum = 0;
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    const Strip& strip = check.strips[j];
    no.tapers.push_back({strip.panel, strip.from_cut, strip.to_cut, tapers.taper[j], 0.0, corners.t[j]});
    sum += tapers.taper[j] / corners.t[j];
  }
  no.eta_rad = sum / static_cast<double>(check.strips.size());
  throw no;
}

}  // namespace

double ScatterFit::theta_variance(Component component) const {
  const auto k = static_cast<std::size_t>(component);
  if (!is_free[k] || !(information[k * 3 + k] > 0)) return 0.0;
  Eigen::Matrix3d a = Eigen::Map<const Eigen::Matrix3d>(information.data());
  Eigen::Vector3d root;
  for (int i = 0; i < 3; ++i) {
    if (!(a(i, i) > 0)) a(i, i) = 1.0;
    root(i) = std::sqrt(a(i, i));
  }
  Eigen::Matrix3d unit = root.cwiseInverse().asDiagonal() * a * root.cwiseInverse().asDiagonal();
  unit.diagonal().array() += 1e-14;
  const auto i = static_cast<Eigen::Index>(k);
  const Eigen::Vector3d x = unit.ldlt().solve(Eigen::Vector3d::Unit(i));
  return x(i) / (root(i) * root(i));
}

EarlierChecks read_earlier(std::span<const ScatterEvidence> earlier, const Summary& today,
                           std::span<const Evidence> evidence, const FitOptions& options) {
  EarlierChecks out;
  std::vector<Summary> summaries;
  summaries.reserve(earlier.size());
  LogPart& log = out.part;
  for (const ScatterEvidence& old : earlier) {
    summaries.push_back(summarise(old.readings));
    const Summary& s = summaries.back();
    out.ss_pure += s.ss_pure;
    log.nu_pure += s.nu_pure;
    log.ss_line += s.ss_line;
    log.nu_line += s.nu_line;
    log.checks += 1;
    log.strips += static_cast<int>(old.readings.strips.size());
    log.of_several_strips += old.readings.strips.size() > 1 ? 1 : 0;
  }
  const Outside outside = outside_of(evidence);
  const double nu = today.nu_pure + log.nu_pure + outside.nu[kReading];
  const double ss = today.ss_pure + out.ss_pure + outside.ss_reading;
  const double saw_nu = today.nu_line + log.nu_line + outside.nu[kSaw];
  out.terms = std::make_shared<const LogTerms>(
      terms_of(earlier, summaries, saw_nu, nu > 0 ? ss / nu : 0.0, options, log));
  return out;
}

ScatterFit fit_scatter(const Check& check, const Corners& corners, std::span<const Evidence> evidence,
                       std::span<const ScatterEvidence> earlier, const FitOptions& options) {
  return fit_scatter_given(check, corners, evidence,
                           read_earlier(earlier, summarise(check), evidence, options), options);
}

ScatterFit fit_scatter_given(const Check& check, const Corners& corners, std::span<const Evidence> evidence,
                             const EarlierChecks& earlier, const FitOptions& options) {
  ScatterFit fit;
  const bool several = corners.contrasts() > 0;
  const Summary today = summarise(check);
  Outside outside = outside_of(evidence);
  std::vector<Evidence>& used = outside.used;
  for (std::size_t k = 0; k < 3; ++k) fit.evidence_nu[k] = outside.nu[k];
  fit.earlier = earlier.part;
  const std::shared_ptr<const LogTerms>& log = earlier.terms;
  const double nu = today.nu_pure + fit.earlier.nu_pure + outside.nu[kReading];
  fit.nu_reading = nu;
  fit.s2_reading = nu > 0 ? (today.ss_pure + earlier.ss_pure + outside.ss_reading) / nu : 0.0;
  fit.resolution = resolution_mm(check);
  const double saw_nu = today.nu_line + fit.earlier.nu_line + fit.evidence_nu[kSaw];
  GroupData group = group_of(check, corners, today, corner_spans(check, corners, options), fit.s2_reading);
  set_rounding(fit, group);
  fit.informed[kReading] = nu > 0;
  fit.informed[kSaw] = fit.is_free[kSaw] = saw_nu > 0;
  fit.is_free[kReading] = nu > 0 && (shares_reading(group) || log->shares_reading());
  // (M18)
  const double nu_j = fit.earlier.nu_seating, lambda = 1.0 / (1.0 + options.omega2 * nu_j / 2);
  fit.log = nu_j > 0;
  fit.log_nu = lambda * nu_j;
  std::array<double, 3> start = start_values(fit, today, *log, used), start_of_log = start;
  if (fit.log && several) {
    const ScatterFit own = fit_of_log(fit, group, used, log, lambda, start);
    fit.earlier.test = test_of(own);
    fit.log = !fit.earlier.test || fit.earlier.test->p >= kSameSeatingLevel;
    for (std::size_t k = 0; k < 3; ++k) start_of_log[k] = std::max(own.theta[k], 1e-3 * start[k]);
  }
  // (M19)
  const double seen_nu = fit.log ? fit.log_nu + corners.contrasts() : 0.0;
  const bool seating_known = seen_nu >= kAssumedSeatingDof || fit.evidence_nu[kSeating] > 0;
  if (options.use_assumed && !seating_known && corners.contrasts() < kContrastsWithoutAssumption) {
    used.push_back(
        {Component::seating, kAssumedSeatingMm * kAssumedSeatingMm, kAssumedSeatingDof, Source::assumed, ""});
    fit.evidence_nu[kSeating] += kAssumedSeatingDof;
    fit.assumed = true;
  }
  fit.informed[kSeating] = fit.is_free[kSeating] = seating_known || fit.log || fit.assumed || several;
  std::vector<GroupData> groups;
  groups.push_back(std::move(group));
  fit.likelihood = std::make_unique<StripLikelihood>(std::move(groups), used, log, fit.log ? lambda : 0.0);
  if (!fit.informed[kReading] && !fit.informed[kSaw] && !several) refuse(fit, check, corners);
  fit.theta = {fit.s2_reading, 0.0, 0.0};
  const double usual_seating = start[kSeating];
  if (several) {
    fit.tapers = fit.likelihood->tapers(std::array<double, 3>{std::max(fit.s2_reading, 1e-8), 0.0, 1e-8});
    start[kSeating] = seating_of_today(fit, corners, 0.05 * start[kSeating]);
  }
  const double again = std::max(usual_seating, start[kSeating]);
  if (fit.log && several) {
    maximise(fit, {start, start_of_log}, again);
  } else {
    maximise(fit, {start}, again);
  }
  return fit;
}

ScatterFit refit_with(const ScatterFit& base, std::span<const double> column) {
  std::vector<GroupData> groups = base.likelihood->groups();
  GroupData& today = groups.front();
  const auto before = static_cast<std::size_t>(today.regressors);
  std::vector<double> x;
  for (std::size_t j = 0; j < today.strips.size(); ++j) {
    for (std::size_t k = 0; k < before; ++k) x.push_back(today.x[j * before + k]);
    x.push_back(column[j]);
  }
  today.x = std::move(x);
  ++today.regressors;
  ScatterFit fit;
  fit.theta = base.theta;
  fit.is_free = base.is_free;
  fit.likelihood = std::make_unique<StripLikelihood>(std::move(groups), base.likelihood->evidence(),
                                                     base.likelihood->log(), base.likelihood->log_discount());
  std::array<double, 3> start = base.theta;
  const double least = 1e-3 * std::max({start[0], start[1], start[2], 1e-8});
  for (double& value : start) value = std::max(value, least);
  maximise(fit, {start});
  return fit;
}

}  // namespace quarterturn::check
