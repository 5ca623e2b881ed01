// SPDX-License-Identifier: MIT
/// \file svg.hpp
/// A small drawing: lines, bands, dots and labels that keep out of each other's way, in user units.
///
/// In       points in user units, x to the right, y downwards; classes of drawing_sheet()
/// Out      an <svg> element with title and description for screen readers, for a page or as a file
/// Assumes  nothing of the fonts there are: widths of text are those of a wide one, so that no label touches
///          another on screen
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "report/markup.hpp"

namespace quarterturn::report {

struct Point {
  double x = 0, y = 0;
};
struct Box {
  double left = 0, top = 0, right = 0, bottom = 0;
  [[nodiscard]] bool overlaps(const Box& other) const {
    return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
  }
};

enum class Anchor { start, middle, end };
struct Spotted {
  Point at;  ///< of the baseline
  Anchor anchor = Anchor::start;
};

inline constexpr double kTextSize = 13, kSmallSize = 11.5;

/// Width of a text in a wide sans serif.
double text_width(std::string_view text, double size);
/// `text` cut so that it is no wider, with an ellipsis where something is gone.
std::string fitted(const std::string& text, double width, double size);
/// Lines no wider than that, broken at blanks.
std::vector<std::string> broken(const std::string& text, double width, double size);

/// A straight axis: `from` lies at `at_from`, `to` at `at_to`.
struct Scale {
  double from = 0, to = 1, at_from = 0, at_to = 1;
  double operator()(double value) const { return at_from + (value - from) / (to - from) * (at_to - at_from); }
};
/// Round values between low and high: steps of 1, 2 or 5, at most `most` of them.
struct Ticks {
  std::vector<double> at;
  int decimals = 0;
};
Ticks ticks(double low, double high, int most);

class Drawing {
 public:
  Drawing(double width, std::string title);
  /// For screen readers: what there is to see, in sentences.
  void describe(std::string text) { description_ = std::move(text); }
  void set_height(double height) { height_ = height; }
  [[nodiscard]] double width() const { return width_; }

  void line(Literal kind, Point from, Point to);
  void path(Literal kind, const std::vector<Point>& points, bool closed = false);
  void rect(Literal kind, const Box& box, double round = 0);
  void circle(Literal kind, Point centre, double radius);
  /// Text just there.
  void text(Literal kind, const Spotted& where, const std::string& text, double size = kTextSize);
  /// Text at the first of those places where it lies on no other text, on nothing kept free and not outside.
  /// \returns whether there was one
  bool label(Literal kind, const std::vector<Spotted>& places, const std::string& text,
             double size = kTextSize);
  void keep_free(const Box& box) { taken_.push_back(box); }

  /// The places of all texts, for those who hold them against each other.
  [[nodiscard]] const std::vector<Box>& texts() const { return texts_; }

  /// For a page. \param id  of title and description, one of its kind on the page
  [[nodiscard]] Markup on_page(const std::string& id) const;
  /// A file of its own, with its style.
  [[nodiscard]] std::string file() const;

 private:
  [[nodiscard]] Markup made(const std::string& id, bool alone) const;
  double width_, height_ = 100;
  std::string title_, description_;
  Markup body_;
  std::vector<Box> texts_, taken_;
};

}  // namespace quarterturn::report
