// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/amounts.hpp"
#include "report/picture_parts.hpp"
#include "report/pictures.hpp"
#include "report/words.hpp"

namespace quarterturn::report {
namespace {

constexpr double kLeft = 92, kRight = 14, kHead = 30, kMain = 46, kRow = 18, kFoot = 42;
constexpr std::size_t kMostRows = 12;

/// An answer with its ±, in mm over the panel.
struct Bar {
  std::string name;
  double x = 0, half = 0;
};

void draw_bar(Drawing& drawing, const Bar& bar, const Scale& x, double y, double cap) {
  const double left = x(bar.x - bar.half), right = x(bar.x + bar.half);
  drawing.line("q-fit", {left, y}, {right, y});
  drawing.line("q-fit", {left, y - cap}, {left, y + cap});
  drawing.line("q-fit", {right, y - cap}, {right, y + cap});
}

std::vector<Bar> strips_of(const correct::Outcome& outcome) {
  std::vector<Bar> bars;
  const bool several =
      std::ranges::any_of(outcome.fit.tapers, [](const auto& taper) { return taper.panel > 1; });
  for (const auto& taper : outcome.fit.tapers) {
    std::string name =
        outcome.check.gaps()
            ? fmt::format("{} {}", counted_word(outcome.check), taper.panel)
            : fmt::format("{}{}-{}", several ? fmt::format("panel {}, ", taper.panel) : "strip ",
                          taper.from_cut, taper.to_cut);
    bars.push_back({std::move(name), over_panel(outcome, taper.corner_rad()),
                    over_panel(outcome, 2 * taper.corner_u_rad())});
  }
  return bars;
}

/// What is allowed: a field between two dashed lines, named.
void draw_allowed(Drawing& drawing, double allowed_mm, const Box& frame, const Scale& x, units::Unit unit) {
  const double low = x(-allowed_mm), high = x(allowed_mm);
  drawing.rect("q-zone", {low, frame.top, high, frame.bottom});
  for (const double at : {low, high}) drawing.line("q-limit", {at, frame.top - 6}, {at, frame.bottom});
  const std::string text =
      "allowed ± " + length_text(allowed_mm, unit, allowed_mm < 0.095 ? fine_decimals(allowed_mm) : 2);
  const double baseline = frame.top - 10;
  drawing.label("q-good",
                {{{x(0), baseline}, Anchor::middle}, {{high, baseline}, Anchor::end}, {{low, baseline}}},
                text, kSmallSize);
}

/// Places where the text crosses none of these upright lines come first.
void clear_first(std::vector<Spotted>& places, const std::string& text, const std::vector<double>& lines) {
  const double wide = text_width(text, kTextSize);
  std::stable_partition(places.begin(), places.end(), [&](const Spotted& place) {
    const double left = place.at.x - (place.anchor == Anchor::middle ? wide / 2
                                      : place.anchor == Anchor::end  ? wide
                                                                     : 0);
    return std::ranges::none_of(lines, [&](double at) { return left - 3 < at && at < left + wide + 3; });
  });
}

double reach_of(const Bar& main, const std::vector<Bar>& rows, double allowed_mm) {
  double reach = std::max({std::fabs(main.x) + main.half, allowed_mm, 0.01});
  for (const auto& row : rows) reach = std::max(reach, std::fabs(row.x) + row.half);
  return 1.08 * reach;
}

}  // namespace

std::optional<Drawing> interval_picture(const correct::Outcome& outcome, units::Unit unit) {
  if (outcome.check.test == check::TestKind::rail) return std::nullopt;
  const auto& eta = outcome.fit.eta;
  const double measuring = over_panel(outcome, outcome.fit.measuring_half_width);
  const Bar main{"together", over_panel(outcome, eta.x),
                 eta.unknown ? measuring : over_panel(outcome, eta.half_width)};
  auto rows = strips_of(outcome);
  const std::size_t left_out = rows.size() > kMostRows ? rows.size() - kMostRows : 0;
  rows.resize(rows.size() - left_out);
  const double allowed = outcome.tolerance ? over_panel(outcome, outcome.tolerance->angle.rad()) : 0;
  const double reach = reach_of(main, rows, allowed);
  const TextOptions options{.unit = unit, .plain = true};

  Drawing drawing(kPictureWidth, "The corner with its ± against what is allowed");
  const double bottom = kHead + kMain + kRow * static_cast<double>(rows.size()) + 6;
  const Box frame{kLeft, kHead, drawing.width() - kRight, bottom};
  const Scale x{-reach, reach, frame.left, frame.right};
  if (allowed > 0) draw_allowed(drawing, allowed, frame, x, unit);
  drawing.line("q-axis", {x(0), frame.top}, {x(0), frame.bottom});

  const double y = kHead + 30;
  drawing.text("q-ink", {{0, y + 5}}, main.name);
  if (!eta.unknown) drawing.line("q-thick", {x(main.x - measuring), y}, {x(main.x + measuring), y});
  draw_bar(drawing, main, x, y, 7);
  drawing.circle("q-dot", {x(main.x), y}, 5);
  const std::string amount = eta.unknown ? length_text(std::fabs(main.x), unit) + ", ± by measuring alone"
                                         : plus_minus_text(std::fabs(main.x), main.half, unit);
  const double above = y - 13;
  std::vector<Spotted> places{{{x(main.x), above}, Anchor::middle},
                              {{x(main.x - main.half), above}},
                              {{x(main.x + main.half), above}, Anchor::end},
                              {{x(allowed) + 6, above}},
                              {{frame.left, above}},
                              {{frame.right, above}, Anchor::end},
                              {{0, above}}};
  if (allowed > 0) clear_first(places, amount, {x(-allowed), x(allowed)});
  drawing.label("q-ink", places, amount);
  double row_y = kHead + kMain + 8;
  for (const auto& row : rows) {
    drawing.text("q-quiet", {{0, row_y + 4}}, fitted(row.name, kLeft - 6, kSmallSize), kSmallSize);
    draw_bar(drawing, row, x, row_y, 3);
    drawing.circle("q-dot", {x(row.x), row_y}, 3);
    row_y += kRow;
  }
  level_axis(drawing, frame, x, unit, 5, false);
  const double under = frame.bottom + 33;
  const std::string nominal = nominal_words(outcome);
  drawing.text("q-quiet", {{frame.left, under}}, "← under " + nominal, kSmallSize);
  drawing.text("q-quiet", {{frame.right, under}, Anchor::end}, "over " + nominal + " →", kSmallSize);
  drawing.text("q-quiet", {{0, frame.bottom + 17}}, fitted(std::string(unit_word(unit)), 40, kSmallSize),
               kSmallSize);
  double end = frame.bottom + kFoot;
  std::string key = fmt::format("{} {}. ", in_words(unit), over_words(outcome, options));
  if (!eta.unknown) key += "Thick: what measuring alone leaves open. ";
  key += fmt::format("Each {}: ± twice its standard uncertainty.", counted_word(outcome.check));
  if (left_out > 0) key += fmt::format(" {} more are not drawn.", left_out);
  for (const auto& line : broken(key, drawing.width(), kSmallSize)) {
    drawing.text("q-quiet", {{0, end + 9}}, line, kSmallSize);
    end += 15;
  }
  drawing.describe(answer_sentence(outcome, options) + " " + key);
  drawing.set_height(end + 4);
  return drawing;
}

}  // namespace quarterturn::report
