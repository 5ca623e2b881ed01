// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>
#include <cmath>

#include "check/misfit_parts.hpp"
#include "check/mistakes.hpp"
#include "stats/distributions.hpp"
#include "stats/outliers.hpp"

namespace quarterturn::check {

Where where_of(const Strip& strip, const Spot& spot, const Reading& reading) {
  Where w;
  w.panel = strip.panel;
  if (strip.to_cut > 0) {
    w.from_cut = strip.from_cut;
    w.to_cut = strip.to_cut;
  }
  w.position_mm = spot.position_mm;
  if (reading.line > 0) w.line = reading.line;
  return w;
}

std::vector<LineResidual> line_residuals(const Strip& strip) {
  const auto n = static_cast<double>(strip.spots.size());
  std::vector<double> mean;
  double mp = 0, mw = 0;
  for (const Spot& spot : strip.spots) {
    mean.push_back(mean_mm(spot.readings));
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

namespace {

constexpr int kGesdFrom = 25;  // readings; [NIST-HB] 1.3.5.17.3

struct Tested {
  std::size_t strip, spot, reading;
  double off = 0;     // reading minus its spot's mean, or minus the line
  double scaled = 0;  // off / sqrt(1 - leverage): standard deviation sigma
  bool single = false;
};

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
      const double mean = mean_mm(spot.readings);
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
  const double limit = stats::t_quantile(1 - kMisfitLevel / 2 / static_cast<double>(tests), nu);
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
  const double other = median(others);
  f.numbers = {{"value_mm", value}, {"other_mm", other}, {"off_mm", std::fabs(value - other)}};
  if (spot.readings.size() == 2) {
    f.where.line.reset();  // either of the two
  } else if (const char* code = check.gaps() ? "" : explain_reading(value, others, step); code[0] != '\0') {
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
void mark_several(const Check& check, const std::vector<Tested>& tests, double resolution,
                  std::vector<bool>& off) {
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
  const int most = std::max(1, static_cast<int>(value.size()) / 10);
  for (const int outlier : stats::gesd_outliers(value, most, kMisfitLevel, group)) {
    const auto& [j, p, r] = which[static_cast<std::size_t>(outlier)];
    for (std::size_t t = 0; t < tests.size(); ++t) {
      const bool pair = check.strips[j].spots[p].readings.size() == 2;
      const bool same = tests[t].strip == j && tests[t].spot == p && (pair || tests[t].reading == r);
      if (same && std::fabs(tests[t].off) > resolution) off[t] = true;
    }
  }
}

}  // namespace

namespace {

/// A single reading that slipped tilts the line its neighbours are held against: only the farthest of a strip
/// is named, and none where a torn end already explains the strip.
void keep_one_single_a_strip(const std::vector<Tested>& tests, const Fit& fit, const Check& check,
                             std::vector<bool>& off) {
  for (std::size_t j = 0; j < check.strips.size(); ++j) {
    const Strip& strip = check.strips[j];
    const bool torn = std::any_of(fit.findings.begin(), fit.findings.end(), [&](const Finding& f) {
      return f.code == "torn-end" && f.where.panel == strip.panel && f.where.to_cut == strip.to_cut;
    });
    std::size_t farthest = tests.size();
    for (std::size_t i = 0; i < tests.size(); ++i) {
      if (!tests[i].single || tests[i].strip != j || !off[i]) continue;
      if (farthest == tests.size() || std::fabs(tests[i].scaled) > std::fabs(tests[farthest].scaled))
        farthest = i;
    }
    for (std::size_t i = 0; i < tests.size(); ++i) {
      if (tests[i].single && tests[i].strip == j && (torn || i != farthest)) off[i] = false;
    }
  }
}

}  // namespace

void find_readings(Fit& fit, const Check& check, const ScatterFit& s, const Summary& today) {
  const std::vector<Tested> tests = tested_readings(check, today.nu_line);
  std::vector<bool> off(tests.size(), false);
  const bool many = today.nu_pure > 0 && readings_of(check) >= kGesdFrom;
  if (many) mark_several(check, tests, s.resolution, off);
  for (std::size_t i = 0; i < tests.size(); ++i) {
    if (!tests[i].single && many) continue;
    off[i] = stands_off(tests[i], today, s, tests.size());
  }
  keep_one_single_a_strip(tests, fit, check, off);
  for (std::size_t i = 0; i < tests.size(); ++i) {
    if (off[i]) fit.findings.push_back(reading_finding(check, tests[i], s.resolution));
  }
}

}  // namespace quarterturn::check
