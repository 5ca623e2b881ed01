// SPDX-License-Identifier: MIT
#include "files/spoken_date.hpp"

#include <date/date.h>

#include <array>
#include <charconv>
#include <optional>
#include <vector>

#include "files/dates.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;

namespace {

constexpr std::int64_t kDay = 86400;
constexpr const char* kForms = "a day or month in the past: 2026-03-14, 9 Aug, October, last week, yesterday";

constexpr std::array<std::string_view, 12> kMonths{"january",   "february", "march",    "april",
                                                   "may",       "june",     "july",     "august",
                                                   "september", "october",  "november", "december"};
constexpr std::array<std::string_view, 7> kWeekdays{"monday", "tuesday",  "wednesday", "thursday",
                                                    "friday", "saturday", "sunday"};
struct Season {
  std::string_view word;
  const char *north, *south;
};
constexpr std::array<Season, 5> kSeasons{{{"spring", "March to May", "September to November"},
                                          {"summer", "June to August", "December to February"},
                                          {"autumn", "September to November", "March to May"},
                                          {"fall", "September to November", "March to May"},
                                          {"winter", "December to February", "June to August"}}};

std::int64_t day_number(int year, int month, int day) {
  const auto ymd =
      date::year(year) / date::month(static_cast<unsigned>(month)) / date::day(static_cast<unsigned>(day));
  return date::sys_days(ymd).time_since_epoch().count();
}

bool exists(int year, int month, int day) {
  return (date::year(year) / date::month(static_cast<unsigned>(month)) /
          date::day(static_cast<unsigned>(day)))
      .ok();
}

int days_in(int year, int month) {
  int last = 31;
  while (!exists(year, month, last)) --last;
  return last;
}

int year_of(std::int64_t day) {
  return static_cast<int>(date::year_month_day{date::sys_days{date::days{day}}}.year());
}
int month_of(std::int64_t day) {
  return static_cast<int>(
      static_cast<unsigned>(date::year_month_day{date::sys_days{date::days{day}}}.month()));
}
/// 0: Monday.
std::int64_t weekday_of(std::int64_t day) {
  return ((day + 3) % 7 + 7) % 7;
}

/// By its first three letters or more; 0: none.
template <std::size_t N>
int named(const std::array<std::string_view, N>& names, std::string_view word) {
  if (!word.empty() && word.back() == '.') word.remove_suffix(1);
  for (std::size_t i = 0; word.size() >= 3 && i < N; ++i) {
    if (names[i].starts_with(word)) return static_cast<int>(i) + 1;
  }
  return 0;
}

/// `9`, `9.`, `9th`; 0: none.
int whole(std::string_view word) {
  int value = 0;
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  const std::string_view rest(end, static_cast<std::size_t>(word.data() + word.size() - end));
  const bool plain =
      rest.empty() || rest == "." || rest == "st" || rest == "nd" || rest == "rd" || rest == "th";
  return error == std::errc() && plain && value > 0 ? value : 0;
}

/// `a`, `two`, `12`; 0: none.
int count_of(std::string_view word) {
  constexpr std::array<std::string_view, 10> kCounts{"one", "two",   "three", "four", "five",
                                                     "six", "seven", "eight", "nine", "ten"};
  if (word == "a" || word == "an") return 1;
  for (std::size_t i = 0; i < kCounts.size(); ++i) {
    if (kCounts[i] == word) return static_cast<int>(i) + 1;
  }
  return whole(word);
}

std::string capital(std::string_view word) {
  std::string out(word);
  out.front() = static_cast<char>(out.front() - 'a' + 'A');
  return out;
}

class Reader {
 public:
  Reader(std::string_view typed, std::string_view what, std::int64_t now_utc, std::int64_t not_after)
      : typed_(units::trimmed(typed)),
        what_(what),
        now_(now_utc),
        today_(now_utc / kDay),
        bound_(std::min(not_after, today_)) {
    std::string word;
    for (const char c : units::lowered(typed_) + " ") {
      if (c != ' ' && c != ',' && c != '\t') {
        word += c;
      } else if (!word.empty()) {
        words_.push_back(std::move(word));
        word.clear();
      }
    }
    // `in October`, `about 9 Aug`, `the 9th of August`
    std::erase_if(words_, [](const std::string& w) {
      return w == "in" || w == "on" || w == "about" || w == "around" || w == "the" || w == "of";
    });
  }

