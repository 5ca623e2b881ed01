// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "cli/prompt_readings.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

namespace {

constexpr double kRoomMm = 10;  // panels are told to the centimetre

}  // namespace

double Session::ask_apart(double fallback_mm, double least_mm, double longest_mm) {
  for (;;) {
    const double apart_mm = ask_distance(fallback_mm, least_mm);
    if (longest_mm <= 0 || apart_mm <= longest_mm + kRoomMm) return apart_mm;
    const auto unit = talk_.options.unit;
    talk_.say(fmt::format("  The strip is about {} long, if the panel was as large as you said.\n",
                          report::size_text(std::round(longest_mm), unit)));
    if (talk_.yes("Are the places " + report::size_text(apart_mm, unit) + " apart all the same?", false))
      return apart_mm;
    fallback_mm = 0;
  }
}

double Session::ask_distance(double fallback_mm, double least_mm) {
  const auto unit = talk_.options.unit;
  const auto fallback =
      fallback_mm > 0 ? std::optional<std::string>(report::size_text(fallback_mm, unit)) : std::nullopt;
  double apart_mm = 0;
  talk_.ask(
      std::string(unit == units::Unit::inch ? "inches" : "mm") + " between the two measured places", fallback,
      [&](const std::string& typed) {
        if (typed.empty()) {
          throw units::InputError("distance", std::string(units::kMissing),
                                  unit == units::Unit::inch ? "given, such as 20.7" : "given, such as 525");
        }
        // What stands in brackets is rounded.
        const double given =
            typed == fallback ? fallback_mm : units::parse_length(typed, "distance", talk_.options.unit).mm();
        if (!(given >= least_mm && given <= check::kMostPositionMm))
          throw units::InputError("distance", typed,
                                  report::size_range_text(least_mm, check::kMostPositionMm, unit));
        apart_mm = given;
      });
  talk_.say("  " + report::size_text(apart_mm, talk_.options.unit) + " apart\n");
  return apart_mm;
}

namespace {

/// How long a panel's first strip is at most: the longer side without what the cuts across it took, a strip
/// and a kerf each; 0 where the panel's size is not known, and of its further strips.
double longest_strip(const check::Check& check, const app::Ends& ends, int last_cut) {
  if (!check.panel_size || !check.strips.empty()) return 0;
  const double taken = check::mean_mm(ends.fence_end) + check::kKerfMm;
  return std::max(check.panel_size->width_mm, check.panel_size->depth_mm) - (last_cut - 1) / 2 * taken;
}

/// The distance of the strip before, where it may be this strip's: not longer than that, nor so short that it
/// must be of a smaller panel; else 0, and it is asked for without an offer.
double fitting_apart(const check::Check& check, double longest_mm, double apart_mm) {
  constexpr double kShortest = 0.6;  ///< share of the shorter side; common practice, no source
  if (!check.panel_size) return apart_mm;
  const auto [shorter, longer] = std::minmax(check.panel_size->width_mm, check.panel_size->depth_mm);
  const double most_mm = longest_mm > 0 ? longest_mm + kRoomMm : longer;
  return apart_mm > most_mm || apart_mm < kShortest * shorter ? 0 : apart_mm;
}

}  // namespace

/// The readings of one strip, how far apart they are, whether F and X stood right; `undo` goes back over all
/// of it. Nothing when the strip cannot be used. \param apart_mm  of the strip before, 0 = none \param check
/// with the strips that are measured and kept
std::optional<app::Ends> Session::ask_strip(const std::string& name, double apart_mm, int last_cut,
                                            check::Check& check) {
  PlaceReadings readings(talk_, strip_widths(), name, check, false);
  app::Ends ends;
  bool usable = false;
  for (int question = 0; question < 3;) {
    try {
      if (question == 0) {
        auto places = readings.ask();
        ends.fence_end = std::move(places[0]);
        ends.free_end = std::move(places[1]);
        ends.middle = std::move(places[2]);
      } else if (question == 1) {
        const double longest_mm = longest_strip(check, ends, last_cut);
        apart_mm = fitting_apart(check, longest_mm, apart_mm);
        apart_mm = ends.apart_mm = ask_apart(apart_mm, kLeastApartMm, longest_mm);
      } else {
        usable = confirm_ends({&ends, 1}, last_cut);
      }
      ++question;
    } catch (const Back&) {
      --question;
      if (question == 0) readings.undo();
    }
  }
  apart_mm_ = ends.apart_mm;
  cuts_ = last_cut;
  strip_mm_ = check::mean_mm(ends.fence_end);
  return usable ? std::optional(ends) : std::nullopt;
}

