// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "cli/prompt_readings.hpp"
#include "cli/said.hpp"
#include "report/amounts.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kWanted = 3;     ///< readings a place
constexpr double kDoubtfulMm = 0.10;   ///< off the others of its place; common practice, no source
constexpr double kOtherPlaceMm = 3.0;  ///< off the other places of the strip; common practice, no source
constexpr std::array<const char*, 3> kPlaces{"F end", "free end", "middle"};

std::vector<check::Reading>& list_of(app::Ends& ends, std::size_t place) {
  return place == 0 ? ends.fence_end : place == 1 ? ends.free_end : ends.middle;
}

}  // namespace

app::Ends StripReadings::ask() {
  while (place_ < kPlaces.size()) one_line();
  settle();
  app::Ends ends;
  for (const auto& slot : slots_) list_of(ends, slot.place).push_back(slot.reading);
  return ends;
}

std::size_t StripReadings::count(std::size_t place) const {
  return static_cast<std::size_t>(
      std::count_if(slots_.begin(), slots_.end(), [&](const Slot& s) { return s.place == place; }));
}

std::string StripReadings::question() const {
  if (redo_) return fmt::format("reading {} again", *redo_ + 1);
  if (place_ == 2 && count(2) == 0) return std::string(kPlaces[2]) + " [skip]";
  return fmt::format("{}{}, reading {} of {}", name_, kPlaces[place_], count(place_) + 1, kWanted);
}

/// How far a reading stands off the nearest other of its place, or of the strip when it is alone there.
double StripReadings::off(std::size_t at) const {
  const bool alone = count(slots_[at].place) == 1;
  std::optional<double> nearest;
  for (std::size_t i = 0; i < slots_.size(); ++i) {
    if (i == at || (!alone && slots_[i].place != slots_[at].place)) continue;
    const double difference = slots_[at].reading.mm - slots_[i].reading.mm;
    if (!nearest || std::fabs(difference) < std::fabs(*nearest)) nearest = difference;
  }
  return nearest.value_or(0);
}

bool StripReadings::doubtful(std::size_t at) const {
  if (slots_[at].kept) return false;
  const bool alone = count(slots_[at].place) == 1;
  return std::fabs(off(at)) > (alone ? kOtherPlaceMm : kDoubtfulMm);
}

/// With the digits that were typed.
std::string StripReadings::reading_text(const check::Reading& reading) const {
  return report::length_text(reading.mm, talk_.options.unit, reading.step_mm < 0.00999 ? 3 : 2);
}

void StripReadings::echo(std::size_t at) {
  const auto& reading = slots_[at].reading;
  const bool doubt = doubtful(at);
  talk_.say(fmt::format(
      "  {}: {} {}{}\n", at + 1, kPlaces[slots_[at].place], reading_text(reading),
      doubt ? fmt::format("  ? off by {}", report::length_text(std::fabs(off(at)), talk_.options.unit))
            : ""));
  talk_.bell(doubt ? 2 : 1);
}

void StripReadings::take(const std::string& typed) {
  const auto readings = app::readings_of(typed, "reading", talk_.options.unit);
  if (redo_ && readings.size() > 1)
    throw UsageError("these are several readings, but must be one: the one taken again.");
  for (const auto& reading : readings) {
    if (!(reading.mm >= 0.5 && reading.mm <= 2000)) {
      throw units::InputError("reading", reading.as_typed, "a strip's width from 0.5 to 2000 mm");
    }
  }
  std::size_t wanted = 0;
  for (std::size_t p = place_; p < kPlaces.size(); ++p) wanted += kWanted - std::min(kWanted, count(p));
  if (!redo_ && readings.size() > wanted) {
    throw UsageError(
        fmt::format("these are {} readings, but must be at most {}: so many are still asked for.",
                    readings.size(), wanted));
  }
  for (const auto& reading : readings) {
    if (!redo_ && count(place_) >= kWanted) next_place();  // as if typed one a line
    if (redo_) {
      slots_[*redo_].reading = reading;
      slots_[*redo_].kept = false;
      const std::size_t at = *redo_;
      redo_.reset();
      echo(at);
    } else {
      slots_.push_back({place_, reading});
      echo(slots_.size() - 1);
    }
  }
  if (count(place_) >= kWanted) next_place();
}

