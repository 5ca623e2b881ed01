// SPDX-License-Identifier: MIT
// Pages of checks: well-formed, loading nothing, the answer first, and what people wrote shown as they wrote
// it.
#include "report/check_page.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "files/readings_file.hpp"
#include "files/sha256.hpp"
#include "report/page.hpp"
#include "report/words.hpp"
#include "support/outcomes.hpp"
#include "support/source_tree.hpp"
#include "support/strict_markup.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using quarterturn::test::holds;
using quarterturn::test::StrictMarkup;

namespace {

report::CheckShown shown_of(const app::CheckRequest& request) {
  report::CheckShown shown;
  shown.outcome = app::run_check(request);
  shown.name = "dock/1";
  shown.readings = files::write_readings(request.check);
  shown.log_id = "11111111-2222-4333-8444-555555555555";
  shown.program = "0.0.9";
  return shown;
}

/// What a page must never hold: anything that runs, or that is fetched.
void is_inert(const std::string& page) {
  for (const char* never : {"http:", "https:", "<script", "javascript:", "url(", "@import", "src=", "href"})
    CHECK_MESSAGE(!holds(page, never), never);
  const StrictMarkup read(page);
  for (const auto& element : read.elements()) {
    for (const auto& attribute : element.attributes)
      CHECK_MESSAGE(!attribute.first.starts_with("on"), attribute.first);
  }
}

std::string file(const std::string& path) {
  std::ifstream in(path);
  std::ostringstream all;
  all << in.rdbuf();
  return all.str();
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("a page of a check: the answer first, then all that the report promises") {
    auto shown = shown_of(test::station_request());
    shown.lines.events = {"2026-03-14  knocked: by the van"};
    shown.lines.kept = {"2026-03-14 kept"};
    const std::string page = report::check_page({shown}, "2026-03-15");
    is_inert(page);
    const StrictMarkup read(page);
    const std::string text = read.read();
    const auto at = [&text](const std::string& part) {
      INFO(part);
      const auto found = text.find(part);
      CHECK(found != std::string::npos);
      return found;
    };
    const auto verdict = at("OUTSIDE (provisional)");
    const auto corner = at("The corner is over 90° by 0.17 ± ");
    const auto advice = at("3 layers of foil tape on the FAR rail dog (E10), right face");
    CHECK(verdict < corner);
    CHECK(corner < advice);
    CHECK(advice < at("Uncertainty budget"));
    for (const char* part :
         {"How sure", "To look at", "All readings", "22.74  22.73  22.75", "Events", "knocked: by the van",
          "Care", "its maker's manual", "certifies nothing", "Method", "(M13)", "Where this comes from",
          "11111111-2222-4333-8444-555555555555", "2026-03-15 by quarterturn"})
      at(part);
    at(files::sha256(shown.readings));
    CHECK(read.named("svg").size() == 3);
    CHECK(read.named("h1").size() == 1);
    CHECK(read.named("main").size() == 1);
    CHECK(read.elements()[0].attributes.at("lang") == "en");
  }

  TEST_CASE("ids of a page stand once, and each drawing's title and description are there") {
    const auto shown = shown_of(test::station_request());
    const StrictMarkup read(report::check_page({shown, shown}, "2026-03-15"));
    std::set<std::string> ids;
    for (const auto& element : read.elements()) {
      const auto id = element.attributes.find("id");
      if (id != element.attributes.end()) CHECK_MESSAGE(ids.insert(id->second).second, id->second);
    }
    CHECK(read.named("svg").size() == 6);
    for (const auto* svg : read.named("svg")) {
      std::istringstream names(svg->attributes.at("aria-labelledby"));
      for (std::string name; names >> name;) CHECK(ids.count(name) == 1);
    }
  }

  TEST_CASE("names, notes and readings that are hostile are shown as they are") {
    const std::string script = "<script>alert('1')</script>";
    const std::string marks = "\u202Eevil\u2069 \x1b[31m & \"quoted\" 'so'";
    auto request = test::station_request();
    auto& station = *request.station;
    station.name = script;
    auto setup = station.setups.at("crosscut");
    station.setups.clear();
    setup.name = marks;
    station.setups[marks] = setup;
    station.shims[0].name = "<b>tape</b>";
    request.check.by = marks;
    request.check.note = script;
    request.check.blade = "</dd></dl><img src=x onerror=alert(2)>";
    request.check.rail = "&amp;<i>";
    request.check.strips[0].spots[0].readings[0].as_typed = "22.74<u>";
    request.check.strips[0].spots[0].readings[0].note = script;
    auto shown = shown_of(request);
    shown.name = script + "/1";
    shown.lines.events = {script, marks};
    shown.lines.kept = {script};
    shown.lines.withdrawn = script;
    const std::string page = report::check_page({shown}, "2026-03-15");
    const StrictMarkup read(page);
    CHECK(read.named("script").empty());
    CHECK(read.named("img").empty());
    CHECK(read.named("b").empty());
    CHECK(read.named("u").empty());
    for (const char* never : {"\x1b", "\u202E", "\u2069", "<script", "onerror=\""})
      CHECK(!holds(page, never));
    CHECK(holds(read.read(), script));
    CHECK(holds(read.read(), "22.74<u>"));
    CHECK(holds(read.read(), "& \"quoted\" 'so'"));
    CHECK(holds(read.read(), "<b>tape</b>"));
  }

  TEST_CASE("a withdrawn check says so before anything else") {
    auto shown = shown_of(test::station_request());
    shown.lines.withdrawn = "another panel";
    const std::string text = StrictMarkup(report::check_page({shown}, "2026-03-15")).read();
    CHECK(text.find("WITHDRAWN") < text.find("OUTSIDE"));
    CHECK(holds(text, "another panel"));
  }

  TEST_CASE("what is said of the method cites equations that stand in METHOD.md") {
    const std::string method = file(QUARTERTURN_ROOT "/src/METHOD.md");
    std::string all = report::record_method_text();
    check::Check check;
    for (const auto& row : check::test_rows()) {
      check.test = row.kind;
      for (const auto& form : check::form_rows()) {
        check.form = form.form;
        const std::string text = report::check_method_text(check);
        CHECK(text.size() < 2400);  // half a page
        all += text;
      }
    }
    static const std::regex cited(R"(\((M\d+)\))");
    std::set<std::string> numbers;
    for (std::sregex_iterator it(all.begin(), all.end(), cited), end; it != end; ++it)
      numbers.insert((*it)[1]);
    CHECK(numbers.size() > 30);
    for (const auto& number : numbers) CHECK_MESSAGE(holds(method, "**(" + number + ")"), number);
  }

  TEST_CASE("a check that others followed says so before its advice") {
    auto shown = shown_of(test::station_request());
    shown.record.emplace();
    for (const char* id : {"11111111-2222-4333-8444-555555555555", "later"}) {
      shown.record->entries.emplace_back();
      shown.record->entry_names.push_back({"dock/2", "2026-04-01"}, id);
    }
    const auto read = [&] { return StrictMarkup(report::check_page({shown}, "2026-05-15")).read(); };
    const std::string text = read();
    const auto at = text.find("A check of this setup came after it: dock/2, 2026-04-01");
    CHECK(at < text.find("Do this: 3 layers"));
    shown.record->entries.pop_back();
    shown.record->entry_names.pop_back();
    CHECK(!holds(read(), "came after it"));
  }

  TEST_CASE("amounts stay on one line; a date and its time read as people write them") {
    CHECK(report::unbroken("by 0.18 ± 0.06 mm over 600 mm, 95 % of 3 mmm") ==
          "by 0.18\u00A0±\u00A00.06\u00A0mm over 600\u00A0mm, 95\u00A0% of 3 mmm");
    CHECK(report::when_words("2026-03-14T10:20:05Z") == "2026-03-14 10:20 UTC");
    CHECK(report::when_words("2026-03-14T10:20+00:00") == "2026-03-14 10:20 UTC");
    CHECK(report::when_words("2026-03-14T10:20:00-03:30") == "2026-03-14 10:20 UTC-03:30");
    CHECK(report::when_words("2026-03-14") == "2026-03-14");
  }

  TEST_CASE("readings: a column a place where strips share them, a row a place where they do not") {
    auto request = test::station_request();
    auto shown = shown_of(request);
    const auto heads = [&] {
      std::string all;
      const StrictMarkup read(report::check_page({shown}, "2026-03-15"));
      for (const auto* th : read.named("th")) all += th->text + ";";
      return all;
    };
    CHECK(holds(heads(), "strip;at "));
    CHECK(!holds(heads(), "place;widths;"));
    auto other = shown.outcome.check.strips.front();
    other.spots.front().position_mm += 5;
    shown.outcome.check.strips.push_back(other);
    CHECK(holds(heads(), "strip;place;widths;"));
  }

  TEST_CASE("without a tolerance, a station or seating the page says what is missing and stands") {
    auto bare = test::ends_request();
    bare.tolerance.reset();
    const std::string page = report::check_page({shown_of(bare)}, "2026-03-15");
    is_inert(page);
    CHECK(StrictMarkup(page).named("svg").size() == 2);
    auto unknown = test::station_request();
    unknown.use_assumed = false;
    const auto read = StrictMarkup(report::check_page({shown_of(unknown)}, "2026-03-15")).read();
    CHECK(holds(read, "the whole ± cannot be told"));
  }
}
