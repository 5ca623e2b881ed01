// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "report/pictures.hpp"
#include "report/sheets.hpp"

namespace quarterturn::report {
namespace {

constexpr double kPanel = 46, kStrip = 9, kOver = 6;

/// One cut, its panel's left upper corner at (x, y).
void draw_cut(Drawing& drawing, int cut, bool last, double x, double y, bool keep_left, bool before) {
  const double right = x + kPanel, bottom = y + kPanel;
  drawing.rect("q-wood", {x, y, right, bottom});
  const double rail = keep_left ? right - kStrip : x + kStrip;
  drawing.line("q-cut", {rail, y - kOver - 3}, {rail, bottom + kOver + 3});
  const double fence = before ? y : bottom;
  drawing.line("q-fence", {x - kOver, fence}, {right + kOver, fence});
  const double kept = keep_left ? (x + rail) / 2 : (rail + right) / 2;
  drawing.text("q-ink", {{kept, y + kPanel / 2 + 5}, Anchor::middle}, "X");
  if (cut > 1) {
    drawing.text("q-ink", {{kept, before ? y + 13 : bottom - 4}, Anchor::middle}, std::to_string(cut - 1),
                 kSmallSize);
  }
  if (last) {
    const double strip = keep_left ? right + 3 : x - 3;
    drawing.text("q-act", {{strip, before ? y + 12 : bottom - 3}, keep_left ? Anchor::start : Anchor::end},
                 "F");
  }
  drawing.text("q-quiet", {{x + kPanel / 2, y + kPanel + 27}, Anchor::middle}, fmt::format("cut {}", cut),
               kSmallSize);
}

}  // namespace

const char* turn_word(bool keep_left, bool before) {
  return keep_left == before ? "left" : "right";
}

Drawing turns_picture(int cuts, bool keep_left, bool before) {
  Drawing drawing(kPictureWidth, "The panel before each cut");
  const double step = kPictureWidth / cuts;
  for (int cut = 1; cut <= cuts; ++cut) {
    draw_cut(drawing, cut, cut == cuts, step * (cut - 1) + (step - kPanel) / 2, 14, keep_left, before);
  }
  double y = 104;
  for (const auto& line :
       broken("Thick: the fence. Line: the rail. You stand below. A number: the edge that cut "
              "made. X stays up. F: where the strip touches the fence.",
              kPictureWidth, kSmallSize)) {
    drawing.text("q-quiet", {{0, y}}, line, kSmallSize);
    y += 15;
  }
  drawing.describe(fmt::format(
      "Seen from above, you stand below. The panel lies {} the fence, the kept part {} of the rail. Before "
      "each "
      "cut from the second the edge just cut is turned to the fence, a quarter turn to the {}, X up. Before "
      "the "
      "last cut F is written on the strip where it touches the fence.",
      before ? "on your side of" : "beyond", keep_left ? "left" : "right", turn_word(keep_left, before)));
  drawing.set_height(y - 6);
  return drawing;
}

}  // namespace quarterturn::report