/// The readings of a check's first strips, in any order where there are several. False: they cannot be used.
bool Session::ask_strips(check::Check& check, int strips) {
  constexpr int kFirstCut = 5;
  if (strips == 1) {
    const auto ends = ask_strip("", apart_mm_, kFirstCut, check);
    if (ends) check.strips = {app::strip_of(*ends, 1, 1, kFirstCut)};
    return ends.has_value();
  }
  check.test = check::TestKind::progressive;
  const ReadingsAsked asked = widths_of_strips(strips);
  const int last_cut = kFirstCut + strips - 1;
  talk_.say("  A strip and a place out of turn: " +
            report::wrapped(fmt::format("{}-{} free 22.14; 'so far' shows all.\n", strips, last_cut),
                            talk_.options.width));
  PlaceReadings readings(talk_, asked, "", check, false);
  std::vector<app::Ends> ends(static_cast<std::size_t>(strips));
  bool usable = false;
  for (int question = 0; question < 3;) {
    try {
      if (question == 0) {
        auto places = readings.ask();
        for (std::size_t k = 0; k < ends.size(); ++k) {
          ends[k].fence_end = std::move(places[3 * k]);
          ends[k].free_end = std::move(places[3 * k + 1]);
          ends[k].middle = std::move(places[3 * k + 2]);
        }
      } else if (question == 1) {
        const double longest_mm = longest_strip(check, ends.front(), kFirstCut);
        apart_mm_ = ask_apart(fitting_apart(check, longest_mm, apart_mm_), kLeastApartMm, longest_mm);
      } else {
        usable = confirm_ends(ends, last_cut);
      }
      ++question;
    } catch (const Back&) {
      --question;
      if (question == 0) readings.undo();
    }
  }
  for (std::size_t k = 0; k < ends.size(); ++k) {
    ends[k].apart_mm = apart_mm_;
    const int from = static_cast<int>(k) + 1;
    check.strips.push_back(app::strip_of(ends[k], 1, from, from + 4));
  }
  cuts_ = last_cut;
  strip_mm_ = check::mean_mm(ends.back().fence_end);
  return usable;
}

/// True: the strips can be used, their ends as they stand.
bool Session::confirm_ends(std::span<app::Ends> strips, int last_cut) {
  const std::string cuts =
      strips.size() == 1
          ? fmt::format("cut {}", last_cut)
          : fmt::format("cuts {} to {}", last_cut - static_cast<int>(strips.size()) + 1, last_cut);
  for (;;) {
    if (talk_.yes("F at the fence in " + cuts + ", and X up every time?", true)) return true;
    try {
      if (talk_.choose("s = F was on the other end, x = X was not always up or nobody knows", std::nullopt,
                       {"s", "x"}) == 0) {
        for (auto& ends : strips) std::swap(ends.fence_end, ends.free_end);
        talk_.say("  Ends swapped.\n");
        return true;
      }
      talk_.say("  Then this test tells nothing that can be trusted.\n");
      if (!talk_.yes("Throw its readings away?", false)) continue;
      talk_.say("Thrown away. Begin again at cut 1, same panel: 'check'.\n");
      return false;
    } catch (const Back&) {
      // Back to the question whether they stood right.
    }
  }
}

/// The first strip or joint after a move; what was expected of one says nothing of the other.
void Session::hold_against_move(app::CheckRequest& request) {
  if (!moved_) return;
  const auto moved = *moved_;
  moved_.reset();
  if (!moved.like(request.check)) return;
  request.pending = moved;
  talk_.say(report::after_move_text(moved, request.check.strips.front(), talk_.options));
}

}  // namespace quarterturn::cli
