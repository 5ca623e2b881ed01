// SPDX-License-Identifier: MIT
/// A survey measured at the prompt, as somebody at the bench answers it; and the list that `--plan` writes.
/// The tables are invented.
#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>

#include "files/observation_file.hpp"
#include "support/near.hpp"
#include "support/run_program.hpp"
#include "support/talk.hpp"

using namespace quarterturn;
using test::count_of;
using test::flat;
using test::holds;
using test::Home;
using test::Ran;
using test::run_program;

namespace {

const std::string kDock = QUARTERTURN_ROOT "/examples/stations/dock.json";

std::string path_in(const Home& home) {
  return home.path() + "/holes.csv";
}

/// Begins a survey of so many distances in the home's folder: no diagonals, for the whole table, by a stick.
std::string begun(const Home& home, const std::string& distances = "12") {
  return "survey\n" + path_in(home) + "\nlow-1 low-2\n150\nno\ntable\nstick\n" + distances + "\n";
}

Ran talk(const Home& home, const std::string& lines, const std::vector<std::string>& options = {},
         const std::string& locale = "C.UTF-8") {
  run_program(home, {"station", "add", kDock});
  auto ran = run_program(home, options, lines, "", locale);
  CHECK(ran.status == 0);
  CHECK(ran.err.empty());
  return ran;
}

files::ObservationFile file_in(const Home& home) {
  return files::parse_observations(files::read_text(path_in(home)));
}

std::string lines(int count, const std::string& line) {
  std::string all;
  for (int i = 0; i < count; ++i) all += line + "\n";
  return all;
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("a survey at the prompt: each reading is in the file before the next question") {
    const Home home;
    const auto ran = talk(home, begun(home) + "116.03\n115.95 115.97\n");  // and the end of input
    CHECK(holds(flat(ran.out), "12 distances and 3 comparisons, about 21 min."));
    CHECK(holds(flat(ran.out), "alone leave open whether the table is square."));
    CHECK(holds(ran.out, "1 of 15. From "));
    CHECK(holds(ran.out, "mean of 2"));
    CHECK(holds(flat(ran.out), "holes.csv: 2 measured, 13 to go. To go on: 'survey' at the prompt"));
    const auto file = file_in(home);
    REQUIRE(file.rows.size() == 2);
    CHECK(file.unmeasured.size() == 13);
    CHECK(file.rows[0].observation.value == 116.03);
    CHECK(file.rows[1].observation.value == 115.96);
    CHECK(file.station == "dock");
    CHECK(file.caliper.has_value());
    // on another day: no question but the file's name, and nothing is asked twice
    const auto again = talk(home, "survey\n" + path_in(home) + "\n116.01\nlater\n");
    CHECK(holds(flat(again.out), "Goes on with " + path_in(home) + ": 2 measured, 13 to go."));
    CHECK(holds(again.out, "3 of 15. From "));
    CHECK(!holds(again.out, "the two dogs you carry"));
    CHECK(file_in(home).rows.size() == 3);
    // as `survey FILE` reads it
    const auto read = run_program(home, {"survey", path_in(home)});
    CHECK(read.status == 0);
    CHECK(holds(flat(read.out), "- 3 distances, "));
    CHECK(holds(flat(read.out), "12 rows are not measured: their value is blank."));
  }

  TEST_CASE("a survey to its end: done shows what survey FILE shows") {
    const Home home;
    const auto ran = talk(home, begun(home, "20") + lines(20, "116.02") + "0.1\n-0.2\n0.05\n\n");
    CHECK(holds(ran.out, "All that was planned is measured."));
    const std::string result = run_program(home, {"survey", path_in(home)}).out;
    CHECK(holds(ran.out, result));
    CHECK(holds(result, "3 comparisons"));
    CHECK(file_in(home).unmeasured.empty());
    CHECK(file_in(home).rows[21].observation.value == -0.2);
  }

  TEST_CASE("wrong answers are refused in words, and nothing of them is kept") {
    const Home home;
    const auto ran = talk(home, begun(home) + "15.93\nabc\n\n-116\n116.0 abc\nredo\nredo 4\ncheck\nlater\n");
    CHECK(holds(flat(ran.out), "within 5.00 mm of 116.00 mm, as the grid makes it"));
    CHECK(count_of(ran.out, "'abc'") >= 2);
    CHECK(holds(flat(ran.out), "skip leaves it out"));
    CHECK(holds(ran.out, "nothing is measured yet"));
    CHECK(holds(flat(ran.out), "'check' has to wait"));
    CHECK(holds(ran.out, ": 0 measured, 15 to go"));
    CHECK(file_in(home).rows.empty());
    const auto nothing = run_program(home, {"survey", path_in(home)});
    CHECK(nothing.status == 3);
    CHECK(holds(nothing.err, "each row waits for its value"));
  }

  TEST_CASE("a reading that does not fit the others is told by how much, and read again or kept") {
    const Home home;
    const std::string some = begun(home, "30") + lines(14, "116.02");
    const auto again = talk(home, some + "117.40\n116.05\nlater\n");
    CHECK(holds(flat(again.out), "mm more than the others make it (± "));
    CHECK(file_in(home).rows.size() == 15);
    CHECK(file_in(home).rows.back().observation.value == 116.05);
    CHECK(file_in(home).rows.back().note.empty());
    const auto kept = talk(home, "survey\n" + path_in(home) + "\n114.9\nkeep\n118.9\nredo\nlater\n");
    CHECK(holds(kept.out, "Not taken."));
    CHECK(file_in(home).rows.size() == 16);
    CHECK(file_in(home).rows.back().observation.value == 114.9);
    CHECK(holds(file_in(home).rows.back().note, "doubted, kept: "));
    CHECK(holds(file_in(home).rows.back().note, "less than the others make it"));
    const auto apart = talk(home, "survey\n" + path_in(home) + "\n116.02 116.31\n116.03\nlater\n");
    CHECK(holds(flat(apart.out), "these readings differ by 0.29 mm"));
    CHECK(file_in(home).rows.size() == 17);
    const auto twice = talk(home, "survey\n" + path_in(home) + "\n117.60\n119.02\n117.55\n117.58\nlater\n");
    CHECK(count_of(flat(twice.out), "than the others make it (") == 3);
    CHECK(holds(flat(twice.out), "The same again: taken."));
    CHECK(file_in(home).rows.size() == 18);
    CHECK(file_in(home).rows.back().observation.value == 117.58);
    CHECK(holds(file_in(home).rows.back().note, "doubted, read twice: "));
  }

  TEST_CASE("skip, undo and redo") {
    const Home home;
    auto ran = talk(home, begun(home) + "116.01\n116.02\nundo\nundo\nundo\n116.03\nskip\n116.04\nlater\n");
    CHECK(count_of(ran.out, " taken back.") == 2);
    CHECK(count_of(ran.out, "1 of 15. ") == 2);
    CHECK(holds(flat(ran.out), "is left out. 'undo' takes that back."));
    auto file = file_in(home);
    REQUIRE(file.rows.size() == 2);
    CHECK(file.rows[0].observation.value == 116.03);
    CHECK(file.unmeasured.size() == 13);
    CHECK(std::count_if(file.unmeasured.begin(), file.unmeasured.end(),
                        [](const auto& row) { return row.note.starts_with(files::kSkipped); }) == 1);
    // what was skipped is not asked for on another day
    const auto& o = file.rows[0].observation;
    ran = talk(home, "survey\n" + path_in(home) + "\nredo 2\nundo\nredo " + o.to.name() + " " +
                         o.from.name() + "\n115.99\nredo A1 K9\nredo 3\nlater\n");
    CHECK(holds(ran.out, "Goes on with"));
    CHECK(holds(ran.out, "3 of 14. "));
    CHECK(holds(ran.out, "It stays as it was."));
    CHECK(holds(ran.out, "A1 K9 is not measured yet"));
    file = file_in(home);
    CHECK(file.rows.size() == 2);
    CHECK(file.rows[0].observation.value == 115.99);
    CHECK(file.rows[1].observation.value == 116.04);
  }

  TEST_CASE("a hole that is not to be had is left out of all that is asked for") {
    const Home home;
    const auto begins = talk(home, begun(home, "40") + "skip Z9\nskip here\nlater\n");
    CHECK(holds(flat(begins.out), "nothing is asked for at Z9"));
    const auto before = file_in(home).unmeasured;
    const station::Hole hole = before[5].observation.to;
    const auto touching = std::count_if(before.begin(), before.end(), [&](const auto& row) {
      const auto holes = row.observation.holes();
      return std::find(holes.begin(), holes.end(), hole) != holes.end();
    });
    REQUIRE(touching >= 1);
    talk(home, "survey\n" + path_in(home) + "\nskip " + hole.name() + "\nlater\n");
    const auto after = file_in(home).unmeasured;
    CHECK(after.size() == before.size());
    CHECK(std::count_if(after.begin(), after.end(),
                        [](const auto& row) { return row.note.starts_with(files::kSkipped); }) == touching);
    for (const auto& row : after) {
      const auto holes = row.observation.holes();
      CHECK((std::find(holes.begin(), holes.end(), hole) != holes.end()) ==
            row.note.starts_with(files::kSkipped));
    }
  }

  TEST_CASE("other: what the person chooses is measured besides") {
    const Home home;
    const auto ran = talk(home, begun(home) +
                                    "other\ndistance\nC3 E3\nover\n212.03\n"
                                    "other\ncompare\nB1 I8\nI1 B8\n-0.35\n"
                                    "other\noffset\nB1 I1\nE1\nright\n0.05\n"
                                    "other\ndistance\nA1 Z9\nundo\n"
                                    "other\ncheck\ndock/4\nundo\nso far\nlater\n");
    CHECK(holds(ran.out, "a hole of the grid that was drilled"));
    CHECK(holds(ran.out, "Left; the file is as it was."));
    CHECK(holds(flat(ran.out), "must be one that is in the log"));  // check in the log
    const auto file = file_in(home);
    REQUIRE(file.rows.size() == 3);
    CHECK(file.rows[0].observation.kind == survey::Kind::distance);
    CHECK(file.rows[0].observation.value == 212.03);
    CHECK(file.rows[1].observation.kind == survey::Kind::compare);
    CHECK(file.rows[1].observation.value == -0.35);
    CHECK(file.rows[2].observation.kind == survey::Kind::offset);
    CHECK(file.rows[2].observation.side == station::Side::right);
    CHECK(file.unmeasured.size() == 15);
    CHECK(holds(ran.out, run_program(home, {"survey", path_in(home)}).out));  // so far
  }

  TEST_CASE("a check of the log answers the check that was proposed") {
    const Home home;
    run_program(home, {"station", "add", kDock});
    const auto saved = run_program(
        home, {"check", QUARTERTURN_ROOT "/examples/readings/dock-long.csv", "--station", "dock", "--save"});
    REQUIRE(saved.status == 0);
    const auto ran = talk(
        home, "survey\n" + path_in(home) + "\n\n\nno\ntable\nchecks\n1\n116.02\ndock/9\ndock/1\nlater\n");
    CHECK(holds(flat(ran.out), "A check of crosscut: made with cuts and kept"));
    CHECK(holds(ran.out, "dock/9"));
    CHECK(holds(ran.out, "2: check dock/1"));
    const auto file = file_in(home);
    REQUIRE(file.rows.size() == 2);
    CHECK(file.rows[1].check == "dock/1");
    CHECK(file.unmeasured.size() == 2);  // with dogs exchanged
    const auto twice = talk(home, "survey\n" + path_in(home) + "\ndock/1\nlater\n");
    CHECK(holds(twice.out, "named once"));
    CHECK(holds(flat(run_program(home, {"survey", path_in(home)}).out), "1 check (1 from the log)"));
  }

  TEST_CASE("the drawing: where the dogs go, on 40 columns, in ASCII, in words") {
    const Home home;
    const std::string all = begun(home) + "116.02\n116.03\nlater\n";
    const auto drawn = talk(home, all);
    CHECK(holds(drawn.out, "From above, you stand at the bottom."));
    CHECK(holds(drawn.out, " 3 2   .   .   .   .   .   .   .   .\n   ║\n 2 1   ."));
    CHECK(holds(drawn.out, "Leave low-"));
    std::filesystem::remove(path_in(home));
    const auto ascii = talk(home, all, {}, "C");
    CHECK(std::all_of(ascii.out.begin(), ascii.out.end(),
                      [](char c) { return static_cast<unsigned char>(c) < 128; }));
    CHECK(holds(ascii.out, " 3 2   .   .   .   .   .   .   .   .\n   |\n 2 1   ."));
    std::filesystem::remove(path_in(home));
    const auto plain = talk(home, all, {"--plain"});
    CHECK(!holds(plain.out, "║"));
    CHECK(!holds(plain.out, "From above"));
    CHECK(holds(plain.out, "the next hole "));
  }

  TEST_CASE("a file that is something else is left alone, and another station's") {
    const Home home;
    const std::string readings = "panel,from_cut,to_cut,position,width\n1,1,5,15,14.83\n";
    home.write("other.csv", readings);
    home.write("loft.csv",
               "# station: loft\nkind,from,to,side,value,uncertainty\ndistance,A1,B1,centre,96.02,0.03\n");
    const auto ran = talk(home, "survey\n" + home.path() + "/other.csv\n" + home.path() + "/loft.csv\n" +
                                    home.path() + "\n/nonexistent/holes.csv\n\n\nno\n\n\n3\nundo\nlater\n");
    CHECK(holds(ran.out, "column is 'panel'"));
    CHECK(holds(ran.out, "'dock', the one in use"));
    CHECK(holds(ran.out, "is 'a directory'"));
    CHECK(holds(ran.out, "/nonexistent/holes.csv"));
    CHECK(files::read_text(home.path() + "/other.csv").content == readings);
  }

  TEST_CASE("a survey without planned rows is gone on with where it stands") {
    const Home home;
    home.write("holes.csv",
               "# station: dock\n# caliper: digital\nkind,from,to,side,dog_from,dog_to,value\n"
               "distance,B1,C1,outside,tall-1,tall-2,116.02\n");
    const auto ran = talk(home, "survey\n" + path_in(home) + "\n\n\nno\n\nnone\n200\nlater\n");
    CHECK(holds(ran.out, "the two dogs you carry [tall-1 tall-2]"));
    const auto file = file_in(home);
    CHECK(file.rows.size() == 1);
    CHECK(file.unmeasured.size() == 175);  // all 176 neighbours of 98 holes but the one that is measured
    CHECK(holds(ran.out, "It will not tell whether the table is square"));
  }

  TEST_CASE("survey --plan: a list to fill in, read back with and without values") {
    const Home home;
    const auto ran =
        run_program(home, {"survey", "--plan", "8", "--station", kDock, "--dogs", "tall-1 tall-2"});
    CHECK(ran.status == 0);
    CHECK(count_of(ran.out, "\ndistance,") == 8);
    CHECK(count_of(ran.out, "\ncompare,") == 3);
    const std::string path = home.write("list.csv", ran.out);
    const auto blank = run_program(home, {"survey", path, "--station", kDock});
    CHECK(blank.status == 3);
    CHECK(holds(blank.err, "value is missing"));
    std::string filled = ran.out;
    const std::string cells = "tall-1,tall-2,";
    const std::size_t at = filled.find(cells) + cells.size();
    filled.insert(at, "116.02");
    const auto read = run_program(home, {"survey", home.write("filled.csv", filled), "--station", kDock});
    CHECK(read.status == 0);
    CHECK(holds(flat(read.out), "10 rows are not measured"));
    const auto refused = [&](const std::vector<std::string>& more, int status, const std::string& words) {
      std::vector<std::string> all{"survey", "--station", kDock};
      all.insert(all.end(), more.begin(), more.end());
      const auto wrong = run_program(home, all);
      CHECK(wrong.status == status);
      CHECK(wrong.out.empty());
      INFO(wrong.err);
      CHECK(holds(wrong.err, words));
    };
    refused({"--plan", "0"}, 3, "--plan");
    refused({"--plan", "5", path}, 2, "without another FILE");
    refused({"--plan", "5", "--json"}, 2, "without --json");
    refused({"--plan", "5", "--reach", "100"}, 3, "two dogs in neighbouring holes");
    refused({"--plan", "5", "--reach", "5"}, 3, "--reach");
    refused({"--plan", "5", "--dogs", "tall-1"}, 2, "--dogs is 'tall-1'");
    refused({"--plan", "5", "--dogs", "tall-1 tall-9"}, 3, "tall-9");
    refused({"--plan", "5", "--closing", "string"}, 3, "stick");
    refused({path, "--reach", "150"}, 2, "--reach belongs to --plan N");
    const auto diagonals = run_program(home, {"survey", "--plan", "30", "--station", kDock, "--between"});
    CHECK(holds(diagonals.out, ",inside,"));
    const auto checks = run_program(
        home, {"survey", "--plan", "5", "--station", kDock, "--setup", "crosscut", "--closing", "checks"});
    CHECK(count_of(checks.out, "\ncorner,") == 3);
  }

  TEST_CASE("a survey at the prompt: a reading that is doubted is in the file before it is settled") {
    const Home home;
    run_program(home, {"station", "add", kDock});
    // Two readings of one length that differ; killed while it asks which counts.
    const auto killed = test::run_and_kill(home, {}, begun(home) + "116.03\n115.90 116.20\n", 11);
    CHECK(holds(flat(killed.out), "these readings differ by 0.30 mm"));
    REQUIRE(file_in(home).rows.size() == 2);
    CHECK(
        test::near(file_in(home).rows.back().observation.value, 116.05, 0, 1e-9));  // mm: the mean as written
    const std::string file = "survey\n" + path_in(home) + "\n";
    // Left again it stays, `skip` asks for it anew, a further reading takes its place.
    CHECK(holds(run_program(home, {}, file + "later\nquit\n").out, "Doubted when this was left:"));
    CHECK(file_in(home).rows.size() == 2);
    const auto kept = run_program(home, {}, file + "keep\nlater\nquit\n");
    CHECK(holds(flat(kept.out), "2: "));
    CHECK(file_in(home).rows.back().note == "doubted, kept: these readings differ by 0.30 mm");
    CHECK(!holds(run_program(home, {}, file + "later\nquit\n").out, "Doubted when"));
  }

  TEST_CASE("a survey at the prompt: a doubted reading that is not taken leaves nothing behind") {
    const Home home;
    const auto ran = talk(home, begun(home) + "116.03\n115.90 116.20\nskip\n115.96\nundo\nlater\nquit\n");
    CHECK(holds(ran.out, "Not taken."));
    CHECK(count_of(ran.out, "  2: ") == 1);
    CHECK(file_in(home).rows.size() == 1);
  }
}
