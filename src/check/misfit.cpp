// SPDX-License-Identifier: MIT
#include "check/misfit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "check/mistakes.hpp"
#include "check/reference_lengths.hpp"
#include "stats/distributions.hpp"
#include "stats/least_squares.hpp"
#include "stats/outliers.hpp"

namespace quarterturn::check {

namespace {

constexpr int kGesdFrom = 25;             // readings; [NIST-HB] 1.3.5.17.3
constexpr int kPanelsForSlips = 5, kCutsForSlips = 10;
constexpr double kLevel = 0.05, kCurvatureLevel = 0.01;
constexpr double kTornMm = 0.05;          // less is a saw mark; common practice, no source

struct Tested {
  std::size_t strip, spot, reading;
  double off = 0;        // reading minus its spot's mean, or minus the line
  double scaled = 0;     // off / sqrt(1 - leverage): standard deviation sigma
  bool single = false;
};

Where where_of(const Strip& strip, const Spot& spot, const Reading& reading) {
  Where w;
  w.panel = strip.panel;
  w.from_cut = strip.from_cut;
  w.to_cut = strip.to_cut;
  w.position_mm = spot.position_mm;
  if (reading.line > 0) w.line = reading.line;
  return w;
}

/// Residual of a spot mean from its strip's unweighted line, and its leverage.
struct LineResidual {
  double e, leverage;
};
std::vector<LineResidual> line_residuals(const Strip& strip) {
  const auto n = static_cast<double>(strip.spots.size());
  std::vector<double> mean;
  double mp = 0, mw = 0;
  for (const Spot& spot : strip.spots) {
    double sum = 0;
    for (const Reading& r : spot.readings) sum += r.mm;
    mean.push_back(sum / static_cast<double>(spot.readings.size()));
    mp += spot.position_mm / n;
    mw += mean.back() / n;
  }
  double sxx = 0, sxy = 0;
  for (std::size_t i = 0; i < mean.size(); ++i) {
    const double dp = strip.spots[i].position_mm - mp;
    sxx += dp * dp;
    sxy += dp * (mean[i] - mw);
  }
  std::vector<LineResidual> out;
  for (std::size_t i = 0; i < mean.size(); ++i) {
    const double dp = strip.spots[i].position_mm - mp;
    out.push_back({mean[i] - mw - sxy / sxx * dp, 1 / n + dp * dp / sxx});
  }
  return out;
}

std::vector<Tested> tested_readings(const Check& check, double nu_line) {
  std::vector<Tested> out;
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    const Strip& strip = check.strips[j];
    const std::vector<LineResidual> line = line_residuals(strip);
    for (std::size_t p = 0; p < strip.spots.size(); ++p) {
      const Spot& spot = strip.spots[p];
      const auto k = static_cast<double>(spot.readings.size());
      if (spot.readings.size() == 1) {
        const double room = 1 - line[p].leverage;
        if (strip.spots.size() < 3 || nu_line < 2 || room < 1e-6) continue;
        out.push_back({j, p, 0, line[p].e, line[p].e / std::sqrt(room), true});
        continue;
      }
      double mean = 0;
      for (const Reading& r : spot.readings) mean += r.mm / k;
      const std::size_t count = spot.readings.size() == 2 ? 1 : spot.readings.size();  // a pair is one test
      for (std::size_t r = 0; r < count; ++r) {
        const double e = spot.readings[r].mm - mean;
        out.push_back({j, p, r, e, e / std::sqrt(1 - 1 / k), false});
      }
    }
  }
  return out;
}

/// (M31)
bool stands_off(const Tested& t, const Summary& today, const ScatterFit& s, std::size_t tests) {
  const double rounding = s.resolution * s.resolution / 12;
  double ss, nu;
  if (t.single) {
    ss = today.ss_line - t.scaled * t.scaled;
    nu = today.nu_line - 1;
  } else {
    ss = s.s2_reading * s.nu_reading - t.scaled * t.scaled;
    nu = s.nu_reading - 1;
  }
  if (nu <= 0) return false;
  const double s2 = std::max(std::max(ss, 0.0) / nu, rounding);
  const double limit = stats::t_quantile(1 - kLevel / 2 / static_cast<double>(tests), nu);
  return std::fabs(t.scaled) / std::sqrt(s2) > limit;
}

Finding reading_finding(const Check& check, const Tested& t, double step) {
  const Strip& strip = check.strips[t.strip];
  const Spot& spot = strip.spots[t.spot];
  Finding f{"unusual-reading", where_of(strip, spot, spot.readings[t.reading]), {}, {}};
  const double value = spot.readings[t.reading].mm;
  std::vector<double> others;
  for (std::size_t r = 0; r < spot.readings.size(); ++r) {
    if (r != t.reading) others.push_back(spot.readings[r].mm);
  }
  if (t.single) others = {value - t.off};
  std::nth_element(others.begin(), others.begin() + static_cast<std::ptrdiff_t>(others.size() / 2), others.end());
  const double other = others[others.size() / 2];
  f.numbers = {{"value_mm", value}, {"other_mm", other}, {"off_mm", std::fabs(value - other)}};
  if (spot.readings.size() == 2) {
    f.where.line.reset();  // either of the two
  } else if (const char* code = explain_reading(value, others, step); code[0] != '\0') {
    f.code = code;
  }
  return f;
}

int readings_of(const Check& check) {
  int count = 0;
  for (const Strip& strip : check.strips) {
    for (const Spot& spot : strip.spots) count += static_cast<int>(spot.readings.size());
  }
  return count;
}

/// (M35): several slips would hide one another from the single test. Each spot keeps its own mean.
void mark_several(const Check& check, const std::vector<Tested>& tests, double resolution, std::vector<bool>& off) {
  std::vector<double> value;
  std::vector<int> group;
  std::vector<std::array<std::size_t, 3>> which;
  int number = 0;
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    for (std::size_t p = 0; p < check.strips[j].spots.size(); ++p, ++number) {
      const Spot& spot = check.strips[j].spots[p];
      for (std::size_t r = 0; r < spot.readings.size(); ++r) {
        value.push_back(spot.readings[r].mm);
        group.push_back(number);
        which.push_back({j, p, r});
      }
    }
  }
  const stats::Gesd g = stats::gesd(value, std::max(1, static_cast<int>(value.size()) / 10), kLevel, group);
  for (int i = 0; i < g.outliers; ++i) {
    const auto& [j, p, r] = which[static_cast<std::size_t>(g.order[static_cast<std::size_t>(i)])];
    for (std::size_t t = 0; t < tests.size(); ++t) {
      const bool pair = check.strips[j].spots[p].readings.size() == 2;
      const bool same = tests[t].strip == j && tests[t].spot == p && (pair || tests[t].reading == r);
      if (same && std::fabs(tests[t].off) > resolution) off[t] = true;
    }
  }
}

