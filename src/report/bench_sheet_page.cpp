// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "report/amounts.hpp"
#include "report/care.hpp"
#include "report/page.hpp"
#include "report/sheets.hpp"

namespace quarterturn::report {
namespace {

constexpr int kFirstCut = 5;

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

/// What is written first: where, when, by whom, with what.
void lines_on_top(Markup& page, const BenchSheetShown& shown, const char* limit, const char* piece,
                  const char* instrument) {
  page.open("div", {{"class", "fill"}});
  line_to_fill(page, "station", shown.station);
  line_to_fill(page, "setup", shown.setup);
  line_to_fill(page, limit, shown.tolerance);
  for (const char* name : {"date, time", "by", piece, instrument}) line_to_fill(page, name);
  page.close();
}

void boxes(Markup& page, const std::string& title, const Cells& heads, const Cells& places,
           const std::vector<std::string>& further) {
  page.open("div", {{"class", "keep"}}).element("h2", title);
  std::vector<Cells> rows;
  for (const auto& place : places) {
    rows.emplace_back(heads.size(), " ");
    rows.back().front() = place;
  }
  table(page, "", heads, rows, "boxes");
  page.open("div", {{"class", "fill"}});
  for (const auto& line : further) line_to_fill(page, line);
  page.close().close();
}

std::string gap_sheet_title(const GapTestShown& test, int number) {
  switch (test.kind) {
    case GapTestShown::Kind::pair:
      return fmt::format("Pair {}", number);
    case GapTestShown::Kind::halves:
      return number == 1 ? "The board" : "The board turned end for end, cut again";
    case GapTestShown::Kind::frame:
      return fmt::format("Last joint of ring {}", number);
    case GapTestShown::Kind::rail:
      break;
  }
  return "Rail against the line";
}

const char* apart_line(const GapTestShown& test) {
  switch (test.kind) {
    case GapTestShown::Kind::frame:
      return "between outer and inner place";
    case GapTestShown::Kind::rail:
      return "between near and far place";
    default:
      return "between F end and free end";
  }
}

const char* asked_by(const GapTestShown& test) {
  switch (test.kind) {
    case GapTestShown::Kind::pair:
      return "check pair";
    case GapTestShown::Kind::halves:
      return "check halves";
    case GapTestShown::Kind::frame:
      return "check frame";
    case GapTestShown::Kind::rail:
      break;
  }
  return "check rail";
}

std::string gap_sheet_page(const BenchSheetShown& shown) {
  const auto& test = *shown.gaps;
  const bool rail = test.kind == GapTestShown::Kind::rail, frame = test.kind == GapTestShown::Kind::frame;
  Markup page;
  page.open("main").element("h1", gap_test_heading(test));
  lines_on_top(page, shown, frame ? "true within" : "square within",
               rail    ? "rail"
               : frame ? "pieces"
                       : "panels",
               "feelers");
  page.open("div", {{"class", "drawn"}, {"role", "img"}, {"aria-label", gap_test_spoken(test)}});
  for (const auto& picture : gap_test_pictures(test)) {
    std::string rows;
    for (const auto& row : picture.rows) rows += row + "\n";
    page.open("div").element("b", picture.title).element("pre", rows).close();
  }
  page.close();
  page.open("ol", {{"class", "steps"}});
  for (const auto& step : gap_test_step_lines(test)) page.element("li", unbroken(step));
  page.close();
  Cells places;
  std::string order;
  for (const auto& place : gap_places(test.kind)) {
    places.push_back(std::string(place.name) + (place.needed ? "" : ", or -"));
    order += std::string(place.name) + ", ";
  }
  for (int number = 1; number <= (rail ? 1 : 2); ++number)
    boxes(page, gap_sheet_title(test, number), {"gap", "reading 1", "reading 2", "reading 3"}, places,
          {apart_line(test)});
  page.element("p", fmt::format("Type them in this order: '{}' asks for {}then the distance. All in {}.{}",
                                asked_by(test), order, shown.unit == units::Unit::inch ? "inches" : "mm",
                                rail || frame ? "" : " One joint is a test; a second one tells more."));
  page.open("section", {{"class", "keep"}}).element("h2", "Care");
  paragraphs(page, gap_test_cautions(test) + "- " + kCertifiesNothing + "\n");
  page.close().close();
  return page_of("Bench sheet", "sheet", page);
}

}  // namespace

std::string bench_sheet_page(const BenchSheetShown& shown) {
  if (shown.gaps) return gap_sheet_page(shown);
  const bool inch = shown.unit == units::Unit::inch;
  Markup page;
  page.open("main").element("h1", "Readings of a five-cut");
  lines_on_top(page, shown, "square within", "panel", "caliper");
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
                  strip_width_words(shown.unit), from_ends_words(shown.unit), inch ? "inches" : "mm"));
  page.close().close();
  for (int cut = kFirstCut; cut < kFirstCut + shown.strips; ++cut)
    boxes(page, fmt::format("Strip {}-{}, after cut {}", cut - 4, cut, cut),
          {"", "reading 1", "reading 2", "reading 3"}, {"F end", "free end", "middle, or -"},
          {"between F end and free end", fmt::format("F at the fence in cut {}, X up every time?", cut)});
  page.element(
      "p",
      "Type them in this order: 'check' asks for F end, free end, middle, then the distance. One strip "
      "is a test; each further cut on the same panel gives one more.");
  care_section(page, shown.unit);
  page.close();
  return page_of("Bench sheet", "sheet", page);
}

}  // namespace quarterturn::report
