// SPDX-License-Identifier: MIT
#include "report/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "report/amounts.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {

std::string verdict_words(const check::Verdict& verdict) {
  std::string words = "CANNOT TELL YET";
  if (verdict.setup == check::Answer::within) words = "WITHIN";
  if (verdict.setup == check::Answer::outside) words = "OUTSIDE";
  return verdict.provisional ? words + " (provisional)" : words;
}

std::string nominal_words(const correct::Outcome& outcome) {
  double deg = 90;
  if (outcome.check.pieces > 0 && !(outcome.geometry && outcome.geometry->q != 0)) {
    deg = 90 - 180.0 / outcome.check.pieces;
  } else if (outcome.geometry) {
    deg = outcome.geometry->nominal_rad * 180.0 / std::numbers::pi;
    if (outcome.geometry->q < 0) deg = 180 - deg;  // the kept corner lies in the other quadrant
  }
  std::string text = fixed(deg, 2);
  while (text.ends_with('0')) text.pop_back();
  if (text.ends_with('.')) text.pop_back();
  return text + "°";
}

const char* side_word(double rad) {
  return rad < 0 ? "under" : "over";
}

std::string counted_word(const check::Check& check) {
  return check.gaps() ? check::joint_word(check) : "strip";
}

std::string counted_strips(const check::Check& check) {
  const auto count = check.strips.size();
  return fmt::format("{} {}{}", count, counted_word(check), count == 1 ? "" : "s");
}

std::string strip_title(const check::Check& check, const check::Strip& strip) {
  std::string name = check::strip_name(check, strip);
  name.front() = static_cast<char>(name.front() - 'a' + 'A');
  return name;
}

double over_panel(const correct::Outcome& outcome, double rad) {
  return over_panel(outcome.panel_mm, rad);
}

bool is_sure(const correct::Outcome& outcome) {
  return !outcome.fit.eta.unknown;
}

std::string remains_words(const correct::Outcome& outcome, const correct::Move& move, units::Unit unit) {
  const double left_mm = over_panel(outcome, std::fabs(move.remaining_rad));
  if (!is_sure(outcome)) return length_text(left_mm, unit) + ", its ± not known";
  const double wide = outcome.acting_u_rad > 0 ? outcome.eps->half_width / outcome.acting_u_rad : 2;
  return plus_minus_text(left_mm, over_panel(outcome, wide * move.remaining_u_rad), unit);
}

std::string over_words(const correct::Outcome& outcome, const TextOptions& options) {
  return "over " + size_text(outcome.panel_mm, options.unit);
}

std::size_t advised_move(const correct::Outcome& outcome) {
  if (!outcome.advice) return 0;
  const auto& moves = outcome.advice->moves;
  return static_cast<std::size_t>(
      std::find_if(moves.begin(), moves.end(), [](const auto& move) { return move.advised; }) -
      moves.begin());
}

std::string when_words(const std::string& date) {
  constexpr std::size_t kDay = 10, kMinute = 16;
  std::string shown = units::inert(date);
  if (shown.size() <= kMinute || shown[kDay] != 'T') return shown;
  const std::size_t zone = shown.find_first_of("Z+-", kMinute);
  const std::string offset = zone == std::string::npos ? "" : shown.substr(zone);
  return shown.substr(0, kDay) + " " + shown.substr(kDay + 1, kMinute - kDay - 1) + " UTC" +
         (offset == "Z" || offset.ends_with("00:00") ? "" : offset);
}

std::string finished(const std::string& text, const TextOptions& options) {
  const std::string shown = options.unicode ? text : ascii(text);
  return options.plain ? shown : wrapped(shown, options.width, drawn_width(options));
}

namespace {

std::string source_words(const correct::Outcome& outcome, check::Component component, check::Source source) {
  const auto& caliper = outcome.check.caliper;
  switch (source) {
    case check::Source::readings:
      return component == check::Component::reading && caliper && caliper->repeatability_mm > 0
                 ? std::string("from these readings and the ") + (outcome.check.gaps() ? "feeler" : "caliper")
                 : "from these readings";
    case check::Source::caliper:
      return outcome.check.gaps() ? "from the feeler" : "from the caliper";
    case check::Source::log:
      return "from earlier checks";
    case check::Source::assumed:
      return "assumed";
    case check::Source::unknown:
      break;
  }
  return "not seen";
}

}  // namespace

ScatterWords scatter_words(const correct::Outcome& outcome, check::Component component,
                           const TextOptions& options) {
  constexpr double kShownMm = 0.0005;  // less rounds to 0.000
  const auto& scatter = outcome.fit.scatter[static_cast<std::size_t>(component)];
  if (scatter.source == check::Source::unknown) return {"", "not seen"};
  if (component != check::Component::reading && scatter.estimate_mm < kShownMm)
    return {"", "does not show above the readings"};
  const std::string amount = scatter.estimate_mm < kShownMm
                                 ? "under " + length_text(2 * kShownMm, options.unit, 3)
                                 : length_text(scatter.estimate_mm, options.unit, 3);
  return {amount, source_words(outcome, component, scatter.source)};
}

}  // namespace quarterturn::report
