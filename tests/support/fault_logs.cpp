// SPDX-License-Identifier: MIT
#include "support/fault_logs.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <map>
#include <stdexcept>
#include <vector>

#include "history/history.hpp"
#include "station/geometry.hpp"
#include "support/fault_bench.hpp"
#include "support/simulate.hpp"

namespace quarterturn::test {
namespace {

constexpr double kWrongAnswer = 0.05;
const std::string kMain = "crosscut";

/// One log on its way: what the recipes of the causes share.
struct Story {
  FaultBench& bench;
  std::mt19937_64& random;
  int checks = 0, onset = 0;  ///< checks of the ordinary kind; the first that shows the cause
  double effect = 0;          ///< wanted on eps [rad], signed
  std::string dog = {};       ///< of the main setup, chosen at random
  bool rail = false;          ///< it is a rail dog
  history::Answers answers = {};
  std::optional<double> dry_day = {};
  std::vector<double> places = {};  ///< eps at each insertion, where the cause is what insertions do

  /// One answer, wrong in one of twenty.
  void answer(const char* test, bool truth, std::optional<double> mm = {}) {
    const bool found = chance(random, kWrongAnswer) ? !truth : truth;
    answers[test] = {found, found && truth ? mm : std::nullopt};
  }
  void papers(bool near, bool far, double gap_mm = 0) {
    const auto feeler = [&](bool there) -> std::optional<double> {
      if (!there) return std::nullopt;
      return std::max(0.05, std::round((gap_mm + 0.02 * normal(random)) / 0.05) * 0.05);
    };
    answer("paper-near", near, feeler(near));
    answer("paper-far", far, feeler(far));
  }
  [[nodiscard]] double mm(bool off) const { return effect / bench.per(kMain, dog, off); }
  [[nodiscard]] Point across(double size_mm) const { return rail ? Point{-size_mm, 0} : Point{0, size_mm}; }
  /// The rail dog on whose face something turns eps that way.
  [[nodiscard]] std::string rail_dog(double way) const {
    return (bench.per(kMain, "tall-1", true) < 0) == (way < 0) ? "tall-1" : "tall-2";
  }
  void insert_anew(const char* kind) {
    bench.reinsert();
    bench.event(kind, dog);
  }
};

/// What a cause does to the bench.
struct Recipe {
  std::function<void(Story&)> before = [](Story&) {};          ///< the log begins
  std::function<void(Story&)> begin = [](Story&) {};           ///< just before the first check that shows it
  std::function<void(Story&, int)> each = [](Story&, int) {};  ///< before every check, by its number
  std::function<void(Story&, int)> after = [](Story&, int) {};
  std::function<void(Story&)> separate = [](Story&) {
  };  ///< the tests that tell it apart, before the last check
  std::function<void(Story&, check::Check&)> spoil = [](Story&, check::Check&) {};  ///< the last check
  bool late = false;           ///< acts in the last check only
  bool no_other_work = false;  ///< no correction in between
  bool seen_before = false;    ///< `separate` changes the table: a check shows the effect first
};

station::Post& post_of(station::Setup& setup, const std::string& dog) {
  for (auto* post : {&setup.rail.first, &setup.rail.second, &setup.fence.first, &setup.fence.second}) {
    if (post->dog == dog) return *post;
  }
  throw std::out_of_range("no such dog");
}

/// The same setup with that dog in the hole beside its own.
void try_other_hole(Story& story) {
  auto setup = story.bench.station.setups.at(kMain);
  setup.name = "other-hole";
  auto& post = post_of(setup, story.dog);
  if (story.rail)
    post.hole.row += post.hole.row < 5 ? 1 : -1;
  else
    post.hole.column += post.hole.column == 1 ? 1 : -1;
  story.bench.station.setups[setup.name] = setup;
  story.insert_anew("dogs reinserted");
  story.bench.wait(1);
  story.bench.check(setup.name);
  story.bench.wait(1);
  story.insert_anew("dogs reinserted");
}

void exchange_dogs(Story& story) {
  auto& setup = story.bench.station.setups.at(kMain);
  auto& pair = story.rail ? setup.rail : setup.fence;
  std::swap(pair.first.dog, pair.second.dog);
  // Foil is put back where it was.
  std::swap(story.bench.dogs.at(pair.first.dog).shim_mm, story.bench.dogs.at(pair.second.dog).shim_mm);
  story.insert_anew("dogs reinserted");
}

void turn_dog(Story& story) {
  auto& dog = story.bench.dogs.at(story.dog);
  dog.turned = !dog.turned;
  story.bench.turned[story.dog] = dog.turned ? -1 : 1;
  story.insert_anew("dog turned");
}

Recipe chance_recipe() {
  Recipe r;
  r.before = [](Story& s) { s.effect = 1; };  // nothing acts, so nothing is too small
  return r;
}

Recipe bad_reading() {
  Recipe r;
  r.late = true;
  r.spoil = [](Story& s, check::Check& check) {
    // One end misread throughout, as with chips under a jaw or a digit read wrong.
    auto& strip =
        check.strips[static_cast<std::size_t>(whole(s.random, 0, static_cast<int>(check.strips.size()) - 1))];
    auto& spot = chance(s.random, 0.5) ? strip.spots.front() : strip.spots.back();
    const double apart = strip.spots.back().position_mm - strip.spots.front().position_mm;
    const double size = 4 * apart * std::fabs(s.effect) * static_cast<double>(check.strips.size());
    auto& reading = spot.readings[static_cast<std::size_t>(whole(s.random, 0, 2))];
    reading.mm += (chance(s.random, 0.5) ? 1 : -1) * std::round(300 * size) / 100;
  };
  r.separate = [](Story& s) { s.answer("same-strip", true); };
  return r;
}

Recipe swapped_ends() {
  Recipe r;
  r.late = true;
  r.no_other_work = true;
  r.before = [](Story& s) { s.bench.adjust(kMain, 0.5 * s.effect); };
  r.spoil = [](Story&, check::Check& check) {
    for (auto& strip : check.strips) {
      const double length = strip.spots.front().position_mm + strip.spots.back().position_mm;
      for (auto& spot : strip.spots) spot.position_mm = length - spot.position_mm;
      std::ranges::reverse(strip.spots);
    }
  };
  r.separate = [](Story& s) { s.answer("strip-end", true); };
  return r;
}

Recipe rail_off_dog() {
  Recipe r;
  r.begin = [](Story& s) {
    s.dog = s.rail_dog(s.effect);
    s.bench.dogs.at(s.dog).gap_mm = s.mm(true);
    if (chance(s.random, 0.3)) s.bench.event("knocked");
  };
  r.separate = [](Story& s) { s.papers(s.dog == "tall-1", s.dog == "tall-2", s.mm(true)); };
  return r;
}

Recipe shim_gone() {
  Recipe r;
  r.before = [](Story& s) { s.bench.adjust(kMain, s.effect); };
  r.each = [](Story& s, int check) {
    if (check != 1) return;
    s.dog = s.rail_dog(-s.effect);
    s.bench.shim(kMain, s.dog, -s.mm(true));
  };
  r.begin = [](Story& s) {
    s.bench.dogs.at(s.dog).shim_mm = 0;
    if (chance(s.random, 0.3)) s.bench.event("cleaned");
  };
  r.separate = [](Story& s) { s.answer("foil", true); };
  r.no_other_work = true;
  return r;
}

Recipe correction_amiss() {
  Recipe r;
  r.before = [](Story& s) { s.bench.adjust(kMain, s.effect); };
  r.begin = [](Story& s) {
    s.dog = s.rail_dog(-s.effect);
    s.bench.shim(kMain, s.dog, -s.mm(true));
    auto& noted = s.bench.dogs.at(s.dog).shim_mm;
    // Torn off as the rail was pushed home, or on the other dog.
    if (chance(s.random, 0.5)) s.bench.dogs.at(s.dog == "tall-1" ? "tall-2" : "tall-1").shim_mm = noted;
    noted = 0;
  };
  r.separate = [](Story& s) { s.answer("as-noted", true); };
  r.no_other_work = true;
  return r;
}

Recipe chips() {
  Recipe r;
  r.begin = [](Story& s) {
    s.effect = -std::fabs(s.effect);  // something at the right fence dog pushes one way only
    s.bench.chip_share = between(s.random, 0.4, 0.9);
    s.bench.chip_mm = std::fabs(s.effect / s.bench.per(kMain, "low-2", true)) / s.bench.chip_share;
  };
  r.separate = [](Story& s) { s.answer("burr", true); };
  return r;
}

Recipe loose_dog() {
  Recipe r;
  r.begin = [](Story& s) {
    const double size = s.mm(false);
    auto& hole = s.bench.holes.at(post_of(s.bench.station.setups.at(kMain), s.dog).hole.name());
    const Point by = s.across(size);
    hole = {hole.x + by.x, hole.y + by.y};
    s.bench.dogs.at(s.dog).gives_mm = 0.5 * std::fabs(size);
    if (chance(s.random, 0.3)) s.bench.event("loosened", s.dog);
  };
  r.separate = [](Story& s) { s.answer("dogs-tight", true); };
  return r;
}

void displace(Story& s, double size) {
  auto& hole = s.bench.holes.at(post_of(s.bench.station.setups.at(kMain), s.dog).hole.name());
  const Point by = s.across(size);
  hole = {hole.x + by.x, hole.y + by.y};
}

Recipe shifted_dog() {
  Recipe r;
  r.begin = [](Story& s) {
    displace(s, s.mm(false));
    s.bench.event(chance(s.random, 0.7) ? "knocked" : "loosened", s.dog);
  };
  r.separate = [](Story& s) {
    s.papers(false, false);
    s.answer("dogs-tight", false);
  };
  return r;
}

Recipe bowed_rail() {
  Recipe r;
  // Contacts close to the cut, so that a bow shows in strips (M6).
  r.before = [](Story& s) {
    s.bench.station.setups.at(kMain).fence.first.hole.column = 2;
    s.bench.adjust(kMain, 0);
  };
  r.begin = [](Story& s) {
    s.bench.curvature_per_mm = s.effect / 103;  // eta gets curvature times about 103 mm here
    if (chance(s.random, 0.5)) s.bench.event("other rail");
  };
  r.separate = [](Story& s) {
    const double h = s.bench.curvature_per_mm * 590 * 590 / 8;
    s.answer("rail-turned", true, std::fabs(2 * h) + 0.03 * normal(s.random));
  };
  return r;
}

Recipe dog_size() {
  Recipe r;
  r.seen_before = true;
  r.begin = [](Story& s) {
    s.bench.dogs.at(s.dog).diameter_mm += 2 * s.mm(true);
    s.insert_anew("dog changed");
  };
  r.separate = [](Story& s) { exchange_dogs(s); };
  return r;
}

Recipe dog_lean() {
  Recipe r;
  r.seen_before = true;
  r.begin = [](Story& s) {
    auto& dog = s.bench.dogs.at(s.dog);
    const Point by = s.across(s.mm(false));
    dog.lean = {dog.lean.x + by.x, dog.lean.y + by.y};
    if (chance(s.random, 0.5)) s.bench.event("knocked", s.dog);
  };
  r.separate = [](Story& s) { turn_dog(s); };
  return r;
}

Recipe play() {
  Recipe r;
  r.before = [](Story& s) {
    const auto geometry = station::geometry_of(s.bench.station, s.bench.station.setups.at(kMain));
    s.bench.play_mm = std::fabs(s.effect) /
                      history::insertion_sd_rad(1, geometry.rail->baseline_mm, geometry.fence->baseline_mm);
    s.bench.reinsert();
    s.bench.insertion = 0;
  };
  r.each = [](Story& s, int check) {
    if (check > 0 && check % std::max(2, s.checks / 5) == 0) s.insert_anew("dogs reinserted");
    s.places.push_back(s.bench.eps(kMain));
  };
  r.separate = [](Story& s) {
    for (int i = 0; i < 2; ++i) {
      s.insert_anew("dogs reinserted");
      s.places.push_back(s.bench.eps(kMain));
      s.bench.wait(0.1);
      s.bench.check(kMain);
    }
  };
  return r;
}

Recipe bad_hole() {
  Recipe r;
  r.seen_before = true;
  r.begin = [](Story& s) {
    // Larger than what holes in good order do to the setup that is tried.
    const double least = 4.5 * s.bench.station.grid.drill_scatter->mm() / (s.rail ? 672 : 192);
    s.effect = std::copysign(std::max(std::fabs(s.effect), least), s.effect);
    displace(s, s.mm(false));
  };
  r.separate = [](Story& s) { try_other_hole(s); };
  return r;
}

Recipe built_out() {
  Recipe r;
  r.before = [](Story& s) {
    // Larger than what single holes do to a setup.
    s.bench.shear_rad =
        (s.effect < 0 ? -1 : 1) * std::max(std::fabs(s.effect), between(s.random, 8e-4, 1.6e-3));
  };
  r.separate = [](Story& s) {
    s.bench.check("other");
    s.bench.wait(1);
    s.bench.check("small");
    s.answer("diagonals", true);
  };
  r.no_other_work = true;
  return r;
}

Recipe wear() {
  Recipe r;
  r.seen_before = true;
  r.each = [](Story& s, int check) {
    // Only the face that is touched wears: away from what touches it.
    s.dog = (s.bench.per(kMain, s.rail ? "tall-1" : "low-1", true) < 0) == (s.effect > 0)
                ? (s.rail ? "tall-1" : "low-1")
                : (s.rail ? "tall-2" : "low-2");
    s.bench.dogs.at(s.dog).worn_mm = -s.mm(true) * check / std::max(1, s.checks - 1);
  };
  r.separate = [](Story& s) {
    if (chance(s.random, 0.5)) turn_dog(s);
  };
  return r;
}

Recipe moisture() {
  Recipe r;
  r.before = [](Story& s) { s.onset = std::min(s.onset, s.checks - 3); };
  r.begin = [](Story& s) {
    s.bench.event("wet");
    s.bench.wait(between(s.random, 1, 8));
    s.bench.shear_rad = s.effect;
    s.dry_day = s.bench.day + between(s.random, 30, 60);
  };
  r.each = [](Story& s, int check) {
    if (!s.dry_day || check <= s.onset) return;
    if (check == s.onset + 1) s.bench.day = std::min(s.bench.day, *s.dry_day - 20);
    if (s.bench.day > *s.dry_day) s.bench.shear_rad = 0;
  };
  return r;
}

Recipe saw_play() {
  Recipe r;
  r.before = [](Story& s) { s.effect = 1; };  // it has no mean
  r.begin = [](Story& s) {
    s.bench.seating_mm *= between(s.random, 5, 9);
    s.bench.wobble_per_mm = 8 * between(s.random, 0.08, 0.2) / (590 * 590);
    if (chance(s.random, 0.3)) s.bench.event("saw serviced");
  };
  r.separate = [](Story& s) {
    s.answer("saw-play", true);
    s.bench.strips_a_check = 3;  // the seating of one strip is not seen by anybody
  };
  return r;
}

Recipe other_hand() {
  Recipe r;
  r.each = [](Story& s, int check) {
    if (check < s.onset) return;
    const bool other = check == s.onset || chance(s.random, 0.5);
    s.bench.person = other ? "two" : "one";
    s.bench.person_rad = other ? -s.effect : 0;
  };
  r.separate = [](Story& s) {
    for (const bool other : {true, false}) {
      s.bench.person = other ? "two" : "one";
      s.bench.person_rad = other ? -s.effect : 0;
      s.bench.check(kMain);
    }
    s.bench.person = "two";
    s.bench.person_rad = -s.effect;
  };
  return r;
}

const std::map<std::string, std::function<Recipe()>>& recipes() {
  static const std::map<std::string, std::function<Recipe()>> all{{"chance", chance_recipe},
                                                                  {"bad-reading", bad_reading},
                                                                  {"swapped-ends", swapped_ends},
                                                                  {"rail-off-dog", rail_off_dog},
                                                                  {"shim-gone", shim_gone},
                                                                  {"correction-amiss", correction_amiss},
                                                                  {"chips", chips},
                                                                  {"loose-dog", loose_dog},
                                                                  {"shifted-dog", shifted_dog},
                                                                  {"bowed-rail", bowed_rail},
                                                                  {"dog-size", dog_size},
                                                                  {"dog-lean", dog_lean},
                                                                  {"play", play},
                                                                  {"bad-hole", bad_hole},
                                                                  {"built-out", built_out},
                                                                  {"wear", wear},
                                                                  {"moisture", moisture},
                                                                  {"saw", saw_play},
                                                                  {"other-hand", other_hand}};
  return all;
}

/// Something that has nothing to do with the cause, now and then.
void other_work(Story& story, int check, int correct_at) {
  if (chance(story.random, 0.06)) story.bench.event("cleaned");
  if (chance(story.random, 0.04)) story.bench.event("new blade");
  if (check != correct_at) return;
  const double size = (chance(story.random, 0.5) ? 1 : -1) * between(story.random, 1e-4, 4e-4);
  story.bench.adjust(kMain, size);
  story.bench.check(kMain);
  story.bench.wait(0.1);
  const std::string dog = story.rail_dog(-size);
  story.bench.shim(kMain, dog, std::round(std::fabs(size / story.bench.per(kMain, dog, true)) / 0.01) * 0.01);
}

/// Whether the effect stands out: three u of the difference of two checks.
bool large_enough(const Story& story) {
  std::vector<double> u;
  for (const auto& seen : story.bench.scene.checks) u.push_back(seen.u);
  std::ranges::nth_element(u, u.begin() + static_cast<std::ptrdiff_t>(u.size() / 2));
  const double least = 3 * std::sqrt(2.0) * u[u.size() / 2];
  if (std::fabs(story.effect) < least) return false;
  if (story.places.empty()) return true;
  const auto [low, high] = std::ranges::minmax(story.places);
  return high - low >= least;
}

void run(Story& story, const Recipe& recipe) {
  auto& bench = story.bench;
  auto& random = story.random;
  const bool two_setups = chance(random, 0.5);
  const int correct_at = !recipe.no_other_work && chance(random, 0.4) && story.onset > 3 ? 1 : -1;
  const double days = between(random, 365, 3 * 365) / story.checks;
  for (const auto& [name, setup] : bench.station.setups) bench.adjust(name, 3e-5 * normal(random));
  recipe.before(story);
  for (int i = 0; i < story.checks; ++i) {
    bench.wait(-days * std::log(uniform(random)));
    other_work(story, i, correct_at);
    if (i == story.onset) recipe.begin(story);
    recipe.each(story, i);
    if (i + 1 < story.checks) {
      bench.check(two_setups && i != 0 && i != story.onset && chance(random, 0.3) ? "small" : kMain);
      continue;
    }
    if (recipe.seen_before) {
      bench.check(kMain);
      bench.wait(1);
    }
    recipe.separate(story);
    bench.check(kMain, [&](check::Check& made) { recipe.spoil(story, made); });
  }
}

}  // namespace

FaultLog fault_log(const std::string& cause, std::mt19937_64& random) {
  const Recipe recipe = recipes().at(cause)();
  for (;;) {
    FaultBench bench(random);
    Story story{bench, random};
    story.checks = whole(random, 6, 20);
    story.onset = recipe.late ? story.checks - 1 : whole(random, 2, story.checks - 1);
    story.effect = (chance(random, 0.5) ? 1 : -1) * between(random, 2e-4, 6e-4);
    story.rail = chance(random, 0.5);
    const std::array<const char*, 4> dogs{"tall-1", "tall-2", "low-1", "low-2"};
    story.dog = dogs[static_cast<std::size_t>(whole(random, 0, 1) + (story.rail ? 0 : 2))];
    run(story, recipe);
    if (large_enough(story)) return {bench.scene, story.answers};
  }
}

}  // namespace quarterturn::test
