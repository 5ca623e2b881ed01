// SPDX-License-Identifier: MIT
#include "survey/components.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::survey {
namespace {

constexpr double kShows =
    0.10;  ///< p of a row or column term that is taken: weak ones left out cost coverage
constexpr double kStartRows = 0.3;       ///< of the holes' scatter
constexpr double kSmallestStart = 1e-5;  ///< mm^2; from zero no variance would leave

stats::RemlModel likelihood(const MixedModel& model) {
  return [&model](std::span<const double> theta, stats::RemlPoint& out) { model.evaluate(theta, out); };
}

struct Fitted {
  std::shared_ptr<MixedModel> model;
  stats::RemlFit fit;
};

class Search {
 public:
  Search(const station::Station& station, std::span<const Observation> observations,
         const AdjustOptions& options, std::span<const double> y)
      : station_(station), observations_(observations), options_(options), y_(y) {}

  [[nodiscard]] std::shared_ptr<MixedModel> model(std::vector<Term> terms) const {
    auto made =
        std::make_shared<MixedModel>(station_, observations_, std::move(terms), options_.caliper_scale,
                                     std::span<const Observation>(), options_.set_aside);
    if (!y_.empty()) made->set_y({y_.begin(), y_.end()});
    return made;
  }

  /// \param start  of the terms that were fitted before; the others start small beside the holes
  [[nodiscard]] Fitted fit(std::vector<Term> terms, std::vector<double> start) const {
    Fitted out{model(std::move(terms)), {}};
    for (double& s : start) s = std::max(s, kSmallestStart);
    start.resize(out.model->terms().size(), start.front() * kStartRows);
    out.fit = stats::maximise_reml(likelihood(*out.model), start);
    return out;
  }

  /// The term whose score at zero is the largest share of its error; empty when none pulls up.
  [[nodiscard]] std::optional<Term> most_wanted(const Fitted& now, std::span<const Term> left) const {
    std::vector<Term> terms = now.model->terms();
    std::vector<double> theta = now.fit.theta;
    const std::size_t had = terms.size();
    terms.insert(terms.end(), left.begin(), left.end());
    theta.resize(terms.size(), 0);
    stats::RemlPoint at;
    model(terms)->evaluate(theta, at);
    std::optional<Term> best;
    double most = 0;
    for (std::size_t k = had; k < terms.size(); ++k) {
      const double score = -at.gradient[k] / std::sqrt(at.information[k * terms.size() + k]);
      if (score > most) {
        most = score;
        best = terms[k];
      }
    }
    return best;
  }

 private:
  const station::Station& station_;
  std::span<const Observation> observations_;
  const AdjustOptions& options_;
  std::span<const double> y_;
};

/// (M110)
void look_for_rows(const Search& search, Fitted& now, std::vector<TermTest>& tests) {
  std::vector<Term> left;
  for (const Term term : {Term::row_shift, Term::row_tilt, Term::column_shift, Term::column_tilt}) {
    const std::vector<Term>& has = now.model->terms();
    if (std::find(has.begin(), has.end(), term) == has.end()) left.push_back(term);
  }
  while (!left.empty()) {
    const std::optional<Term> wanted = search.most_wanted(now, left);
    if (!wanted) return;
    std::vector<Term> terms = now.model->terms();
    terms.push_back(*wanted);
    Fitted more = search.fit(terms, now.fit.theta);
    TermTest test{*wanted};
    test.ratio = std::max(0.0, 2 * (now.fit.at.minus_log - more.fit.at.minus_log));
    test.p = test.ratio > 0 ? 0.5 * (1 - stats::chi2_probability(test.ratio, 1)) : 1;
    test.taken = test.p < kShows;
    tests.push_back(test);
    if (!test.taken) return;
    now = std::move(more);
    std::erase(left, *wanted);
  }
}

/// Expected information 1/2 tr(P V_a P V_b): minus half the derivative of tr(P V_a) by theta_b.
std::vector<double> expected_information(const MixedModel& model, std::span<const double> theta) {
  constexpr double kStep = 1e-4;
  const std::size_t m = theta.size();
  std::vector<double> information(m * m);
  for (std::size_t b = 0; b < m; ++b) {
    std::vector<double> low(theta.begin(), theta.end()), high = low;
    low[b] *= 1 - kStep;
    high[b] *= 1 + kStep;
    const std::vector<double> before = model.traces(low), after = model.traces(high);
    for (std::size_t a = 0; a < m; ++a) {
      information[a * m + b] = -0.5 * (after[a] - before[a]) / (high[b] - low[b]);
    }
  }
  for (std::size_t a = 0; a < m; ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      information[a * m + b] = information[b * m + a] =
          0.5 * (information[a * m + b] + information[b * m + a]);
    }
  }
  return information;
}