void StripReadings::next_place() {
  ++place_;
  while (place_ < kPlaces.size() && count(place_) >= kWanted) ++place_;
}

void StripReadings::undo() {
  if (redo_) {  // only the second measuring is called off
    talk_.say(fmt::format("  Reading {} stays as it was.\n", *redo_ + 1));
    redo_.reset();
    return;
  }
  if (slots_.empty()) {
    talk_.say("  Nothing to take back.\n");
    return;
  }
  place_ = slots_.back().place;
  slots_.pop_back();
  talk_.say(fmt::format("  Reading {} taken back.\n", slots_.size() + 1));
}

/// `redo N`, `keep N`: the reading's index.
std::size_t StripReadings::index_in(const std::string& typed) const {
  if (slots_.empty()) throw UsageError("there is no reading yet.");
  return static_cast<std::size_t>(units::parse_whole(units::trimmed(std::string_view(typed).substr(4)),
                                                     "number of the reading", 1,
                                                     static_cast<int>(slots_.size()))) -
         1;
}

void StripReadings::keep(std::size_t at) {
  slots_[at].kept = true;
  talk_.say(fmt::format("  Reading {} is kept.\n", at + 1));
}

void StripReadings::end_of_place() {
  if (place_ < 2 && count(place_) == 0)
    throw UsageError(
        fmt::format("{} is without a reading, but must have one: the strip's width there, such as {}.",
                    kPlaces[place_], talk_.options.unit == units::Unit::inch ? "0.895" : "22.74"));
  next_place();
}

void StripReadings::obey(const std::string& as_typed) {
  const std::string typed = units::lowered(as_typed);
  if (typed == "undo")
    undo();
  else if (typed.starts_with("redo"))
    redo_ = index_in(typed);
  else if (typed.starts_with("keep"))
    keep(index_in(typed));
  else if (redo_ && (typed == "skip" || typed == "done" || typed.empty()))
    throw UsageError(
        fmt::format("reading {} is asked for again, but nothing was typed: type it, or undo.", *redo_ + 1));
  else if (typed == "skip" || typed == "done" || typed.empty())
    end_of_place();
  else
    take(as_typed);
}

void StripReadings::one_line() {
  talk_.at_stake = slots_.size();
  const std::string asked = question(), spoken_of = asked + " redo keep skip done";
  const auto typed = talk_.line(asked);
  try {
    if (!talk_.handled_at_question(typed)) obey(*typed);
  } catch (const units::InputError&) {
    talk_.refuse(*typed, spoken_of);
  } catch (const UsageError&) {
    talk_.refuse(*typed, spoken_of);
  }
  talk_.at_stake = slots_.size();
}

/// Doubtful readings are settled when the strip is done: measured again, or meant.
void StripReadings::settle() {
  for (std::size_t at = 0; at < slots_.size(); ++at) {
    while (at < slots_.size() && doubtful(at)) {
      talk_.say(fmt::format("Reading {}, {}, is {} off the others.\n", at + 1,
                            reading_text(slots_[at].reading),
                            report::length_text(std::fabs(off(at)), talk_.options.unit)));
      ask_about(at);
    }
  }
}

void StripReadings::ask_about(std::size_t at) {
  try {
    talk_.ask(fmt::format("keep {} or redo {}", at + 1, at + 1), fmt::format("redo {}", at + 1),
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

void StripReadings::measure_again(std::size_t at) {
  redo_ = at;
  while (redo_) one_line();
}

}  // namespace quarterturn::cli
