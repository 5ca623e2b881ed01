// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "app/typed_readings.hpp"
#include "check/mistakes.hpp"
#include "cli/prompt_readings.hpp"
#include "cli/said.hpp"
#include "report/amounts.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

/// `a strip's width from 0.5 to 2000 mm`
std::string must_be(const ReadingsAsked& asked, units::Unit unit) {
  std::string range = report::size_range_text(asked.least_mm, asked.most_mm, unit);
  constexpr std::string_view kZero = "from 0";
  if (asked.least_mm == 0) range.insert(kZero.size(), " (closed)");
  return asked.what + (" " + range);
}

}  // namespace

PlaceReadings::PlaceReadings(Dialogue& talk, const ReadingsAsked& asked, std::string name,
                             check::Check& check, bool at_stake)
    : talk_(talk), asked_(asked), name_(std::move(name)), check_(check), passed_(asked.places.size(), false) {
  for (std::size_t s = 0; s < check_.strips.size(); ++s) {
    auto& spots = check_.strips[s].spots;
    const auto put = [&](std::size_t place, check::Spot& spot) {
      for (auto& reading : spot.readings) earlier_.push_back({s, place, &reading});
    };
    if (asked_.places.size() == 3 && spots.size() == 3 && !asked_.places[2].needed) {
      put(0, spots[0]);  // the middle was asked for last
      put(1, spots[2]);
      put(2, spots[1]);
    } else {
      for (std::size_t p = 0; p < spots.size(); ++p) put(p, spots[p]);
    }
  }
  stake_ = at_stake ? earlier_.size() : 0;
  talk_.at_stake = stake_;
  talk_.at_stake_of = asked_.of_what;
}

std::vector<std::vector<check::Reading>> PlaceReadings::ask() {
  do {
    while (place_ < asked_.places.size()) one_line();
    settle();
  } while (ask_middles());
  std::vector<std::vector<check::Reading>> places(asked_.places.size());
  for (const auto& slot : slots_) places[slot.place].push_back(slot.reading);
  return places;
}

std::size_t PlaceReadings::count(std::size_t place) const {
  return static_cast<std::size_t>(
      std::count_if(slots_.begin(), slots_.end(), [&](const Slot& s) { return s.place == place; }));
}

std::string PlaceReadings::question() const {
  if (redo_earlier_)
    return fmt::format("reading {} again, {}", *redo_earlier_ + 1, earlier_words(*redo_earlier_));
  if (redo_) return fmt::format("reading {} again", number(*redo_));
  const auto& place = asked_.places[place_];
  const std::size_t taken = count(place_);
  if (!place.needed && taken == 0) return name_ + place.name + " [skip]";
  if (asked_.wanted == 1 && taken == 0) return name_ + place.name;
  return name_ + place.name +
         (taken < asked_.wanted ? fmt::format(", reading {} of {}", taken + 1, asked_.wanted)
                                : fmt::format(", reading {} [done]", taken + 1));
}

/// How far a reading stands off the nearest other of its place, or of the strip when it is alone there.
double PlaceReadings::off(std::size_t at) const {
  const bool alone = count(slots_[at].place) == 1;
  std::optional<double> nearest;
  for (std::size_t i = 0; i < slots_.size(); ++i) {
    if (i == at || (!alone && slots_[i].place != slots_[at].place)) continue;
    const double difference = slots_[at].reading.mm - slots_[i].reading.mm;
    if (!nearest || std::fabs(difference) < std::fabs(*nearest)) nearest = difference;
  }
  return nearest.value_or(0);
}

bool PlaceReadings::doubtful(std::size_t at) const {
  if (slots_[at].kept) return false;
  const bool alone = count(slots_[at].place) == 1;
  return std::fabs(off(at)) > (alone ? asked_.other_place_mm : asked_.doubtful_mm);
}

/// With the digits that were typed.
std::string PlaceReadings::reading_text(const check::Reading& reading) const {
  return report::length_text(reading.mm, talk_.options.unit, reading.step_mm < 0.00999 ? 3 : 2);
}

void PlaceReadings::echo(std::size_t at) {
  const auto& reading = slots_[at].reading;
  const bool doubt = doubtful(at);
  talk_.say(fmt::format(
      "  {}: {} {}{}{}\n", number(at), asked_.places[slots_[at].place].name, reading_text(reading),
      reading.mm == 0 ? ", closed" : "",
      doubt ? fmt::format("  ? off by {}", report::length_text(std::fabs(off(at)), talk_.options.unit))
            : ""));
  talk_.bell(doubt ? 2 : 1);
}

void PlaceReadings::hold_to_limits(const std::vector<check::Reading>& readings) const {
  for (const auto& reading : readings) {
    if (!(reading.mm >= asked_.least_mm && reading.mm <= asked_.most_mm))
      throw units::InputError("reading", reading.as_typed, must_be(asked_, talk_.options.unit));
  }
}