Components given(const Search& search, const AdjustOptions& options, double hole_sd_mm,
                 ScatterSource source) {
  std::vector<Term> terms{Term::holes};
  std::vector<double> theta{hole_sd_mm * hole_sd_mm};
  for (std::size_t k = 0; k < options.row_sd_mm.size(); ++k) {
    terms.push_back(options.rows[k]);
    theta.push_back(options.row_sd_mm[k] * options.row_sd_mm[k]);
  }
  for (double& t : theta) t = std::max(t, MixedModel::kSmallest);
  Components out;
  out.model = search.model(std::move(terms));
  out.information.assign(theta.size() * theta.size(), 0);
  out.theta = std::move(theta);
  out.source = source;
  return out;
}

Components finish(Fitted now, std::vector<TermTest> tests) {
  Components out;
  out.tests = std::move(tests);
  out.theta = now.fit.theta;
  for (double& t : out.theta) t = std::max(t, MixedModel::kSmallest);
  out.converged = now.fit.converged;
  out.information = expected_information(*now.model, out.theta);
  out.model = std::move(now.model);
  return out;
}

void check_options(const AdjustOptions& options) {
  if (options.row_sd_mm.empty() || options.row_sd_mm.size() == options.rows.size()) return;
  throw units::InputError("row_sd_mm", std::to_string(options.row_sd_mm.size()) + " values",
                          "one for each of the " + std::to_string(options.rows.size()) + " terms, or none");
}

}  // namespace

double Components::hole_sd_mm() const {
  return std::sqrt(theta.front());
}

double Components::hole_dof() const {
  if (source != ScatterSource::fitted) return std::numeric_limits<double>::infinity();
  const std::vector<double> gradient = [&] {
    std::vector<double> one(theta.size(), 0);
    one.front() = 1;
    return one;
  }();
  return stats::satterthwaite(theta.front(), gradient, information, 0);
}

Components fit_components(const station::Station& station, std::span<const Observation> observations,
                          const AdjustOptions& options) {
  check_options(options);
  const Search search(station, observations, options, {});
  if (options.hole_sd_mm) return given(search, options, *options.hole_sd_mm, ScatterSource::given);
  std::vector<Term> terms{Term::holes};
  const auto holes_alone = search.model(terms);
  if (holes_alone->observations() - holes_alone->rank_fixed() < kFewestForScatter) {
    const auto& stated = station.grid.drill_scatter;
    return given(search, options, stated ? stated->mm() : kAssumedHoleSdMm,
                 stated ? ScatterSource::stated : ScatterSource::assumed);
  }
  terms.insert(terms.end(), options.rows.begin(), options.rows.end());
  Fitted now = search.fit(terms, {kAssumedHoleSdMm * kAssumedHoleSdMm});
  std::vector<TermTest> tests;
  if (options.look_for_rows) look_for_rows(search, now, tests);
  return finish(std::move(now), std::move(tests));
}

Components refit_components(const station::Station& station, std::span<const Observation> observations,
                            const AdjustOptions& options, const Components& before,
                            std::span<const double> y) {
  const Search search(station, observations, options, y);
  if (before.source == ScatterSource::fitted) {
    return finish(search.fit(before.model->terms(), before.theta), before.tests);
  }
  Components out = before;
  out.model = search.model(before.model->terms());
  return out;
}

}  // namespace quarterturn::survey
