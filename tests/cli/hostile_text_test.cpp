// SPDX-License-Identifier: MIT
/// Text that wants to be more than text: every way in against every way out. A way in either refuses it with
/// a fault that is dead on the screen, or keeps it; then no way out brings it to life.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "files/csv.hpp"
#include "support/add_dock.hpp"
#include "support/inert_text.hpp"
#include "support/run_program.hpp"
#include "support/sanitized.hpp"
#include "support/strict_markup.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::holds;
using test::Home;
using test::run_program;

namespace {

constexpr int kEach = test::kSanitized ? 11 : 1;  // of which one is followed to every way out

struct Hostile {
  const char* name;
  std::string text;
};

const std::vector<Hostile>& hostile() {
  static const std::vector<Hostile> all{
      {"html", "<script>alert(1)</script><img src=x onerror=alert(2)>"},
      {"svg", "]]></text></svg><svg onload=\"alert(3)\"/>&lt;&#60;"},
      {"attribute", "\" onmouseover=\"alert(4)\" x='"},
      {"formula", "=HYPERLINK(\"http://x.invalid\";\"see\")"},
      {"formula plus", "+1+cmd|' /C calc'!A0"},
      {"formula minus", "-2+3"},
      {"formula at", "@SUM(A1:A9)"},
      {"sql", "'); DROP TABLE checks; --"},
      {"escape", "\x1b[2J\x1b]0;title\x07red\x1b[31m"},
      {"c1",
       "before\xc2\x9b"
       "31mafter"},
      {"bidi", "tall\u202Egnihton\u202C\u2066x\u2069"},
      {"invisible", "ta\u200Bll\uFEFF\u2060"},
      {"tag", "ta\U000E0041ll"},
      {"invalid", std::string("caf\xe9 \xf0\x9f \xc0\xaf")},
      {"format", "%s%n{0}{}\\n\\u001b"},
      {"long", std::string(40'000, 'a')},
  };
  return all;
}

std::string json_text(const std::string& text) {
  return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

const std::string kRows =
    "panel,from_cut,to_cut,position,width\n1,1,5,0,22.74 22.73 22.75\n1,1,5,525,22.14 22.13 22.15\n";

std::string readings_with(const std::string& key, const std::string& text) {
  return "# station: dock\n# " + key + ": " + text + "\n# caliper: digital\n" + kRows;
}

/// Each way in puts the text somewhere. \returns what it said
struct WayIn {
  const char* name;
  test::Ran (*put)(const Home& home, const std::string& text);
};

test::Ran save(const Home& home, const std::string& content) {
  return run_program(home, {"check", home.write("in.csv", content), "--save"});
}

std::string station_with(const char* path, const std::string& text) {
  auto json = nlohmann::json::parse(files::write_station(test::dock()));
  const std::string where = path;
  const std::string kept = text;
  if (where == "name") json["name"] = "@@";
  if (where == "shim") json["shims"][0]["name"] = "@@";
  if (where == "caliper") json["calipers"][0]["name"] = "@@";
  if (where == "setup") {
    json["setups"]["@@"] = json["setups"]["crosscut"];
    json["setups"].erase("crosscut");
  }
  if (where == "dog") {
    json["dogs"]["@@"] = json["dogs"]["tall-1"];
    json["dogs"].erase("tall-1");
    json["setups"]["crosscut"]["rail"]["near"]["dog"] = "@@";
  }
  std::string content = json.dump();
  // As bytes: the file itself may be no UTF-8.
  const std::string quoted = json_text(text), plain = holds(quoted, "\uFFFD") ? "\"" + text + "\"" : quoted;
  for (auto at = content.find("\"@@\""); at != std::string::npos;
       at = content.find("\"@@\"", at + plain.size()))
    content.replace(at, 4, plain);
  return content;
}

test::Ran add_station(const Home& home, const char* path, const std::string& text) {
  // In place of the station that is there already.
  std::filesystem::remove(home.path() + "/quarterturn/log.db");
  auto ran = run_program(home, {"station", "add", home.write("hostile.json", station_with(path, text))});
  if (ran.status != 0) test::add_dock(home);
  save(home, "# station: dock\n# caliper: digital\n" + kRows);
  return ran;
}

/// A log of the same station with the text in a field of the exchange file.
test::Ran import_with(const Home& home, const std::string& text) {
  save(home, readings_with("note", "plain"));
  run_program(home, {"log", "note", "dock/1", "@@"});
  run_program(home, {"log", "event", "dock", "knocked", "--note", "@@", "--by", "@@", "--target", "@@"});
  std::string content = run_program(home, {"log", "export"}).out;
  for (auto at = content.find("\"@@\""); at != std::string::npos; at = content.find("\"@@\"", at + 1))
    content.replace(at, 4, json_text(text));
  for (const char* name : {"/quarterturn/log.db"}) std::filesystem::remove(home.path() + name);
  return run_program(home, {"log", "import", home.write("exchange.json", content)});
}

void check_screen(const test::Ran& ran) {
  CHECK(test::alive_in(ran.out) == "");
  CHECK(test::alive_in(ran.err) == "");
  CHECK(ran.out.size() + ran.err.size() < 300'000);
  CHECK(ran.status != 70);
}

const std::vector<WayIn>& ways_in() {
  static const std::vector<WayIn> all{
      {"station name", [](const Home& h, const std::string& t) { return add_station(h, "name", t); }},
      {"setup name", [](const Home& h, const std::string& t) { return add_station(h, "setup", t); }},
      {"dog name", [](const Home& h, const std::string& t) { return add_station(h, "dog", t); }},
      {"shim name", [](const Home& h, const std::string& t) { return add_station(h, "shim", t); }},
      {"caliper name", [](const Home& h, const std::string& t) { return add_station(h, "caliper", t); }},
      {"note of readings",
       [](const Home& h, const std::string& t) { return save(h, readings_with("note", t)); }},
      {"by of readings", [](const Home& h, const std::string& t) { return save(h, readings_with("by", t)); }},
      {"blade of readings",
       [](const Home& h, const std::string& t) { return save(h, readings_with("blade", t)); }},
      {"rail of readings",
       [](const Home& h, const std::string& t) { return save(h, readings_with("rail", t)); }},
      {"caliper-id",
       [](const Home& h, const std::string& t) { return save(h, readings_with("caliper-id", t)); }},
      {"event and note",
       [](const Home& h, const std::string& t) {
         save(h, readings_with("note", "plain"));
         run_program(h, {"log", "note", "dock/1", t, "--by", t});
         return run_program(h, {"log", "event", "dock", "moved", "--note", t, "--by", t, "--target", t});
       }},
      {"events file",
       [](const Home& h, const std::string& t) {
         save(h, readings_with("note", "plain"));
         return run_program(
             h, {"log", "import",
                 h.write("events.csv", "station,setup,date,event,note\ndock,,2026-03-01,knocked," +
                                           files::quoted(t) + "\n")});
       }},
      {"old result",
       [](const Home& h, const std::string& t) {
         save(h, readings_with("note", "plain"));
         return run_program(h, {"log", "add-summary", "dock", "--date", "2025-05-01", "--error", "0.2",
                                "--over", "600", "--already-divided", "yes", "--by", t, "--source", t});
       }},
      {"exchange document", import_with},
      {"observation file",
       [](const Home& h, const std::string& t) {
         const auto file =
             h.write("survey.csv", "# station: dock\n# caliper: digital\n# by: " + t + "\n# note: " + t +
                                       "\nkind,from,to,via,side,dog_from,dog_to,value,uncertainty,note\n"
                                       "distance,E2,E10,,centre,,,768.1,0.02," +
                                       files::quoted(t) + "\ndistance,A9,D9,,centre,,,288.1,0.02,\n");
         check_screen(run_program(h, {"survey", file, "--json"}));
         return run_program(h, {"survey", file});
       }},
      {"prompt",
       [](const Home& h, const std::string& t) {
         const std::string line = t.substr(0, 9000);
         return run_program(h, {},
                            line + "\ncheck\n" + line + "\n600 600\n22.74\n22.73 22.75\nnote 1 " + line +
                                "\n22.14 22.13 22.15\n\n525\nyes\nlog note dock/1 \"" + line + "\"\nquit\n");
       }},
      {"plan",
       [](const Home& h, const std::string& t) {
         for (const char* option : {"--station", "--setup", "--panel", "--tolerance", "--caliper", "--spots",
                                    "--seating", "--settle"})
           check_screen(run_program(h, {"plan", "--station", "dock", option, t}));
         save(h, readings_with("note", t));
         return run_program(h, {"plan", "--settle", h.path() + "/in.csv"});
       }},
      {"file name",
       [](const Home& h, const std::string& t) {
         std::string name = t.substr(0, 200);  // a system takes no longer one, and no stroke in it
         std::ranges::replace(name, '/', '|');
         const std::string file = h.path() + "/" + name;
         std::filesystem::create_directories(file + ".folder");
         for (const std::string& there : {file + ".none", file + ".folder"})
           for (const char* word : {"check", "correct", "survey"})
             check_screen(run_program(h, {word, there}));
         std::ofstream(file + ".bad") << readings_with("note", t) << "1,1,5,x,y\n";
         std::ofstream(file) << readings_with("note", "plain");
         for (const char* word : {"check", "survey"}) check_screen(run_program(h, {word, file + ".bad"}));
         check_screen(run_program(h, {"log", "import", file + ".bad"}));
         check_screen(run_program(h, {"station", "add", file}));
         check_screen(run_program(h, {"log", "list", "--log", file}));
         return run_program(h, {"check", file, "--save"});
       }},
  };
  return all;
}

/// The first cell that a spreadsheet would take for a formula and that is no number; empty: none.
std::string formula_in(const std::string& text) {
  if (text.empty()) return {};
  const auto table = files::read_table(files::text_of(text, "export.csv"));
  for (const auto& row : table.rows)
    for (const auto& cell : row.cells) {
      if (cell.text.empty() || std::string("=+-@\t\r").find(cell.text[0]) == std::string::npos) continue;
      char* end = nullptr;
      (void)std::strtod(cell.text.c_str(), &end);
      if (*end != '\0') return cell.text;
    }
  return {};
}

/// What acts in a page, or why it is not well-formed; empty: nothing.
std::string acting_in(const std::string& text) {
  std::string_view body = text;
  if (body.starts_with("<!DOCTYPE html>")) body.remove_prefix(15);
  if (body.starts_with("<?xml")) body.remove_prefix(body.find("?>") + 2);
  if (const auto alive = test::alive_in(text); !alive.empty()) return alive;
  try {
    const test::StrictMarkup page(body);
    for (const auto& element : page.elements()) {
      for (const char* acts :
           {"script", "img", "iframe", "object", "embed", "link", "foreignObject", "animate"})
        if (element.name == acts) return element.name;
      for (const auto& [name, value] : element.attributes)
        if (name.starts_with("on") || holds(value, "javascript:")) return name;
    }
  } catch (const std::runtime_error& wrong) {
    return wrong.what();
  }
  return {};
}

void check_ways_out(const Home& home, const std::string& station) {
  const std::string check = station + "/1";
  for (const std::vector<std::string>& words :
       std::vector<std::vector<std::string>>{{"station", "list"},
                                             {"station", "show", station},
                                             {"log", "list"},
                                             {"log", "show", check},
                                             {"log", "verify"},
                                             {"history", station},
                                             {"find", station},
                                             {"shims"},
                                             {"caliper"},
                                             {"check", home.path() + "/in.csv"},
                                             {"correct", home.path() + "/in.csv"}}) {
    INFO(words[0] << " " << (words.size() > 1 ? words[1].substr(0, 60) : ""));
    check_screen(run_program(home, words));
  }
  for (const std::vector<std::string>& words :
       std::vector<std::vector<std::string>>{{"log", "list", "--json"},
                                             {"log", "show", check, "--json"},
                                             {"log", "export"},
                                             {"history", station, "--json"}}) {
    const auto ran = run_program(home, words);
    if (ran.status == 0) CHECK(nlohmann::json::accept(ran.out));
    CHECK(test::alive_in(ran.err) == "");
  }
  for (const char* table : {"checks", "readings"})
    CHECK(formula_in(run_program(home, {"log", "export", "--csv", table}).out) == "");
  for (const std::vector<std::string>& words :
       std::vector<std::vector<std::string>>{{"report", check},
                                             {"report", station},
                                             {"report", "card", station},
                                             {"report", "client-sheet", check}}) {
    auto typed = words;
    const std::string page = home.path() + "/page.html";
    std::filesystem::remove(page);
    typed.insert(typed.end(), {"--output", page});
    check_screen(run_program(home, typed));
    std::ifstream in(page);
    if (in) CHECK(acting_in({std::istreambuf_iterator<char>(in), {}}) == "");
  }
}

}  // namespace

TEST_SUITE("hostile_text") {
  TEST_CASE("hostile text: what looks for it sees it") {
    CHECK(test::alive_in("a\u202Eb") == "U+202E at byte 1");
    CHECK(test::alive_in("a\x1b[2J") == "U+001B at byte 1");
    CHECK(test::alive_in("caf\xe9") == "byte 0xe9 at byte 3");
    CHECK(test::alive_in("caf\u00e9, 12 \u00b1 3 \u25b8\n") == "");
    CHECK(formula_in("a,b\n-2.5,=1+1\n") == "=1+1");
    CHECK(formula_in("a,b\n-2.5,'=1+1\n") == "");
    CHECK(acting_in("<p><script>x</script></p>") == "script");
    CHECK(acting_in("<p onload=\"x\">x</p>") == "onload");
    CHECK(acting_in("<p>a < b</p>") != "");
    CHECK(acting_in("<p>&lt;script&gt;</p>") == "");
  }

  TEST_CASE("hostile text: each way in against each way out") {
    int kept = 0, at = 0;
    for (const auto& way : ways_in()) {
      const int before = kept;
      for (const auto& one : hostile()) {
        INFO(way.name << ", " << one.name);
        const Home home;
        test::add_dock(home);
        const auto ran = way.put(home, one.text);
        check_screen(ran);
        kept += ran.status == 0;
        if (at++ % kEach == 0) check_ways_out(home, "dock");
      }
      // Names of stations are refused whatever is in them; elsewhere plain characters are text.
      const bool is_name = std::string(way.name) == "station name";
      INFO(way.name);
      CHECK(kept - before >= (is_name ? 0 : 10));
    }
    MESSAGE(kept << " of " << ways_in().size() * hostile().size() << " were kept");
  }

  TEST_CASE("hostile text: a megabyte is refused or shortened") {
    const Home home;
    test::add_dock(home);
    const std::string megabyte(1 << 20, 'm');
    for (const char* key : {"note", "by", "station"}) {
      const auto ran = save(home, "# " + std::string(key) + ": " + megabyte + "\n" + kRows);
      CHECK(ran.status == 3);
      CHECK(ran.err.size() < 3000);
    }
    const auto station =
        run_program(home, {"station", "add", home.write("m.json", station_with("name", megabyte))});
    CHECK(station.status == 3);
    CHECK(station.err.size() < 3000);
  }
}