  SpokenDate read() {
    hold_to_one_meaning();
    for (const auto way : {&Reader::near_today, &Reader::ago, &Reader::stretch, &Reader::weekday,
                           &Reader::month, &Reader::day_of_month}) {
      if (const auto found = (this->*way)()) return held_to_past(*found);
    }
    // An ISO date, or what is wrong with it.
    if (!typed_.empty() && typed_.front() >= '0' && typed_.front() <= '9' && words_.size() == 1) {
      const auto moment = parse_past_date(typed_, what_, now_);
      return {moment.day, moment.day, ""};
    }
    fail(kForms, "");
  }

 private:
  [[noreturn]] void fail(const std::string& must_be, const std::string& hint) const {
    throw InputError(std::string(what_), typed_.empty() ? std::string(units::kMissing) : std::string(typed_),
                     must_be, {}, hint);
  }
  [[nodiscard]] SpokenDate held_to_past(SpokenDate found) const {
    if (found.first > today_ + 1) fail("not in the future; today is " + iso_day(today_), "");
    if (found.last > today_ && found.first <= today_) found.last = today_;
    return found;
  }
  [[nodiscard]] std::string week_words(std::int64_t monday) const {
    return "the week of " + day_name(iso_day(monday), now_);
  }

  /// Seasons, and a day and month in figures.
  void hold_to_one_meaning() const {
    for (const auto& word : words_) {
      for (const auto& season : kSeasons) {
        if (word == season.word)
          fail("a month or a day", std::string(word) + " can mean " + season.north +
                                       ", or south of the equator " + season.south +
                                       ": name the month, such as October");
      }
    }
    if (words_.size() != 1) return;
    const std::string_view text = words_.front();
    const auto mark = text.find_first_of("/.");
    if (mark == std::string_view::npos) return;
    std::string_view second = text.substr(mark + 1);
    if (!second.empty() && second.back() == '.') second.remove_suffix(1);
    const int a = whole(text.substr(0, mark)), b = whole(second);
    if (a == 0 || b == 0 || second.find_first_not_of("0123456789") != std::string_view::npos) return;
    std::string meanings;
    const auto add = [&](int day, int month, const char* how) {
      if (month > 12 || !exists(2024, month, day)) return;
      meanings += (meanings.empty() ? "" : " or ") + std::to_string(day) + " " +
                  capital(kMonths[static_cast<std::size_t>(month - 1)]) + " (" + how + ")";
    };
    add(a, b, "day first");
    if (a != b) add(b, a, "month first");
    if (!meanings.empty())
      fail("a day with its month by name", "this can mean " + meanings + ": write the one you mean");
  }

