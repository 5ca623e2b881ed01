// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "report/amounts.hpp"
#include "report/page.hpp"
#include "report/sheets.hpp"

namespace quarterturn::report {
namespace {

/// A name with a line to write on.
void line_to_fill(Markup& page, const std::string& name, const std::string& value = {}) {
  page.open("span");
  if (value.empty())
    page.text(name);
  else
    page.element("b", name + ": " + value);
  if (value.empty()) page.element("i", "");
  page.close();
}

void boxes(Markup& page, int cut) {
  page.open("div", {{"class", "keep"}});
  page.element("h2", fmt::format("Strip {}-{}, after cut {}", cut - 4, cut, cut));
  table(page, "", {"", "reading 1", "reading 2", "reading 3"},
        {{"F end", " ", " ", " "}, {"free end", " ", " ", " "}, {"middle, or -", " ", " ", " "}}, "boxes");
  page.open("div", {{"class", "fill"}});
  line_to_fill(page, "between F end and free end");
  line_to_fill(page, fmt::format("F at the fence in cut {}, X up every time?", cut));
  page.close().close();
}

}  // namespace

std::string bench_sheet_page(const BenchSheetShown& shown) {
  const bool inch = shown.unit == units::Unit::inch;
  Markup page;
  page.open("main").element("h1", "Readings of a five-cut");
  page.open("div", {{"class", "fill"}});
  line_to_fill(page, "station", shown.station);
  line_to_fill(page, "setup", shown.setup);
  line_to_fill(page, "square within", shown.tolerance);
  for (const char* name : {"date, time", "by", "panel", "caliper"}) line_to_fill(page, name);
  page.close();
  page.open("div", {{"class", "beside"}});
  if (shown.sides_known)
    page.open("figure").add(turns_picture(5, shown.keep_left, shown.before).on_page("turns")).close();
  page.open("div");
  if (shown.sides_known) {
    page.element("p",
                 fmt::format("X on the top face, it stays up. The edge just cut goes to the fence: turn the "
                             "panel a quarter to the {}.",
                             turn_word(shown.keep_left, shown.before)));
  } else {
    page.element(
        "p",
        "X on the top face, it stays up. The edge just cut goes to the fence, a quarter turn each time.");
  }
  page.element(
      "p",
      fmt::format("Fifth strip {} wide. BEFORE that cut write F on the strip where it touches the fence. "
                  "Knock off the fuzz, {} off the ends, rock the caliper, take the smallest reading, "
                  "open the jaws between readings. All in {}.",
                  inch ? "1 in" : "20-30 mm", size_text(20, shown.unit), inch ? "inches" : "mm"));
  page.close().close();
  for (int strip = 0; strip < shown.strips; ++strip) boxes(page, 5 + strip);
  page.element(
      "p",
      "Type them in this order: 'check' asks for F end, free end, middle, then the distance. One strip "
      "is a test; each further cut on the same panel gives one more.");
  care_section(page);
  page.close();
  return page_of("Bench sheet", "sheet", page);
}

}  // namespace quarterturn::report
