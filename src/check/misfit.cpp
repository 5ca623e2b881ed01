// SPDX-License-Identifier: MIT
#include "check/misfit.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "check/misfit_parts.hpp"
#include "check/mistakes.hpp"
#include "check/reference_lengths.hpp"
#include "stats/distributions.hpp"
#include "stats/least_squares.hpp"

namespace quarterturn::check {

namespace {

constexpr int kPanelsForSlips = 5, kCutsForSlips = 10;
constexpr double kCurvatureLevel = 0.01;
constexpr double kTornMm = 0.05;  // less is a saw mark; common practice, no source

std::string slip_words(const Corners& corners, const Corners::Group& group, double slip) {
  std::string out;
  for (std::size_t i = 0; i < group.members.size(); ++i) {
    const auto& name = corners.names[static_cast<std::size_t>(group.members[i])];
    if (i > 0) out += ", or ";
    bool many = false;
    for (const auto& other : corners.names) many = many || other.panel != name.panel;
    if (many) out += "panel " + std::to_string(name.panel) + " ";
    out += "cut " + std::to_string(name.cut) + (slip * group.sign[i] > 0 ? " sat over" : " sat under");
  }
  return out;
}

/// The seatings of one joint are one group, or of both joints of a board: they are named.
std::string joint_words(const Check& check, const Corners& corners, const Corners::Group& group,
                        double slip) {
  const auto over = [&](std::size_t i) { return slip * group.sign[i] > 0; };
  std::string out = joint_word(check);
  int last = 0;
  for (std::size_t i = 0; i < group.members.size(); ++i) {
    const int panel = corners.names[static_cast<std::size_t>(group.members[i])].panel;
    if (panel == last) continue;
    out += (last > 0 ? " or " : " ") + std::to_string(panel);
    last = panel;
  }
  return out + (over(0) ? " sat over" : " sat under");
}

/// (M32)
void find_corners(Fit& fit, const Check& check, const Corners& corners, const ScatterFit& s) {
  int last_cut = 0;
  for (const Strip& strip : check.strips) last_cut = std::max(last_cut, strip.to_cut);
  const bool enough = corners.independent() ? corners.contrasts() + 1 >= kPanelsForSlips
                                            : last_cut >= kCutsForSlips && corners.strips >= 4;
  if (!(enough || (s.log && corners.strips >= 3))) {
    if (check.gaps()) return;  // that a few joints cannot show a slip goes without saying
    Finding f{"slips-not-seen", {}, {}, {}};
    f.words["kind"] = corners.strips == 1 ? " of one strip" : "";
    fit.findings.push_back(f);
    return;
  }
  const auto groups = corners.groups();
  const auto testable = std::count_if(groups.begin(), groups.end(), [](const auto& g) { return g.testable; });
  double smallest = kMisfitLevel / static_cast<double>(std::max<std::ptrdiff_t>(1, testable));
  const Corners::Group* worst = nullptr;
  double slip = 0;
  std::vector<std::vector<double>> columns;
  for (const Corners::Group& group : groups) {
    columns.emplace_back();
    for (int j = 0; j < corners.strips; ++j) columns.back().push_back(corners.at(j, group.members.front()));
  }
  const std::vector<double> ratios = s.likelihood->further_ratios(s.theta, columns);
  double worth = kNotWorthARefit;
  for (std::size_t i = 0; i < ratios.size(); ++i) {
    if (groups[i].testable) worth = std::max(worth, kFarFromTheWorst * std::fabs(ratios[i]));
  }
  for (std::size_t i = 0; i < groups.size(); ++i) {
    const Corners::Group& group = groups[i];
    if (!group.testable || (i < ratios.size() && std::fabs(ratios[i]) < worth)) continue;
    const std::vector<double>& column = columns[i];
    const ScatterFit refit = refit_with(s, column);
    const auto last = static_cast<std::size_t>(1 + corners.boards);  // regressor of the column added
    const TaperFit row = refit.likelihood->tapers(refit.theta, static_cast<int>(last));
    if (row.beta.size() <= last) continue;
    const double variance = row.covariance[last * (last + 1) + last];
    const double dof =
        stats::satterthwaite(variance, refit.likelihood->variance_gradient(row), refit.information);
    const double p = 2 * stats::t_probability(-std::fabs(row.beta[last]) / std::sqrt(variance), dof);
    if (p < smallest) {
      smallest = p;
      worst = &group;
      slip = row.beta[last];
    }
  }
  if (worst == nullptr) return;
  Finding f{"unusual-cut", {}, {}, {}};
  const auto& name = corners.names[static_cast<std::size_t>(worst->members.front())];
  f.where.panel = name.panel;
  if (!check.gaps()) f.where.to_cut = name.cut;
  f.numbers["slip_mm"] = std::fabs(slip) * kSlipOverMm;
  f.words["cuts"] =
      check.gaps() ? joint_words(check, corners, *worst, slip) : slip_words(corners, *worst, slip);
  fit.findings.push_back(f);
}

/// (M33): F test of one quadratic shared by all strips, on 1 and sum(spots - 2) - 1 degrees of freedom.
void find_curvature(Fit& fit, const Check& check, const ScatterFit& s, const Summary& today) {
  if (today.nu_line < 2) return;
  double zz = 0, zr = 0, rr = 0, reach = 0;
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    const StripData& data = s.likelihood->groups().front().strips[j];
    const std::size_t n = data.position.size();
    std::vector<double> w(n);
    for (std::size_t i = 0; i < n; ++i) {
      w[i] = 1 / (s.theta[1] + data.reading_share[i] * s.theta[0] + data.fixed[i]);
    }
    // Residuals of width and of position^2 from the weighted line.
    const auto residuals = [&](const auto& value) {
      double sw = 0, sp = 0, sv = 0;
      for (std::size_t i = 0; i < n; ++i) {
        sw += w[i];
        sp += w[i] * data.position[i];
        sv += w[i] * value(i);
      }
      double spp = 0, spv = 0;
      for (std::size_t i = 0; i < n; ++i) {
        const double dp = data.position[i] - sp / sw;
        spp += w[i] * dp * dp;
        spv += w[i] * dp * (value(i) - sv / sw);
      }
      std::vector<double> r(n);
      for (std::size_t i = 0; i < n; ++i)
        r[i] = value(i) - sv / sw - spv / spp * (data.position[i] - sp / sw);
      return r;
    };
    const double middle = 0.5 * (data.position.front() + data.position.back());
    const auto z =
        residuals([&](std::size_t i) { return (data.position[i] - middle) * (data.position[i] - middle); });
    const auto r = residuals([&](std::size_t i) { return data.width[i]; });
    for (std::size_t i = 0; i < n; ++i) {
      zz += w[i] * z[i] * z[i];
      zr += w[i] * z[i] * r[i];
      rr += w[i] * r[i] * r[i];
    }
    reach = std::max(reach, data.position.back() - data.position.front());
  }
  if (zz <= 0) return;
  const double dof = today.nu_line - 1, explained = zr * zr / zz;
  const double bow = std::fabs(zr / zz) * reach * reach / 4;  // sagitta over the measured length
  const double left = std::max((rr - explained) / dof, 1e-12);
  if (stats::f_upper(explained / left, 1, dof) < kCurvatureLevel && bow > s.resolution) {
    Finding f{check.gaps() ? "curved-joint" : "curved-strip", {}, {}, {}};
    f.numbers["bow_mm"] = bow;
    fit.findings.push_back(f);
  }
}

/// Three places leave one degree of freedom: too few for a test, but not for a slip of tenths. Which of the
/// three it is they cannot say.
void find_off_line(Fit& fit, const Check& check) {
  for (const Strip& strip : check.strips) {
    if (strip.spots.size() != 3) continue;
    const Spot& first = strip.spots[0];
    const Spot& last = strip.spots[2];
    const double share =
        (strip.spots[1].position_mm - first.position_mm) / (last.position_mm - first.position_mm);
    const double off = mean_mm(strip.spots[1].readings) - (1 - share) * mean_mm(first.readings) -
                       share * mean_mm(last.readings);
    if (std::fabs(off) < kOffLineMm) continue;
    Finding f{"middle-off-line", where_of(strip, strip.spots[1], Reading{}), {}, {}};
    f.numbers["off_mm"] = std::fabs(off);
    fit.findings.push_back(f);
  }
}

/// An end spot off the line of the inner ones: its deleted residual, four spots or more a strip.
void find_torn_ends(Fit& fit, const Check& check, const Summary& today, double resolution) {
  if (today.nu_line < 3) return;
  const double tests = 2.0 * static_cast<double>(check.strips.size());
  const double limit = stats::t_quantile(1 - kMisfitLevel / 2 / tests, today.nu_line - 1);
  for (const Strip& strip : check.strips) {
    if (strip.spots.size() < 4) continue;
    const std::vector<LineResidual> line = line_residuals(strip);
    for (const std::size_t i : {std::size_t{0}, strip.spots.size() - 1}) {
      const double room = 1 - line[i].leverage, off = line[i].e / room;
      const double s2 = std::max((today.ss_line - line[i].e * line[i].e / room) / (today.nu_line - 1),
                                 resolution * resolution / 12);
      if (std::fabs(line[i].e) / std::sqrt(s2 * room) > limit && std::fabs(off) > kTornMm) {
        Finding f{"torn-end", where_of(strip, strip.spots[i], Reading{}), {}, {}};
        f.numbers["off_mm"] = std::fabs(off);
        fit.findings.push_back(f);
      }
    }
  }
}

/// (M34): the same weights over lines that single readings cannot carry.
void find_robust(Fit& fit, const Check& check, const ScatterFit& s) {
  double robust = 0;
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    std::vector<double> p, w;
    for (const Spot& spot : check.strips[j].spots) {
      std::vector<double> values;
      for (const Reading& r : spot.readings) values.push_back(r.mm);
      p.push_back(spot.position_mm);
      w.push_back(median(std::move(values)));
    }
    robust -= s.tapers.weights[j] * stats::theil_sen_slope(p, w);
  }
  const double off = std::fabs(robust - fit.eta.x);
  if (off > fit.eta.half_width) {
    Finding f{"robust-differs", {}, {}, {}};
    f.numbers["robust_mm"] = robust * kOverMm;
    f.numbers["off_mm"] = off * kOverMm;
    fit.findings.push_back(f);
  }
}

}  // namespace

void find_misfits(Fit& fit, const Check& check, const Corners& corners, const ScatterFit& scatter) {
  const Summary today = summarise(check);
  find_corners(fit, check, corners, scatter);
  find_curvature(fit, check, scatter, today);
  if (!check
           .gaps()) {  // a joint of two bowed edges is curved (M95), and its ends are no sawn ends of a strip
    find_off_line(fit, check);
    find_torn_ends(fit, check, today, scatter.resolution);
  }
  find_readings(fit, check, scatter, today);  // after the torn ends, which explain single readings
  find_robust(fit, check, scatter);
}

}  // namespace quarterturn::check
