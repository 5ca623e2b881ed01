// SPDX-License-Identifier: MIT
// Events and old results are invented.
#include "files/event_rows.hpp"

#include <doctest/doctest.h>

#include "support/near.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using files::text_of;
using quarterturn::test::near;

namespace {

template <typename Parse>
std::string error_of(Parse parse, const std::string& content) {
  try {
    (void)parse(text_of(content, "t.csv"));
  } catch (const units::InputError& error) {
    return error.what();
  }
  return {};
}
bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

const std::string kEvents = "station,setup,date,event,note\n";
const std::string kSummaries =
    "station,setup,when,test,error,over,side,plus_minus,already_divided,by,source\n";

}  // namespace

TEST_SUITE("files") {
  TEST_CASE("a table of events") {
    const auto rows = files::parse_events(text_of(
        kEvents + "dock,crosscut,2026-10-20,knocked,by the fork lift\n,,2026-10-21T10:00Z,new blade,\n",
        "t.csv"));
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].station == "dock");
    CHECK(rows[0].record.setup == "crosscut");
    CHECK(rows[0].record.kind == "knocked");
    CHECK(rows[0].record.note == "by the fork lift");
    CHECK(rows[0].record.utc == 1792454400);  // date -u -d 2026-10-20 +%s
    CHECK(rows[1].station.empty());
    CHECK(rows[1].record.date == "2026-10-21T10:00Z");
    CHECK(error_of(files::parse_events, kEvents + "dock,,20.10.2026,knocked,\n").find("(t.csv:2:7)") !=
          std::string::npos);
    CHECK(error_of(files::parse_events, kEvents + "dock,,2026-10-20,knoked,\n") ==
          "event is 'knoked', but must be moved, knocked, wet, dog changed, dog turned, dogs reinserted, "
          "loosened, "
          "tightened, cleaned, shim on, shim off, re-bored, other rail, new blade, saw serviced, caliper "
          "compared, corrected, "
          "cause noted or other "
          "(t.csv:2:18). Hint: did you mean 'knocked'?");
    CHECK(holds(error_of(files::parse_events, "station,date\n"), "column event is missing"));
    CHECK(holds(error_of(files::parse_events, "station,dat,event\n"), "did you mean 'date'?"));
    CHECK(holds(error_of(files::parse_events, "date,date,event\n"), "must be given once (t.csv:1:6)"));
  }

  TEST_CASE("a table of old results: what is not divided yet is that of a strip, four corners") {
    const auto rows = files::parse_summaries(
        text_of(kSummaries + "dock,,2024-05-02,five-cut,0.20,500,over-90,0.04,no,Lea,old book\n"
                             "loft,,2024-06-01,,0.05 mm,600,,,yes,,\n",
                "t.csv"));
    REQUIRE(rows.size() == 2);
    CHECK(near(rows[0].record.error, 0.20 / 500 / 4, 1e-12, 0));
    CHECK(near(*rows[0].record.plus_minus, 0.04 / 500 / 4, 1e-12, 0));
    CHECK(rows[0].record.side == "over-90");
    CHECK(rows[0].record.source == "old book");
    CHECK(near(rows[1].record.error, 0.05 / 600, 1e-12, 0));
    CHECK(rows[1].record.side == "unknown");
    CHECK_FALSE(rows[1].record.plus_minus);
    const auto fault = [&](const std::string& row) {
      return error_of(files::parse_summaries, kSummaries + row + "\n");
    };
    CHECK(holds(fault("dock,,2024-05-02,five-cut,0.2,500,left,,no,,"),
                "side is 'left', but must be over-90, under-90 or unknown (t.csv:2:35)"));
    CHECK(holds(fault("dock,,2024-05-02,five-cut,0.2,500,,,perhaps,,"),
                "already_divided is 'perhaps', but must be yes or no"));
    CHECK(holds(fault("dock,,2024-05-02,six-cut,0.2,500,,,no,,"), "test is 'six-cut'"));
    CHECK(holds(fault("dock,,2024-05-02,,-0.2,500,,,no,,"), "error is '-0.2'"));
    CHECK(holds(fault("dock,,2024-05-02,,0.2,0,,,no,,"), "over is '0'"));
    CHECK(holds(fault("dock,,2024-05-02,,0.2,500,,0,no,,"), "plus_minus is '0'"));
  }

  TEST_CASE("which table it is, is told by its column row") {
    CHECK(files::table_kind(text_of(kEvents, "t")) == files::TableKind::events);
    CHECK(files::table_kind(text_of(kSummaries, "t")) == files::TableKind::summaries);
    CHECK(files::table_kind(text_of("# note: an event\npanel,from_cut,to_cut,position,width\n", "t")) ==
          files::TableKind::readings);
    CHECK(files::table_kind(text_of("strip 1-5\n", "t")) == files::TableKind::readings);
  }

  TEST_CASE("records of one day without a time stand where they were recorded; else at noon") {
    const std::string today = "2026-03-14T15:30:10.123Z";
    CHECK(files::order_utc("2026-03-14T10:20Z", 1773483600, today) == 1773483600);
    CHECK(files::order_utc("2026-03-14", 1773446400, today) == 1773446400 + 15 * 3600 + 30 * 60 + 10);
    CHECK(files::order_utc("2026-03-13", 1773360000, today) == 1773360000 + 43200);
  }

  TEST_CASE("an exchange file that is none is told by path, line and column") {
    const auto parse = [](const files::Text& text) { return files::parse_log(text); };
    CHECK(holds(error_of(parse, "{}"), "schema is missing, but must be given (t.csv:1:1). Hint: "));
    CHECK(holds(error_of(parse, "{\"schema\": \"quarterturn/log/9\"}"),
                "must be quarterturn/log/1 (t.csv:1:12)"));
    CHECK(holds(error_of(parse, "{\"schema\": \"quarterturn/log/1\"}"), "stations is missing"));
    std::string whole = files::write_log({});
    CHECK(error_of(parse, whole).empty());
    const std::string none = "\"checks\": []";
    whole.replace(whole.find(none), none.size(), "\"checks\": [{\"id\": 3}]");
    CHECK(holds(error_of(parse, whole), "checks[0].id is '3', but must be a text in double quotes"));
  }

  TEST_CASE("times of an exchange file are moments that sort as text, and seconds are those of the date") {
    files::LogDocument log;
    const std::string at = "2026-03-14T15:30:10.123Z";
    log.notes = {{"id", "about", at, "cold day", ""}};
    log.summaries = {{}};
    log.summaries[0].recorded = at;
    log.summaries[0].date = "2026-03-14";
    log.summaries[0].utc = 1773446400;
    log.summaries[0].side = "unknown";
    log.check_versions = {{}};
    auto& version = log.check_versions[0];
    version.recorded = at;
    version.date = "2026-03-14T10:20Z";
    version.utc = 1773483600;
    version.result.dof = 12;
    version.result.tolerance = 3e-4;
    log.moves = {{"event", "check", "foil", "", 1e-4, 2e-5, 0, 4e-10}};
    const std::string whole = files::write_log(log);
    const auto with = [&](const std::string& is, const std::string& put) {
      std::string text = whole;
      text.replace(text.find(is), is.size(), put);
      return error_of([](const files::Text& read) { return files::parse_log(read); }, text);
    };
    CHECK(with(at, at).empty());
    for (const char* recorded :
         {"", "zzz", "2026-03-1\u00eb15:30:10.123Z", "2026-03-14T15:30:10Z", "2026-02-30T15:30:10.123Z",
          "2026-03-14T15:30:10.123Zz", "2026-3-14T15:30:10.1230Z", "+026-03-14T15:30:10.123Z"})
      CHECK(holds(with(at, recorded), "recorded is "));
    CHECK(holds(with("2026-03-14\"", "14 March\""), "summaries[0].date is '14 March', but must be"));
    CHECK(holds(with("1773446400", "1773446401"), "summaries[0].utc is '1773446401', but must be"));
    const std::string result = "check_versions[0].result.";
    CHECK(holds(with("\"confidence\": 0.95", "\"confidence\": 1.95"),
                result + "confidence is '1.95', but must be a share"));
    CHECK(holds(with("\"eta_rad\": 0.0", "\"eta_rad\": 1e300"), result + "eta_rad is '1e+300', but must be"));
    CHECK(holds(with("\"u_rad\": 0.0", "\"u_rad\": -1e-9"), result + "u_rad is '-1e-09', but must be"));
    CHECK(holds(with("\"half_width_rad\": 0.0", "\"half_width_rad\": -1"),
                result + "half_width_rad is '-1', but must be"));
    CHECK(holds(with("\"dof\": 12.0", "\"dof\": 0"), result + "dof is '0', but must be"));
    CHECK(holds(with("\"tolerance_rad\": 0.0003", "\"tolerance_rad\": 0"),
                result + "tolerance_rad is '0', but must be"));
    CHECK(holds(with("\"verdict\": \"\"", "\"verdict\": \"=1\""), result + "verdict is '=1', but must be"));
    CHECK(holds(with("\"v_rad2\": 4e-10", "\"v_rad2\": -4e-10"), "moves[0].v_rad2 is '-4e-10', but must be"));
    CHECK(holds(with("\"side\": \"unknown\"", "\"side\": \"left\""),
                "summaries[0].side is 'left', but must be"));
  }
}