/// One caliper, one unit: that of the first reading.
void PlaceReadings::hold_to_unit(const std::vector<check::Reading>& readings) {
  const bool first = slots_.empty() && earlier_.empty();
  for (const auto& reading : readings) {
    const auto unit = app::unit_typed(reading, talk_.options.unit);
    if (first && &reading == &readings.front()) check_.unit = unit;
    if (unit == check_.unit) continue;
    const bool inches = check_.unit == units::Unit::inch;
    throw units::InputError(
        "reading", reading.as_typed,
        std::string("in ") + (inches ? "inches" : "mm") + " like those before it", {},
        std::string("one caliper, one unit; 'units ") + (inches ? "in" : "mm") + "' for bare numbers");
  }
}

/// How many readings a line may hold: as if typed one a line.
std::size_t PlaceReadings::room() const {
  if (asked_.most > asked_.wanted) return asked_.most - std::min(asked_.most, count(place_));
  std::size_t wanted = 0;
  for (std::size_t p = 0; p < asked_.places.size(); ++p) {
    if (p == place_ || !passed_[p]) wanted += asked_.wanted - std::min(asked_.wanted, count(p));
  }
  return wanted;
}

/// The first figure of all is a strip's width in the other unit only: asked about, once. True: the unit in
/// use is another now.
bool PlaceReadings::was_other_unit(const check::Reading& first) {
  if (unit_asked_ || !slots_.empty() || !earlier_.empty()) return false;
  if (std::string_view(asked_.quantity) != strip_widths().quantity) return false;
  const bool inch = talk_.options.unit == units::Unit::inch;
  const bool with_unit = units::parse_number(first.as_typed, asked_.quantity).unit.has_value();
  if (with_unit || !(inch ? check::is_whole_in_mm(first.mm) : check::is_whole_in_inches(first.mm)))
    return false;
  unit_asked_ = true;
  talk_.say(fmt::format("  No strip is {} wide; a caliper on {} reads so.\n", reading_text(first),
                        inch ? "mm" : "inch"));
  if (!talk_.yes(inch ? "Is it in mm?" : "Is it in inches?", true)) return false;
  talk_.handled_everywhere(inch ? "units mm" : "units in");
  return true;
}

void PlaceReadings::take(const std::string& typed) {
  auto readings = app::readings_of(typed, "reading", talk_.options.unit, asked_.quantity);
  try {
    if (readings.size() <= room() && was_other_unit(readings.front()))
      readings = app::readings_of(typed, "reading", talk_.options.unit, asked_.quantity);
  } catch (const Back&) {  // the question is taken back, and with it what was typed
    unit_asked_ = false;
    return;
  }
  if ((redo_ || redo_earlier_) && readings.size() > 1)
    throw UsageError("these are several readings, but must be one: the one taken again.");
  hold_to_limits(readings);
  hold_to_unit(readings);
  if (redo_earlier_) {
    take_earlier(readings.front());
    return;
  }
  if (!redo_ && readings.size() > room()) {
    throw UsageError(fmt::format("these are {} readings, but must be at most {}: {}.", readings.size(),
                                 room(),
                                 asked_.most > asked_.wanted ? "all of a line are those of this place"
                                                             : "so many are still asked for"));
  }
  for (const auto& reading : readings) {
    if (!redo_ && count(place_) >= asked_.most) next_place();
    if (redo_) {
      const std::string note = slots_[*redo_].reading.note;
      slots_[*redo_].reading = reading;
      slots_[*redo_].reading.note = note;
      slots_[*redo_].kept = false;
      const std::size_t at = *redo_;
      redo_.reset();
      echo(at);
    } else {
      slots_.push_back({place_, reading});
      echo(slots_.size() - 1);
    }
  }
  if (count(place_) >= asked_.wanted) next_place();
}

/// The first in the order of asking that is not done with.
void PlaceReadings::next_place() {
  passed_[place_] = true;
  place_ = 0;
  while (place_ < asked_.places.size() && (passed_[place_] || count(place_) >= asked_.wanted)) ++place_;
}

void PlaceReadings::undo() {
  if (redo_earlier_) {
    talk_.say(fmt::format("  Reading {} stays as it was.\n", *redo_earlier_ + 1));
    redo_earlier_.reset();
    return;
  }
  if (redo_) {  // only the second measuring is called off
    talk_.say(fmt::format("  Reading {} stays as it was.\n", number(*redo_)));
    redo_.reset();
    return;
  }
  if (slots_.empty()) {
    talk_.say("  Nothing to take back.\n");
    return;
  }
  place_ = slots_.back().place;
  passed_[place_] = false;
  slots_.pop_back();
  talk_.say(fmt::format("  Reading {} taken back.\n", number(slots_.size())));
}

void PlaceReadings::keep(std::size_t at) {
  slots_[at].kept = true;
  talk_.say(fmt::format("  Reading {} is kept.\n", number(at)));
}