void find_readings(Fit& fit, const Check& check, const ScatterFit& s, const Summary& today) {
  const std::vector<Tested> tests = tested_readings(check, today.nu_line);
  std::vector<bool> off(tests.size(), false);
  const bool many = today.nu_pure > 0 && readings_of(check) >= kGesdFrom;
  if (many) mark_several(check, tests, s.resolution, off);
  for (std::size_t i = 0; i < tests.size(); ++i) {
    if (!tests[i].single && many) continue;
    off[i] = stands_off(tests[i], today, s, tests.size());
  }
  for (std::size_t i = 0; i < tests.size(); ++i) {
    if (off[i]) fit.findings.push_back(reading_finding(check, tests[i], s.resolution));
  }
}

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

/// (M32)
void find_corners(Fit& fit, const Check& check, const Corners& corners, const ScatterFit& s) {
  int last_cut = 0;
  for (const Strip& strip : check.strips) last_cut = std::max(last_cut, strip.to_cut);
  const bool enough = corners.independent() ? corners.strips >= kPanelsForSlips
                                            : last_cut >= kCutsForSlips && corners.strips >= 4;
  if (!(enough || (s.log && corners.strips >= 3))) {
    Finding f{"slips-not-seen", {}, {}, {}};
    f.words["kind"] = corners.strips == 1 ? " of one strip" : "";
    fit.findings.push_back(f);
    return;
  }
  const auto groups = corners.groups();
  const auto testable = std::count_if(groups.begin(), groups.end(), [](const auto& g) { return g.testable; });
  double smallest = kLevel / static_cast<double>(std::max<std::ptrdiff_t>(1, testable));
  const Corners::Group* worst = nullptr;
  double slip = 0;
  for (const Corners::Group& group : groups) {
    if (!group.testable) continue;
    std::vector<double> column;
    for (int j = 0; j < corners.strips; ++j) column.push_back(corners.at(j, group.members.front()));
    const ScatterFit refit = refit_with(s, column);
    const TaperFit row = refit.likelihood->tapers(refit.theta, 1);
    if (row.beta.size() < 2) continue;
    const double variance = row.covariance[3];
    const double dof =
        stats::satterthwaite(variance, refit.likelihood->variance_gradient(row), refit.information);
    const double p = 2 * stats::t_probability(-std::fabs(row.beta[1]) / std::sqrt(variance), dof);
    if (p < smallest) {
      smallest = p;
      worst = &group;
      slip = row.beta[1];
    }
  }
  if (worst == nullptr) return;
  Finding f{"unusual-cut", {}, {}, {}};
  const auto& name = corners.names[static_cast<std::size_t>(worst->members.front())];
  f.where.panel = name.panel;
  f.where.to_cut = name.cut;
  f.numbers["slip_mm"] = std::fabs(slip) * kSlipOverMm;
  f.words["cuts"] = slip_words(corners, *worst, slip);
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
      for (std::size_t i = 0; i < n; ++i) r[i] = value(i) - sv / sw - spv / spp * (data.position[i] - sp / sw);
      return r;
    };
    const double middle = 0.5 * (data.position.front() + data.position.back());
    const auto z = residuals([&](std::size_t i) { return (data.position[i] - middle) * (data.position[i] - middle); });
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
    Finding f{"curved-strip", {}, {}, {}};
    f.numbers["bow_mm"] = bow;
    fit.findings.push_back(f);
  }
}

/// An end spot off the line of the inner ones: its deleted residual, four spots or more a strip.
void find_torn_ends(Fit& fit, const Check& check, const Summary& today, double resolution) {
  if (today.nu_line < 4) return;
  const double tests = 2.0 * static_cast<double>(check.strips.size());
  const double limit = stats::t_quantile(1 - kLevel / 2 / tests, today.nu_line - 1);
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
      std::sort(values.begin(), values.end());
      const std::size_t m = values.size() / 2;
      p.push_back(spot.position_mm);
      w.push_back(values.size() % 2 != 0 ? values[m] : 0.5 * (values[m - 1] + values[m]));
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
  find_readings(fit, check, scatter, today);
  find_corners(fit, check, corners, scatter);
  find_curvature(fit, check, scatter, today);
  find_torn_ends(fit, check, today, scatter.resolution);
  find_robust(fit, check, scatter);
}

}  // namespace quarterturn::check
