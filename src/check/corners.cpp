// SPDX-License-Identifier: MIT
#include "check/corners.hpp"

#include <algorithm>
#include <cmath>

namespace quarterturn::check {

bool Corners::independent() const {
  for (int c = 0; c < columns(); ++c) {
    int strips_with = 0;
    for (int s = 0; s < strips; ++s) strips_with += at(s, c) != 0 ? 1 : 0;
    if (strips_with > 1) return false;
  }
  return true;
}

namespace {

/// Whether column a + sign * column b (b < 0: none) is a multiple of t, the zero multiple included.
bool multiple_of_t(const Corners& k, int a, int b, double sign) {
  double ratio = 0;
  for (int s = 0; s < k.strips; ++s) {
    const double value = k.at(s, a) + (b < 0 ? 0.0 : sign * k.at(s, b));
    const double r = value / k.t[static_cast<std::size_t>(s)];
    if (s == 0) ratio = r;
    if (std::fabs(r - ratio) > 1e-12) return false;
  }
  return true;
}

}  // namespace

// (M8)
std::vector<Corners::Group> Corners::groups() const {
  std::vector<Group> out;
  std::vector<bool> taken(names.size(), false);
  for (int c = 0; c < columns(); ++c) {
    if (taken[static_cast<std::size_t>(c)]) continue;
    Group group;
    group.members = {c};
    group.sign = {1};
    group.testable = !multiple_of_t(*this, c, -1, 0);
    for (int other = c + 1; other < columns(); ++other) {
      if (taken[static_cast<std::size_t>(other)]) continue;
      if (!group.testable) {  // all untestable corners stand together
        if (!multiple_of_t(*this, other, -1, 0)) continue;
        group.members.push_back(other);
        group.sign.push_back(1);
      } else if (multiple_of_t(*this, c, other, -1)) {
        group.members.push_back(other);
        group.sign.push_back(1);
      } else if (multiple_of_t(*this, c, other, +1)) {
        group.members.push_back(other);
        group.sign.push_back(-1);
      } else {
        continue;
      }
      taken[static_cast<std::size_t>(other)] = true;
    }
    out.push_back(std::move(group));
  }
  return out;
}

// (M7): corner i lies between edge i-1 and edge i; the strip (a, b) sums corners a+1 … b.
Corners corners_of(const Check& check) {
  Corners k;
  k.strips = static_cast<int>(check.strips.size());
  for (const Strip& strip : check.strips) {
    for (int cut = strip.from_cut + 1; cut <= strip.to_cut; ++cut) k.names.push_back({strip.panel, cut});
  }
  std::sort(k.names.begin(), k.names.end());
  k.names.erase(std::unique(k.names.begin(), k.names.end()), k.names.end());
  k.T.assign(static_cast<std::size_t>(k.strips) * k.names.size(), 0.0);
  for (std::size_t s = 0; s < check.strips.size(); ++s) {
    const Strip& strip = check.strips[s];
    for (std::size_t c = 0; c < k.names.size(); ++c) {
      const auto& name = k.names[c];
      if (name.panel == strip.panel && name.cut > strip.from_cut && name.cut <= strip.to_cut) {
        k.T[s * k.names.size() + c] = 1.0;
      }
    }
    k.t.push_back(strip.to_cut - strip.from_cut);
  }
  return k;
}

}  // namespace quarterturn::check