  std::optional<SpokenDate> near_today() {
    if (words_.size() != 1) return std::nullopt;
    if (words_[0] == "today") return SpokenDate{today_, today_, ""};
    if (words_[0] == "yesterday") return SpokenDate{today_ - 1, today_ - 1, ""};
    return std::nullopt;
  }
  std::optional<SpokenDate> ago() {
    if (words_.size() != 3 || words_[2] != "ago") return std::nullopt;
    const int count = count_of(words_[0]);
    if (count == 0 || count > 1000) return std::nullopt;
    if (words_[1].starts_with("day")) return SpokenDate{today_ - count, today_ - count, ""};
    if (words_[1].starts_with("week")) {
      const std::int64_t day = today_ - std::int64_t{7} * count;
      return SpokenDate{day - 3, day + 3, day_name(iso_day(day), now_)};
    }
    if (!words_[1].starts_with("month")) return std::nullopt;
    const int months = year_of(today_) * 12 + month_of(today_) - 1 - count;
    return whole_month(months / 12, months % 12 + 1);
  }
  std::optional<SpokenDate> stretch() {
    if (words_.size() != 2 || (words_[0] != "this" && words_[0] != "last")) return std::nullopt;
    const bool last = words_[0] == "last";
    if (words_[1] == "week") {
      const std::int64_t monday = today_ - weekday_of(today_) - (last ? 7 : 0);
      return SpokenDate{monday, monday + 6, week_words(monday)};
    }
    if (words_[1] != "month") return std::nullopt;
    const int months = year_of(today_) * 12 + month_of(today_) - 1 - (last ? 1 : 0);
    return whole_month(months / 12, months % 12 + 1);
  }
  std::optional<SpokenDate> weekday() {
    const bool last = words_.size() == 2 && words_[0] == "last";
    if (words_.size() != 1 && !last) return std::nullopt;
    const int day = named(kWeekdays, words_.back());
    if (day == 0) return std::nullopt;
    const std::int64_t back = (weekday_of(today_) - (day - 1) + 7) % 7;
    const std::int64_t nearest = today_ - (back == 0 ? 7 : back);
    if (back == 0 || last) {
      fail("a day with one meaning", "this can mean " + iso_day(back == 0 ? today_ : nearest) + " or " +
                                         iso_day(back == 0 ? nearest : nearest - 7) +
                                         ": write the one you mean");
    }
    return SpokenDate{nearest, nearest, ""};
  }

  [[nodiscard]] SpokenDate whole_month(int year, int month) const {
    return {day_number(year, month, 1), day_number(year, month, days_in(year, month)),
            capital(kMonths[static_cast<std::size_t>(month - 1)]) + " " + std::to_string(year)};
  }
  /// The newest year in which that day of the month is not behind the bound.
  [[nodiscard]] int year_for(int month, int day) const {
    int year = year_of(bound_);
    while (!exists(year, month, day) || day_number(year, month, day) > bound_) --year;
    return year;
  }
  [[nodiscard]] static bool is_year(int number) { return number >= 1900 && number <= 9999; }

  /// `October`, `late October 2025`
  std::optional<SpokenDate> month() {
    auto words = words_;
    const auto part = words.empty() ? std::string() : words.front();
    const bool parted = part == "early" || part == "mid" || part == "late";
    if (parted) words.erase(words.begin());
    if (words.empty() || words.size() > 2) return std::nullopt;
    const int month = named(kMonths, words[0]);
    int year = words.size() == 2 ? whole(words[1]) : 0;
    if (month == 0 || (words.size() == 2 && !is_year(year))) return std::nullopt;
    const int from = part == "mid" ? 11 : part == "late" ? 21 : 1;
    if (year == 0) year = year_for(month, from);
    auto found = whole_month(year, month);
    if (!parted) return found;
    found.about = part + " " + found.about;
    if (part != "late") found.last = found.first + (part == "mid" ? 19 : 9);
    found.first += from - 1;
    return found;
  }
  /// `9 Aug`, `Aug 9 2025`
  std::optional<SpokenDate> day_of_month() {
    if (words_.size() != 2 && words_.size() != 3) return std::nullopt;
    const bool day_first = named(kMonths, words_[1]) != 0;
    const int month = named(kMonths, words_[day_first ? 1 : 0]), day = whole(words_[day_first ? 0 : 1]);
    if (month == 0 || day == 0) return std::nullopt;
    const int given = words_.size() == 3 ? whole(words_[2]) : 0;
    if (words_.size() == 3 && !is_year(given)) return std::nullopt;
    if (!exists(given > 0 ? given : 2024, month, day)) fail("a day that exists", "");
    const std::int64_t found = day_number(given > 0 ? given : year_for(month, day), month, day);
    return SpokenDate{found, found, ""};
  }

  std::string_view typed_, what_;
  std::int64_t now_, today_, bound_;
  std::vector<std::string> words_;
};

}  // namespace

std::string iso_day(std::int64_t day) {
  return day_text(day * kDay);
}

SpokenDate parse_spoken_date(std::string_view text, std::string_view what, std::int64_t now_utc,
                             std::int64_t not_after) {
  return Reader(text, what, now_utc, not_after).read();
}

}  // namespace quarterturn::files
