// SPDX-License-Identifier: MIT
#include "support/reference_network.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <numbers>
#include <stdexcept>

namespace quarterturn::test {
namespace {

using nlohmann::json;
using stats::Entry;

std::string folder() {
  return std::string(QUARTERTURN_ROOT) + "/data/reference/geodesy";
}

/// One kind of observation: between the points, at the first of them where there are three.
struct Sight {
  std::string kind;
  int at = 0, from = -1, to = 0;
  double seen = 0;
};

double bearing(std::span<const double> x, int at, int to, double sign, std::vector<Entry>& d) {
  const auto a = static_cast<std::size_t>(at), b = static_cast<std::size_t>(to);
  const double dx = x[b] - x[a], dy = x[b + 1] - x[a + 1], square = dx * dx + dy * dy;
  d.push_back({to, sign * dy / square});
  d.push_back({to + 1, -sign * dx / square});
  d.push_back({at, -sign * dy / square});
  d.push_back({at + 1, sign * dx / square});
  return sign * std::atan2(dx, dy);
}

double distance(std::span<const double> x, int at, int to, std::vector<Entry>& d) {
  const auto a = static_cast<std::size_t>(at), b = static_cast<std::size_t>(to);
  const double dx = x[b] - x[a], dy = x[b + 1] - x[a + 1], length = std::hypot(dx, dy);
  d.push_back({to, dx / length});
  d.push_back({to + 1, dy / length});
  d.push_back({at, -dx / length});
  d.push_back({at + 1, -dy / length});
  return length;
}

double computed(const Sight& s, std::span<const double> x, std::vector<Entry>& d) {
  if (s.kind == "dh") {
    d = {{s.to, 1.0}, {s.at, -1.0}};
    return x[static_cast<std::size_t>(s.to)] - x[static_cast<std::size_t>(s.at)];
  }
  if (s.kind == "distance") return distance(x, s.at, s.to, d);
  double angle = bearing(x, s.at, s.to, 1, d);
  if (s.kind == "angle") angle += bearing(x, s.at, s.from, -1, d);
  return angle + 2 * std::numbers::pi * std::round((s.seen - angle) / (2 * std::numbers::pi));
}

void read_observations(const json& file, const std::map<std::string, int>& first, ReferenceNetwork& out) {
  std::vector<Sight> sights;
  for (const json& o : file.at("observations")) {
    Sight s;
    s.kind = o.at("type");
    const std::string from = o.at("from"), to = o.at("to");
    s.to = first.at(to);
    if (s.kind == "angle") {
      s.at = first.at(o.at("at").get<std::string>());
      s.from = first.at(from);
    } else {
      s.at = first.at(from);
    }
    double sigma = 0;
    if (s.kind == "dh") {
      s.seen = o.at("value_m");
      sigma =
          o.at("sigma_m_per_sqrt_km").get<double>() * std::sqrt(o.at("line_length_m").get<double>() / 1000);
    } else if (s.kind == "distance") {
      s.seen = o.at("value_m");
      sigma = o.at("sigma_m");
    } else if (s.kind == "angle" || s.kind == "bearing") {
      s.seen = o.at("value_rad");
      sigma = o.at("sigma_rad");
    } else {
      throw std::runtime_error(s.kind + ": no known observation");
    }
    out.network.observations.push_back({s.seen, sigma});
    out.names.push_back(s.kind + " " + from + " " + to);
    sights.push_back(s);
  }
  out.network.model = [sights](int i, std::span<const double> x, std::vector<Entry>& derivatives) {
    return computed(sights[static_cast<std::size_t>(i)], x, derivatives);
  };
}

void read_datum(const json& file, const std::map<std::string, int>& first, ReferenceNetwork& out) {
  std::vector<int> parameters;
  const json& datum = file.at("datum").at(0);
  for (std::size_t i = 1; i < datum.size(); ++i) {
    const std::string name = datum.at(i);
    parameters.push_back(out.heights ? first.at(name) : first.at(name.substr(1)) + (name[0] == 'y'));
  }
  out.free = datum.at(0) == "free";
  if (out.free) {
    out.datum = parameters;
    out.network.datum = inner_constraints(out, out.network.start);
  } else {
    out.network.fixed = parameters;
  }
}

ReferenceNetwork::Point read_point(const json& r, const std::map<std::string, int>& first, bool heights) {
  ReferenceNetwork::Point p;
  p.name = r.at("point");
  p.first = first.at(p.name);
  if (heights) {
    p.value[0] = r.at("recomputed_H_m");
    p.sd_mm[0] = r.at("recomputed_sd_mm");
    p.published[0] = r.at("published_H_m");
    p.published_sd_mm[0] = r.at("published_sd_mm");
    p.published_correction_mm = r.at("published_correction_mm").get<double>();
    return p;
  }
  for (int k = 0; k < 2; ++k) {
    const std::string axis = k == 0 ? "x" : "y";
    p.value[k] = r.at("recomputed_" + axis + "_m");
    p.sd_mm[k] = r.at("recomputed_sd_" + axis + "_mm");
    p.published[k] = r.at("published_" + axis + "_m");
    p.published_sd_mm[k] = 10 * r.at("published_sd_" + axis + "_cm").get<double>();
  }
  p.published_sd_point_mm = 10 * r.at("published_sd_point_cm").get<double>();
  p.major_mm = r.at("recomputed_ellipse_a_mm");
  p.minor_mm = r.at("recomputed_ellipse_b_mm");
  p.bearing_deg = r.at("recomputed_ellipse_azimuth_deg_from_y_clockwise");
  return p;
}

}  // namespace

/// About the middle of the points and in kilometres, so that the columns are of like size.
std::vector<std::vector<double>> inner_constraints(const ReferenceNetwork& network,
                                                   std::span<const double> x) {
  const std::size_t width = network.heights ? 1 : 2;
  double middle[2] = {0, 0};
  for (int p : network.datum) {
    const auto i = static_cast<std::size_t>(p);
    middle[i % width] += x[i] * static_cast<double>(width) / static_cast<double>(network.datum.size());
  }
  std::vector<std::vector<double>> columns(network.heights ? 1 : 3, std::vector<double>(x.size()));
  for (int p : network.datum) {
    const auto i = static_cast<std::size_t>(p);
    columns[i % width][i] = 1;
    if (!network.heights)
      columns[2][i] = i % 2 == 0 ? -(x[i + 1] - middle[1]) / 1000 : (x[i - 1] - middle[0]) / 1000;
  }
  return columns;
}

ReferenceNetwork reference_network(const std::string& id) {
  std::ifstream in(folder() + "/" + id + ".json");
  if (!in) throw std::runtime_error("cannot open " + id);
  const json file = json::parse(in);
  ReferenceNetwork out;
  std::map<std::string, int> first;
  for (const auto& [name, at] : file.at("approximate_coordinates").items()) {
    out.heights = at.size() == 3;
    first[name] = static_cast<int>(out.network.start.size());
    if (out.heights) {
      out.network.start.push_back(at.at(2));
    } else {
      out.network.start.push_back(at.at(0));
      out.network.start.push_back(at.at(1));
    }
  }
  read_observations(file, first, out);
  read_datum(file, first, out);
  out.dof = file.at("dof");
  out.s0 = file.at("recomputed_s0_ratio");
  for (const json& r : file.at("results")) out.points.push_back(read_point(r, first, out.heights));
  return out;
}

std::vector<std::string> reference_network_ids() {
  std::vector<std::string> ids;
  for (const auto& entry : std::filesystem::directory_iterator(folder()))
    if (entry.path().extension() == ".json") ids.push_back(entry.path().stem().string());
  std::sort(ids.begin(), ids.end());
  return ids;
}

}  // namespace quarterturn::test
