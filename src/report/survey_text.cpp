// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/plan_words.hpp"
#include "report/survey_report.hpp"
#include "report/survey_teller.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {

using check::Estimate;
using survey::Undetermined;

namespace {

constexpr double kMisfit = 0.05;  ///< as survey::Snooping has it
constexpr std::size_t kMostMisfits = 3, kMostNamed = 8;

bool shows(const Estimate& e) {
  return std::fabs(e.x) > e.half_width;
}

std::string listed(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i)
    text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
  return text;
}

std::string listed(const std::vector<station::Hole>& holes) {
  std::vector<std::string> names;
  for (const auto& hole : holes) names.push_back(hole.name());
  return listed(names);
}

}  // namespace

std::string SurveyTeller::over() const {
  return over_length_words(r_.over_mm, options_.unit);
}

std::string SurveyTeller::amount(double rad, double half_rad) const {
  return plus_minus_text(std::fabs(rad) * r_.over_mm, half_rad * r_.over_mm, options_.unit);
}

std::string SurveyTeller::allowed() const {
  return r_.tolerance_given ? "; allowed " + length_text(r_.tolerance_rad * r_.over_mm, options_.unit) : "";
}

std::string SurveyTeller::half(double u_rad) const {
  const double wide = stats::normal_quantile(0.5 * (1 + confidence()));
  return half_width_text(wide * u_rad * r_.over_mm, options_.unit);
}

double SurveyTeller::confidence() const {
  return r_.adjustment->options().confidence;
}

/// Why shear has no number, where it can be said simpler than by what it is mixed with.
std::string SurveyTeller::why_no_shear(const Undetermined& why) const {
  const auto& all = r_.adjustment->observations();
  const bool corners =
      std::any_of(all.begin(), all.end(), [](const auto& o) { return o.kind == survey::Kind::corner; });
  if (!r_.slanted && !corners) return "no diagonal connects rows and columns";
  if (!r_.slanted)
    return "no diagonal connects rows and columns, and a check does not part the holes from unequal dogs";
  return undetermined_words(why);
}

std::string SurveyTeller::answer() const {
  const survey::Answer& shear = r_.whole[2];
  const std::string name = units::inert(r_.station) + ": ";
  if (const auto* why = std::get_if<Undetermined>(&shear))
    return name + "Whether the table is out of square cannot be told from these: " + why_no_shear(*why) +
           ".\n";
  const auto& e = std::get<Estimate>(shear);
  const std::string by = amount(e.x, e.half_width) + over();
  if (!shows(e) && e.half_width > r_.tolerance_rad)
    return name + "Whether the table is out of square cannot be told yet: " + by + " may be nothing.\n";
  if (!shows(e)) return name + "Nothing shows that the table is out of square: " + by + ".\n";
  return name + "The table is built out of square by " + by +
         ": between its rows and columns the corner at A1 is " + side_word(e.x) + " 90°.\n";
}

std::string SurveyTeller::setups() const {
  std::string text;
  for (const auto& setup : r_.setups) {
    const auto& lines = setup.lines;
    const std::string name = fmt::format("{} (rail in {} {}, fence in {} {})", units::inert(setup.name),
                                         lines.rail.first.hole.name(), lines.rail.second.hole.name(),
                                         lines.fence.first.hole.name(), lines.fence.second.hole.name());
    const auto corner = [&](const Estimate& e) {
      return fmt::format("the kept corner is {} 90° by {}{}{}", side_word(setup.q * e.x),
                         amount(e.x, e.half_width), over(), setup.name == r_.setup ? allowed() : "");
    };
    if (const auto* e = std::get_if<Estimate>(&setup.eps)) {
      text += name + ": " + corner(*e) + ".\n";
    } else if (const auto* alike = std::get_if<Estimate>(&setup.by_holes)) {
      text += name + ": with dogs alike in each line " + corner(*alike) +
              "; what its own dogs do cannot be told from these.\n";
    } else {
      text +=
          name + ": cannot be told; " + undetermined_words(std::get<Undetermined>(setup.by_holes)) + ".\n";
    }
  }
  std::vector<std::string> passed_over;
  for (const auto& name : r_.passed_over) passed_over.push_back(units::inert(name));
  if (!passed_over.empty())
    text += "Of " + listed(passed_over) + " a survey tells nothing: it tells of setups of 90° only.\n";
  return text;
}