void PlaceReadings::end_of_place() {
  if (asked_.places[place_].needed && count(place_) == 0) {
    const bool inch = talk_.options.unit == units::Unit::inch;
    throw UsageError(fmt::format("{} is without a reading, but must have one: {}, such as {}.",
                                 asked_.places[place_].name, asked_.there,
                                 inch ? asked_.such_as_inch : asked_.such_as_mm));
  }
  next_place();
}

void PlaceReadings::obey(const std::string& as_typed) {
  const std::string typed = units::lowered(as_typed);
  if (typed == "undo")
    undo();
  else if (typed == "so far")
    so_far();
  else if (typed.starts_with("note"))
    note(as_typed);
  else if (typed.starts_with("redo"))
    redo(typed);
  else if (typed.starts_with("keep"))
    keep(index_in(typed));
  else if ((redo_ || redo_earlier_) && (typed == "skip" || typed == "done" || typed.empty()))
    throw UsageError(fmt::format("reading {} is asked for again, but nothing was typed: type it, or undo.",
                                 redo_earlier_ ? *redo_earlier_ + 1 : number(*redo_)));
  else if (typed == "skip" || typed == "done" || typed.empty())
    end_of_place();
  else if (!named_place(as_typed))
    take(as_typed);
}

void PlaceReadings::one_line() {
  talk_.at_stake = stake_ + slots_.size();
  const std::string asked = question(), spoken_of = asked + " redo keep skip done";
  const auto typed = talk_.line(asked, {"done", "skip", "redo", "keep"});
  try {
    if (!talk_.handled_at_question(typed, asked)) obey(*typed);
  } catch (const units::InputError&) {
    talk_.refuse(*typed, spoken_of);
  } catch (const UsageError&) {
    talk_.refuse(*typed, spoken_of);
  }
  talk_.at_stake = stake_ + slots_.size();
}

/// Doubtful readings are settled when the strip is done: measured again, or meant.
void PlaceReadings::settle() {
  for (std::size_t at = 0; at < slots_.size(); ++at) {
    while (at < slots_.size() && doubtful(at)) {
      talk_.say(fmt::format("Reading {}, {}, is {} off the others.\n", number(at),
                            reading_text(slots_[at].reading),
                            report::length_text(std::fabs(off(at)), talk_.options.unit)));
      ask_about(at);
    }
  }
}

double PlaceReadings::mean_of(std::size_t place) const {
  double sum = 0;
  for (const auto& slot : slots_) sum += slot.place == place ? slot.reading.mm : 0;
  return sum / static_cast<double>(count(place));
}

bool PlaceReadings::ask_middles() {
  if (asked_.off_line_mm == 0) return false;
  for (std::size_t of_f_end = 0; of_f_end + 2 < asked_.places.size(); of_f_end += 3) {
    if (ask_middle(of_f_end)) return true;
  }
  return false;
}

/// A straight edge has its middle on the line between its ends: else a place was mistaken, or the caliper.
/// True: the middle is measured again.
bool PlaceReadings::ask_middle(std::size_t of_f_end) {
  const std::size_t middle = of_f_end + 2;
  if (middle_kept_.contains(middle) || count(middle) == 0) return false;
  const double off = mean_of(middle) - (mean_of(of_f_end) + mean_of(of_f_end + 1)) / 2;
  if (std::fabs(off) <= asked_.off_line_mm) return false;
  talk_.say(
      fmt::format("The {} lies {} off the line between the ends: another place, or a slip of the caliper?\n",
                  asked_.places[middle].name, report::length_text(std::fabs(off), talk_.options.unit)));
  talk_.bell(2);
  try {
    if (!talk_.yes("measure the middle again?", true)) {
      middle_kept_.insert(middle);
      return false;
    }
  } catch (const Back&) {
    // As good as yes: what was typed last is taken back.
  }
  std::erase_if(slots_, [&](const Slot& slot) { return slot.place == middle; });
  passed_[middle] = false;
  place_ = middle;
  return true;
}

void PlaceReadings::ask_about(std::size_t at) {
  try {
    talk_.ask(fmt::format("keep {} or redo {}", number(at), number(at)), fmt::format("redo {}", number(at)),
              [&](const std::string& as_typed) {
                const std::string typed = units::lowered(as_typed);
                if (typed.starts_with("keep"))
                  keep(index_in(typed));
                else if (typed.starts_with("redo"))
                  measure_again(index_in(typed));
                else
                  throw UsageError("the answer is '" + units::inert(typed) +
                                   "', but must be keep or redo with the reading's number.");
              });
  } catch (const Back&) {
    talk_.say("  It stands until it is kept or taken again.\n");
  }
}

void PlaceReadings::measure_again(std::size_t at) {
  redo_ = at;
  while (redo_ || redo_earlier_) one_line();  // or one of an earlier strip, if that was asked for meanwhile
}

}  // namespace quarterturn::cli
