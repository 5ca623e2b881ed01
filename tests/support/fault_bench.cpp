// SPDX-License-Identifier: MIT
#include "support/fault_bench.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "station/geometry.hpp"
#include "support/simulate.hpp"

namespace quarterturn::test {
namespace {

constexpr double kTolerance = 0.10 / 600;
constexpr std::size_t kKnown = 6;  // earlier checks a fit learns from

using station::Station;

station::Setup setup_of(const char* name, const char* near, const char* far, const char* left,
                        const char* right, const std::array<const char*, 4>& dogs) {
  station::Setup setup;
  setup.name = name;
  setup.rail = {{station::parse_hole(near), dogs[0]}, {station::parse_hole(far), dogs[1]}};
  setup.fence = {{station::parse_hole(left), dogs[2]}, {station::parse_hole(right), dogs[3]}};
  return setup;
}

/// Like examples/stations/dock.json, with a smaller setup on the same rail dogs and one with a rail of its
/// own.
Station dock_with_more() {
  Station dock;
  dock.name = "dock";
  dock.grid.pitch = units::Length::from_mm(96);
  dock.grid.columns = 9;
  dock.grid.rows = 11;
  dock.grid.drill_scatter = units::Length::from_mm(0.03);
  for (const char* name :
       {"tall-1", "tall-2", "tall-3", "tall-4", "low-1", "low-2", "low-3", "low-4", "low-5"}) {
    dock.dogs[name] = {name, units::Length::from_mm(20), station::Held::screwed, {}, {}, {}};
  }
  dock.setups["crosscut"] =
      setup_of("crosscut", "E2", "E10", "A9", "D9", {"tall-1", "tall-2", "low-1", "low-2"});
  dock.setups["small"] = setup_of("small", "E2", "E10", "A8", "C8", {"tall-1", "tall-2", "low-3", "low-4"});
  dock.setups["other"] = setup_of("other", "D2", "D10", "A9", "C9", {"tall-3", "tall-4", "low-1", "low-5"});
  return dock;
}

Point turned_round(Point p, bool by_half) {
  return by_half ? Point{-p.x, -p.y} : p;
}

double panel_mm(const std::string& setup) {
  return setup == "small" ? 548 : 640;
}

}  // namespace

double uniform(std::mt19937_64& random) {
  return (static_cast<double>(random() >> 11) + 0.5) * 0x1.0p-53;
}
double between(std::mt19937_64& random, double low, double high) {
  return low + (high - low) * uniform(random);
}
int whole(std::mt19937_64& random, int low, int high) {
  return low + static_cast<int>(random() % static_cast<std::uint64_t>(high - low + 1));
}
bool chance(std::mt19937_64& random, double p) {
  return uniform(random) < p;
}

FaultBench::FaultBench(std::mt19937_64& random) : station(dock_with_more()), random_(random) {
  const double scatter = station.grid.drill_scatter->mm();
  for (int column = 1; column <= station.grid.columns; ++column) {
    for (int row = 1; row <= station.grid.rows; ++row)
      holes[station::Hole{column, row}.name()] = {scatter * normal(random), scatter * normal(random)};
  }
  for (const auto& [name, dog] : station.dogs) {
    dogs[name].diameter_mm = dog.diameter.mm() + 0.01 * normal(random);
    dogs[name].lean = {0.01 * normal(random), 0.01 * normal(random)};
  }
  seating_mm *= between(random, 0.8, 1.3);
  reinsert();
  insertion = 0;
}

void FaultBench::reinsert() {
  for (auto& [name, dog] : dogs) {
    const double r = 0.5 * play_mm * std::sqrt(uniform(random_)), a = 2 * std::numbers::pi * uniform(random_);
    dog.in_hole = {r * std::cos(a), r * std::sin(a)};
  }
  ++insertion;
}

void FaultBench::event(const std::string& kind, const std::string& target) {
  history::Happened happened;
  happened.kind = kind;
  happened.target = target;
  happened.date = day;
  happened.before = scene.checks.size();
  scene.events.push_back(happened);
}

void FaultBench::shim(const std::string& setup, const std::string& dog, double mm) {
  event("corrected", dog);
  auto& happened = scene.events.back();
  happened.setup = setup;
  happened.moved = per(setup, dog, true) * mm;
  happened.u_action = 0.01 * std::fabs(per(setup, dog, true));
  happened.is_shim = true;
  dogs.at(dog).shim_mm = mm + 0.007 * normal(random_);
}

Table FaultBench::still_table(const std::string& setup) const {
  const auto& posts = station.setups.at(setup);
  Table table = table_of(station, posts);
  const auto place = [&](OracleDog& dog, const station::Post& post) {
    const auto& real = dogs.at(post.dog);
    const Point lean = turned_round(real.lean, real.turned), hole = holes.at(post.hole.name());
    dog.diameter_mm = real.diameter_mm;
    dog.shim_mm = real.shim_mm + real.gap_mm - (real.turned ? 0 : real.worn_mm);
    dog.shift = {hole.x + lean.x + real.in_hole.x - shear_rad * dog.hole.y, hole.y + lean.y + real.in_hole.y};
  };
  place(table.rail_near, posts.rail.first);
  place(table.rail_far, posts.rail.second);
  place(table.fence_left, posts.fence.first);
  place(table.fence_right, posts.fence.second);
  table.curvature_per_mm = curvature_per_mm;
  return table;
}

/// The table of one cut: what gives has moved, the saw has wobbled, a chip may lie at the fence.
Table FaultBench::table(const std::string& setup, bool with_noise) {
  Table table = still_table(setup);
  if (!with_noise) return table;
  const auto& posts = station.setups.at(setup);
  const auto jolt = [&](OracleDog& dog, const station::Post& post) {
    const double gives = dogs.at(post.dog).gives_mm;
    if (gives > 0) dog.shift = {dog.shift.x + gives * normal(random_), dog.shift.y + gives * normal(random_)};
  };
  jolt(table.rail_near, posts.rail.first);
  jolt(table.rail_far, posts.rail.second);
  jolt(table.fence_left, posts.fence.first);
  jolt(table.fence_right, posts.fence.second);
  if (wobble_per_mm > 0) table.curvature_per_mm += wobble_per_mm * normal(random_);
  if (posts.fence.second.dog == "low-2" && chip_share > 0 && chance(random_, chip_share))
    table.fence_right.shim_mm += chip_mm;
  return table;
}

double FaultBench::eps(const std::string& setup) const {
  return exact_eps(still_table(setup));
}

double FaultBench::per(const std::string& setup, const std::string& dog, bool off) const {
  const auto& posts = station.setups.at(setup);
  const auto geometry = station::geometry_of(station, posts);
  double per = 0;
  for (const bool second : {false, true}) {
    const auto& rail = *geometry.rail;
    const auto& fence = *geometry.fence;
    if ((second ? posts.rail.second : posts.rail.first).dog == dog)
      per += station::eps_change_rail(rail, second, off ? rail.n : rail.m);
    if ((second ? posts.fence.second : posts.fence.first).dog == dog)
      per += station::eps_change_fence(fence, second, off ? fence.n : fence.m);
  }
  return per;
}

void FaultBench::adjust(const std::string& setup, double wanted) {
  const auto& post = station.setups.at(setup).fence.second;
  // Two steps of the first-order rule: what remains is below 1e-9.
  for (int i = 0; i < 2; ++i)
    holes.at(post.hole.name()).y +=
        (wanted - eps(setup)) /
        station::eps_change_fence(*station::geometry_of(station, station.setups.at(setup)).fence, true,
                                  {0, 1});
}

std::vector<OracleStrip> FaultBench::cut(const std::string& setup, int cuts) {
  const double size = panel_mm(setup);
  const double span = *station::geometry_of(station, station.setups.at(setup)).seating_span_mm();
  Panel panel = skewed_panel(size, size);
  std::vector<OracleStrip> strips;
  for (int i = 1; i <= cuts; ++i) {
    SawOptions options;
    options.seating_rad = person_rad + seating_mm * std::numbers::sqrt2 / span * normal(random_);
    Sawn sawn = saw(table(setup, true), panel, i - 1, i, options);
    if (sawn.strip.to_cut - sawn.strip.from_cut == 4 && sawn.strip.from_cut >= 1)
      strips.push_back(sawn.strip);
    panel = std::move(sawn.kept);
  }
  return strips;
}

check::Check FaultBench::measure(const std::string& setup) {
  check::Check made;
  made.setup = setup;
  made.by = person;
  made.caliper_id = caliper;
  const int count = strips_a_check.value_or(whole(random_, 1, 3));
  const bool progressive = count > 1 && chance(random_, 0.5);
  made.test = progressive ? check::TestKind::progressive : check::TestKind::five_cut;
  CaliperNoise noise;
  noise.saw_marks_mm = 0.004;
  noise.reading_mm = 0.012;
  noise.step_mm = 0.01;
  noise.normal = [this] { return normal(random_); };
  for (int panel = 1; panel <= (progressive ? 1 : count); ++panel) {
    for (const auto& strip : cut(setup, progressive ? 4 + count : 5)) {
      const double length = std::floor(strip.length_mm());
      made.strips.push_back(measured(strip, panel, {20, 0.5 * length, length - 20}, 3, noise));
    }
  }
  return made;
}

void FaultBench::keep(const std::string& name, const check::Check& made) {
  const auto& setup = station.setups.at(name);
  const auto geometry = station::geometry_of(station, setup);
  check::FitOptions options;
  options.span_mm = geometry.seating_span_mm();
  auto& known = earlier[name];
  const auto fit = check::fit(made, {}, known, options);
  options.use_assumed = false;
  const auto alone = check::fit(made, {}, {}, options);

  history::Seen seen;
  history::stand_on(scene, seen, station, setup, turned, panel_mm(name) - 56);
  seen.date = day;
  seen.eps = geometry.q * fit.eta.x;
  seen.u = fit.eta.half_width / 1.959963984540054;
  seen.within = fit.probability_within && fit.probability_within(kTolerance) >= 0.95;
  seen.insertion = insertion;
  seen.person = person;
  seen.caliper = caliper;
  const auto& spots = made.strips.front().spots;
  seen.per_reading = 1 / (4 * (spots.back().position_mm - spots.front().position_mm) * 3 *
                          static_cast<double>(made.strips.size()));
  if (alone.tapers.size() > 1) {
    double readings = 0;
    for (const auto& taper : alone.tapers) readings += taper.u_rad * taper.u_rad;
    seen.seating_nu = static_cast<double>(alone.tapers.size() - 1);
    seen.seating_ms =
        alone.seating_rad * alone.seating_rad + readings / (4 * static_cast<double>(alone.tapers.size()));
  }
  seen.curved =
      std::ranges::any_of(alone.findings, [](const auto& one) { return one.code == "curved-strip"; });
  scene.checks.push_back(seen);
  known.push_back({made, *options.span_mm, "", person});
  if (known.size() > kKnown) known.erase(known.begin());
}

}  // namespace quarterturn::test