std::string SurveyTeller::misfits() const {
  std::string text;
  for (const auto& bad : named_holes(r_)) {
    text += fmt::format("{} is not where its neighbours say: it lies about {} of where it should.\n",
                        bad.hole.name(), offset_words(bad.displacement, options_.unit));
  }
  std::vector<survey::ObservationTest> tests;
  for (const auto& test : r_.snooping.observations) {
    if (test.w && test.p < kMisfit) tests.push_back(test);
  }
  std::stable_sort(tests.begin(), tests.end(),
                   [](const auto& a, const auto& b) { return std::fabs(*a.w) > std::fabs(*b.w); });
  for (std::size_t i = 0; i < tests.size() && i < kMostMisfits; ++i) {
    const auto& test = tests[i];
    const auto& o = r_.adjustment->observations()[test.observation];
    const bool corner = o.kind == survey::Kind::corner;
    const std::string by = corner ? length_text(std::fabs(test.error) * r_.over_mm, options_.unit) + over()
                                  : length_text(std::fabs(test.error), options_.unit);
    text += fmt::format("Line {}, {}, does not fit the others: about {} too {}. Measure it again.\n",
                        r_.origins[test.observation].line, observation_words(o, r_), by,
                        test.error > 0 ? "much" : "little");
  }
  return text;
}

std::string SurveyTeller::pairs() const {
  if (!r_.pairs_asked) return {};
  if (r_.pairs.best.empty()) {
    if (r_.pairs.considered == 0)
      return "No pair of holes in those columns and rows leaves room for a panel.\n";
    return "No pair of holes can be foretold: " + undetermined_words({r_.pairs.because}) + ".\n";
  }
  const std::string dogs = r_.pairs_with_dogs ? "with the dogs of " + units::inert(r_.setup)
                                              : std::string("dogs alike in each line");
  std::string text = fmt::format("Best holes, {} ({} looked at)\n", dogs, r_.pairs.considered);
  bool star = false;
  for (const auto& pair : r_.pairs.best) {
    const double wide = stats::t_quantile(0.5 * (1 + confidence()), pair.dof) * pair.u;
    text += fmt::format("- rail in {} {}, fence in {} {}{}: {} 90° by {}{}, {} within {}\n", pair.near.name(),
                        pair.far.name(), pair.left.name(), pair.right.name(), pair.unseen.empty() ? "" : "*",
                        side_word(r_.q * pair.eps), amount(pair.eps, wide), over(),
                        percent_text(pair.probability),
                        length_text(r_.tolerance_rad * r_.over_mm, options_.unit));
    star = star || !pair.unseen.empty();
  }
  if (r_.pairs.best.front().probability < 0.5)
    text += "None of them is likely to be within. Measure more first.\n";
  if (star) text += "* not all of its holes were measured: it rests on how holes scatter.\n";
  return text;
}

std::string SurveyTeller::next() const {
  const std::string what = r_.next_for_setup ? "To know " + units::inert(r_.setup) + " better"
                                             : std::string("To know better whether the table is square");
  if (r_.next.empty()) return {};
  const std::string now = r_.next_before ? half(*r_.next_before) + over() + " now" : "not known now";
  std::string text = fmt::format("{} ({}), measure next\n", what, now);
  double minutes = 0;
  int number = 1;
  for (const auto& one : r_.next) {
    minutes += one.candidate.minutes;
    text += fmt::format("{}  {}, {}: then {}\n", number++, observation_words(one.candidate.observation, r_),
                        minutes_text(static_cast<int>(std::lround(one.candidate.minutes))),
                        one.u_after ? half(*one.u_after) : std::string("still not known"));
  }
  if (r_.next.size() > 1)
    text += fmt::format("{} in all.\n", minutes_text(static_cast<int>(std::lround(minutes))));
  return text;
}

std::string SurveyTeller::against() const {
  if (!r_.against) return {};
  const auto& c = r_.against->comparison;
  const std::string since =
      "since " + (r_.against->date.empty() ? "the survey in " + units::inert(r_.against->source)
                                           : units::inert(r_.against->date.substr(0, 10)));
  if (c.dof == 0)
    return "Whether anything moved " + since + " cannot be told: the two surveys share too little.\n";
  std::string text;
  if (!c.moved) {
    text = "Nothing shows that a hole moved " + since + ".\n";
  } else if (c.holes.empty()) {
    text = "Something moved " + since + ", but no single hole stands out.\n";
  } else {
    for (const auto& hole : c.holes)
      text +=
          fmt::format("{} moved {}: {}.\n", hole.hole.name(), since, offset_words(hole.by, options_.unit));
  }
  if (c.unseen.size() > kMostNamed) {
    text += fmt::format("{} holes could have moved unseen.\n", c.unseen.size());
  } else if (!c.unseen.empty()) {
    text += "These could have moved unseen: " + listed(c.unseen) + ".\n";
  }
  return text;
}

std::string survey_text(const survey::Result& result, const TextOptions& options) {
  const SurveyTeller teller(result, options);
  std::string text = teller.answer() + teller.setups() + teller.misfits() + teller.against();
  for (const std::string& part :
       {teller.pairs(), teller.next(), teller.whole(), teller.map(), teller.basis()}) {
    if (!part.empty()) text += "\n" + part;
  }
  return finished(text, options);
}

std::string survey_why_text(const survey::Result& result, const TextOptions& options) {
  const SurveyTeller teller(result, options);
  return finished(teller.misfits() + teller.basis(), options);
}

}  // namespace quarterturn::report
