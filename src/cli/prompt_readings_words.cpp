// SPDX-License-Identifier: MIT
// Words while readings are asked for: what is in and what is missing, an earlier reading again, a note on
// one, a place out of turn.
#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <string>
#include <utility>

#include "cli/prompt_readings.hpp"
#include "cli/said.hpp"
#include "report/amounts.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr std::size_t kMostOfNote = 200;

/// `f` of `F end`, `outer` of `outer end (F)`, `2-6 free` of `strip 2-6 free end`: how it is typed.
std::string short_name(const ReadingPlace& place) {
  std::string name = units::lowered(place.name);
  if (name.starts_with("strip ")) name.erase(0, 6);
  return name.substr(0, std::min(name.find(" end"), name.size()));
}

/// What stands behind a place's name; nothing when another word does, or none of it.
std::optional<std::string> behind(const std::string& typed, const std::string& name) {
  if (!units::lowered(typed).starts_with(name)) return std::nullopt;
  std::string rest = typed.substr(name.size());
  if (!rest.empty() && rest.front() != ' ' && rest.front() != '\t') return std::nullopt;
  rest = std::string(units::trimmed(rest));
  // `F end 22.74` is `F 22.74`.
  if (units::lowered(rest).starts_with("end"))
    rest = std::string(units::trimmed(std::string_view(rest).substr(3)));
  return rest;
}

std::string strip_words(const check::Strip& strip) {
  return strip.from_cut > 0 ? fmt::format("strip {}-{}", strip.from_cut, strip.to_cut)
                            : fmt::format("joint {}", strip.panel);
}

}  // namespace

/// The number that a word names, from 1. \throws units::InputError
std::size_t PlaceReadings::numbered(std::string_view typed) const {
  const std::size_t most = earlier_.size() + slots_.size();
  if (most == 0) throw UsageError("there is no reading yet.");
  return static_cast<std::size_t>(
      units::parse_whole(units::trimmed(typed), "number of the reading", 1, static_cast<int>(most)));
}

/// `keep N`: of this strip.
std::size_t PlaceReadings::index_in(const std::string& typed) const {
  const std::size_t number = numbered(std::string_view(typed).substr(4));
  if (number <= earlier_.size())
    throw UsageError(
        fmt::format("reading {} is of a strip that is done: 'redo {}' takes it again.", number, number));
  return number - earlier_.size() - 1;
}

std::string PlaceReadings::earlier_words(std::size_t at) const {
  const auto& earlier = earlier_[at];
  return fmt::format("{}, {}", strip_words(check_.strips[earlier.strip]), asked_.places[earlier.place].name);
}

void PlaceReadings::redo(const std::string& typed) {
  const std::size_t number = numbered(std::string_view(typed).substr(4));
  redo_.reset();
  redo_earlier_.reset();
  if (number <= earlier_.size())
    redo_earlier_ = number - 1;
  else
    redo_ = number - earlier_.size() - 1;
}

void PlaceReadings::take_earlier(const check::Reading& reading) {
  const std::size_t at = *std::exchange(redo_earlier_, std::nullopt);
  auto& earlier = *earlier_[at].reading;
  talk_.say(fmt::format("  {}: {}, {} in place of {}\n", at + 1, earlier_words(at), reading_text(reading),
                        reading_text(earlier)));
  talk_.bell(1);
  const std::string note = earlier.note;
  earlier = reading;
  earlier.note = note;
}

/// `note 3 dust on the jaw`; without a number it is of the last one.
void PlaceReadings::note(const std::string& typed) {
  std::string_view words = units::trimmed(std::string_view(typed).substr(4));
  const auto digits = std::min(words.find_first_not_of("0123456789"), words.size());
  const bool named = digits > 0 && (digits == words.size() || words[digits] == ' ');
  const std::size_t number =
      named ? numbered(words.substr(0, digits)) : numbered(std::to_string(earlier_.size() + slots_.size()));
  if (named) words = units::trimmed(words.substr(digits));
  const std::string text(words);
  if (text.empty() || text.size() > kMostOfNote || units::inert(text, text.size()) != text) {
    throw units::InputError("note", text.empty() ? std::string(units::kMissing) : text,
                            "a few words behind the reading's number", {}, "note 3 dust on the jaw");
  }
  auto& reading = number <= earlier_.size() ? *earlier_[number - 1].reading
                                            : slots_[number - earlier_.size() - 1].reading;
  reading.note = text;
  talk_.say(fmt::format("  Note on reading {}: {}\n", number, text));
}

/// `free 22.14 22.13`, or `free` alone: that place is read now. True when it was one.
bool PlaceReadings::named_place(const std::string& typed) {
  if (redo_ || redo_earlier_) return false;
  for (std::size_t p = 0; p < asked_.places.size(); ++p) {
    const auto rest = behind(typed, short_name(asked_.places[p]));
    if (!rest) continue;
    if (count(p) >= asked_.most) {
      throw UsageError(
          fmt::format("{} has its {} readings. Hint: 'redo N' takes one of them again, 'so far' shows them",
                      asked_.places[p].name, asked_.most));
    }
    const std::size_t was = place_;
    const bool was_passed = passed_[p];
    place_ = p;
    passed_[p] = false;
    if (rest->empty()) return true;
    try {
      take(*rest);
    } catch (...) {
      place_ = was;
      passed_[p] = was_passed;
      throw;
    }
    // One out of turn: then back to where one was.
    if (was < asked_.places.size() && !passed_[was] && count(was) < asked_.wanted) place_ = was;
    return true;
  }
  return false;
}

/// What is in, numbered as `redo` takes it, and what is missing.
void PlaceReadings::so_far() {
  talk_.transcript.forget_last();
  std::string text;
  const auto put = [&](std::size_t number, const check::Reading& reading, bool doubt) {
    text += fmt::format("  {}: {}{}{}", number, reading_text(reading), doubt ? " ?" : "",
                        reading.note.empty() ? "" : " (" + units::inert(reading.note) + ")");
  };
  for (std::size_t s = 0; s < check_.strips.size(); ++s) {
    text += strip_words(check_.strips[s]) + "\n";
    for (std::size_t p = 0; p < asked_.places.size(); ++p) {
      std::string row;
      std::swap(row, text);
      for (std::size_t at = 0; at < earlier_.size(); ++at) {
        if (earlier_[at].strip == s && earlier_[at].place == p) put(at + 1, *earlier_[at].reading, false);
      }
      std::swap(row, text);
      if (!row.empty()) text += fmt::format("  {}{}\n", asked_.places[p].name, row);
    }
  }
  if (!check_.strips.empty()) text += name_.empty() ? "" : name_.substr(0, name_.find(',')) + "\n";
  for (std::size_t p = 0; p < asked_.places.size(); ++p) {
    text += fmt::format("  {}", asked_.places[p].name);
    for (std::size_t at = 0; at < slots_.size(); ++at) {
      if (slots_[at].place == p) put(number(at), slots_[at].reading, doubtful(at));
    }
    const std::size_t taken = count(p);
    if (taken < asked_.wanted && !passed_[p])
      text += asked_.places[p].needed || taken > 0 ? fmt::format("  {} missing", asked_.wanted - taken)
                                                   : std::string("  may be skipped");
    else if (taken == 0)
      text += "  skipped";
    text += "\n";
  }
  talk_.say(text);
}

}  // namespace quarterturn::cli
