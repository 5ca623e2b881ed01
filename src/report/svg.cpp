// SPDX-License-Identifier: MIT
#include "report/svg.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "report/amounts.hpp"
#include "report/palette.hpp"
#include "units/text.hpp"

namespace quarterturn::report {
namespace {

constexpr double kAscent = 0.95, kDescent = 0.28;  // of the size
constexpr double kAround = 10;                     // of a drawing that stands alone
constexpr double kApart = 1.5;                     // least distance of two texts

double advance(std::string_view character) {
  if (character.size() > 1) return character.size() == 2 ? 0.84 : 1.0;
  const char c = character.front();
  if (std::string_view(" .,:;|!'ijlIft()[]/-").find(c) != std::string_view::npos) return 0.42;
  if (std::string_view("mwMW%@").find(c) != std::string_view::npos) return 1.0;
  return c >= 'A' && c <= 'Z' ? 0.74 : 0.64;
}

const char* anchor_word(Anchor anchor) {
  return anchor == Anchor::start ? "start" : anchor == Anchor::middle ? "middle" : "end";
}

Box box_of(const Spotted& where, const std::string& text, double size) {
  const double width = text_width(text, size);
  const double left = where.at.x - (where.anchor == Anchor::start    ? 0
                                    : where.anchor == Anchor::middle ? width / 2
                                                                     : width);
  return {left, where.at.y - kAscent * size, left + width, where.at.y + kDescent * size};
}

Box wider(const Box& box, double by) {
  return {box.left - by, box.top - by, box.right + by, box.bottom + by};
}

/// Whether a line must not end at that blank: within `± 0.10 mm`.
bool holds_together(std::string_view text, std::size_t blank) {
  const std::string_view next = text.substr(blank + 1);
  return text.substr(0, blank).ends_with("±") || next.starts_with("± ") || next.starts_with("mm") ||
         next == "in" || next.starts_with("in ");
}

/// One class of things drawn.
struct Kind {
  Literal selector, property;
  Colour colour;
};
constexpr std::array<Kind, 21> kKinds{
    {{".q-paper", "fill", kPaper},   {".q-fence", "stroke", kInk},   {".q-ink", "fill", kInk},
     {".q-quiet", "fill", kQuiet},   {".q-good", "fill", kGreen},    {".q-act", "fill", kWarm},
     {".q-axis", "stroke", kRule},   {".q-grid", "stroke", kGrid},   {".q-fit", "stroke", kBlue},
     {".q-thick", "stroke", kBlue},  {".q-band", "fill", kBand},     {".q-dot", "fill", kBlue},
     {".q-hollow", "stroke", kBlue}, {".q-limit", "stroke", kGreen}, {".q-zone", "fill", kZone},
     {".q-event", "stroke", kWarm},  {".q-move", "stroke", kWarm},   {".q-wood", "fill", kWood},
     {".q-steel", "fill", kSteel},   {".q-dog", "fill", kInk},       {".q-hole", "stroke", kRule}}};

}  // namespace

Sheet drawing_sheet() {
  Sheet sheet{
      ".q{font-family:system-ui,sans-serif;font-variant-numeric:tabular-nums}\n"
      ".q *{fill:none;stroke:none}\n"
      ".q .q-wood,.q .q-steel{stroke-width:1.2}.q .q-axis,.q .q-hole{stroke-width:1}.q "
      ".q-grid{stroke-width:1}\n"
      ".q .q-fit{stroke-width:2}.q .q-thick{stroke-width:6;stroke-opacity:.55}.q "
      ".q-hollow{stroke-width:1.6}\n"
      ".q .q-limit{stroke-width:1.5;stroke-dasharray:6 3}.q .q-event{stroke-width:1.2;stroke-dasharray:2 3}\n"
      ".q .q-move{stroke-width:3}.q .q-act{font-weight:600}.q .q-cut{stroke-width:2.4}.q "
      ".q-fence{stroke-width:4}.q .q-square{stroke-width:1.6;stroke-dasharray:5 4}.q "
      ".q-over{fill-opacity:.75}.q "
      "text{paint-order:stroke;stroke-width:3;stroke-linejoin:round}\n"};
  const auto rules = [&sheet](bool dark) {
    for (const auto& kind : kKinds) {
      for (const Literal piece : {Literal(".q "), kind.selector, Literal("{"), kind.property, Literal(":"),
                                  dark ? kind.colour.dark : kind.colour.light, Literal("}")})
        sheet.push_back(piece);
    }
    for (const Literal piece :
         {Literal(".q .q-wood,.q .q-steel{stroke:"), dark ? kRule.dark : kRule.light,
          Literal("}.q .q-cut{stroke:"), dark ? kBlue.dark : kBlue.light, Literal("}.q .q-square{stroke:"),
          dark ? kInk.dark : kInk.light, Literal("}.q text{stroke:"), dark ? kPaper.dark : kPaper.light,
          Literal("}\n")})
      sheet.push_back(piece);
  };
  rules(false);
  sheet.push_back("@media screen and (prefers-color-scheme:dark){\n");
  rules(true);
  sheet.push_back("}\n");
  return sheet;
}

double text_width(std::string_view text, double size) {
  double width = 0;
  while (!text.empty()) {
    const std::size_t length = std::max<std::size_t>(1, units::utf8_length(text));
    width += advance(text.substr(0, length));
    text.remove_prefix(length);
  }
  return width * size;
}

std::string fitted(const std::string& text, double width, double size) {
  if (text_width(text, size) <= width) return text;
  std::string cut;
  for (std::string_view rest = text; !rest.empty();) {
    const std::string_view next = rest.substr(0, std::max<std::size_t>(1, units::utf8_length(rest)));
    if (text_width(cut + std::string(next) + "…", size) > width) break;
    cut += next;
    rest.remove_prefix(next.size());
  }
  return cut + "…";
}

std::vector<std::string> broken(const std::string& text, double width, double size) {
  std::vector<std::string> lines{""};
  for (std::size_t from = 0; from < text.size();) {
    std::size_t at = std::min(text.find(' ', from), text.size());
    while (at < text.size() && holds_together(text, at)) at = std::min(text.find(' ', at + 1), text.size());
    const std::string word = text.substr(from, at - from);
    from = at + 1;
    const auto& line = lines.back();
    std::string longer = line;
    if (!line.empty()) longer += ' ';
    longer += word;
    if (line.empty() || text_width(longer, size) <= width) {
      lines.back() = std::move(longer);
    } else {
      lines.push_back(word);
    }
  }
  for (auto& line : lines) line = fitted(line, width, size);
  return lines;
}

Ticks ticks(double low, double high, int most) {
  Ticks made;
  if (!(high > low) || most < 1) return made;
  const double power = std::pow(10.0, std::floor(std::log10((high - low) / most)));
  double step = 10 * power;
  for (const double times : {1.0, 2.0, 5.0}) {
    if ((high - low) / (times * power) <= most) {
      step = times * power;
      break;
    }
  }
  made.decimals = std::max(0, static_cast<int>(-std::floor(std::log10(step) + 1e-9)));
  const auto first = static_cast<long>(std::ceil(low / step - 1e-9));
  const auto last = static_cast<long>(std::floor(high / step + 1e-9));
  for (long k = first; k <= last; ++k) made.at.push_back(static_cast<double>(k) * step);
  return made;
}

Drawing::Drawing(double width, std::string title) : width_(width), title_(std::move(title)) {}

void Drawing::line(Literal kind, Point from, Point to) {
  body_.empty("line", {{"class", kind.view()}, {"x1", from.x}, {"y1", from.y}, {"x2", to.x}, {"y2", to.y}});
}

void Drawing::path(Literal kind, const std::vector<Point>& points, bool closed) {
  std::string list;
  for (const auto& point : points) {
    list += (list.empty() ? "" : " ") + Attribute("x", point.x).value + "," + Attribute("y", point.y).value;
  }
  body_.empty(closed ? Literal("polygon") : Literal("polyline"), {{"class", kind.view()}, {"points", list}});
}

void Drawing::rect(Literal kind, const Box& box, double round) {
  body_.empty("rect", {{"class", kind.view()},
                       {"x", box.left},
                       {"y", box.top},
                       {"width", box.right - box.left},
                       {"height", box.bottom - box.top},
                       {"rx", round}});
}

void Drawing::circle(Literal kind, Point centre, double radius) {
  body_.empty("circle", {{"class", kind.view()}, {"cx", centre.x}, {"cy", centre.y}, {"r", radius}});
}

void Drawing::text(Literal kind, const Spotted& where, const std::string& text_, double size) {
  texts_.push_back(box_of(where, text_, size));
  body_.element("text", text_,
                {{"class", kind.view()},
                 {"x", where.at.x},
                 {"y", where.at.y},
                 {"font-size", size},
                 {"text-anchor", anchor_word(where.anchor)}});
}

bool Drawing::label(Literal kind, const std::vector<Spotted>& places, const std::string& text_, double size) {
  for (const auto& place : places) {
    const Box box = wider(box_of(place, text_, size), kApart);
    if (box.left < 0 || box.right > width_ || box.top < 0) continue;
    const auto meets = [&box](const Box& other) { return box.overlaps(other); };
    if (std::ranges::any_of(texts_, meets) || std::ranges::any_of(taken_, meets)) continue;
    text(kind, place, text_, size);
    return true;
  }
  return false;
}

Markup Drawing::made(const std::string& id, bool alone) const {
  const double around = alone ? kAround : 0, wide = width_ + 2 * around, tall = height_ + 2 * around;
  std::string view;
  for (const double number : {-around, -around, wide, tall})
    view += (view.empty() ? "" : " ") + Attribute("viewBox", number).value;
  Attributes attributes{
      {"class", "q"}, {"viewBox", view}, {"role", "img"}, {"aria-labelledby", id + "-t " + id + "-d"}};
  if (alone) {
    attributes.push_back({"xmlns", "http://www.w3.org/2000/svg"});
    attributes.push_back({"width", wide});
    attributes.push_back({"height", tall});
  }
  Markup svg;
  svg.open("svg", attributes);
  svg.element("title", title_, {{"id", id + "-t"}});
  svg.element("desc", description_, {{"id", id + "-d"}});
  if (alone) {
    svg.style(drawing_sheet());
    svg.empty("rect",
              {{"class", "q-paper"}, {"x", -around}, {"y", -around}, {"width", wide}, {"height", tall}});
  }
  return svg.add(body_).close();
}

Markup Drawing::on_page(const std::string& id) const {
  return made(id, false);
}

std::string Drawing::file() const {
  return made("drawing", true).whole();
}

}  // namespace quarterturn::report
