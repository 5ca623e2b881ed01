// SPDX-License-Identifier: MIT
// A log that is damaged is refused, or tells exactly what it told before: any byte changed, any part cut off.
// `tests/run.sh --deep damage` takes 10,000 bytes and every length. Stations and checks are invented.
#include <doctest/doctest.h>
#include <sqlite3.h>

#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>

#include "files/log_document.hpp"
#include "logbook/logbook.hpp"
#include "logbook/page_sums.hpp"
#include "logbook/schema.hpp"
#include "support/outcomes.hpp"
#include "support/temporary_folder.hpp"
#include "units/input_error.hpp"

using namespace quarterturn;
using logbook::Logbook;
using quarterturn::test::TemporaryFolder;

namespace {

/// Of each kind of record some.
void fill(const std::string& path) {
  Logbook log(path);
  log.save(test::dock());
  const std::string station = log.station_id("dock"), version = log.stations().front().latest.id;
  for (int i = 0; i < 12; ++i) {
    files::CheckVersion made;
    made.date = "2026-03-14";
    made.utc = 1773446400 + i;
    made.readings = "reading " + std::to_string(i) + std::string(static_cast<std::size_t>(400 * i), 'r');
    made.station_version = version;
    made.result.eta = 1e-4 * i;
    made.result.verdict = "within";
    const auto kept = log.keep(files::CheckRecord{{}, station, "crosscut", {}}, made);
    files::EventRecord event;
    event.station = station;
    event.kind = "knocked";
    event.date = "2026-03-15";
    event.utc = 1773532800;
    log.keep(event, files::MoveRecord{"", kept.made.id, "shim", "foil", 1e-4, {}, 2e-4, 1e-10});
    log.keep(files::NoteRecord{{}, kept.made.id, {}, "by the wall", "Lea"});
    if (i % 4 == 3) log.keep(files::WithdrawalRecord{{}, kept.made.id, {}, "another panel", ""});
  }
  files::SummaryRecord summary;
  summary.station = station;
  summary.date = "2024-05-02";
  summary.side = "over-90";
  log.keep(summary);
  files::DraftRecord draft;
  draft.holder = "here";
  draft = log.keep(draft);
  log.add_to_draft(draft.id, "here", {"How big is the panel", "600 600"});
}

/// All that it tells; `refused` where it says that it cannot.
std::string told(const std::string& path) {
  try {
    const Logbook log(path);
    std::string all = files::write_log(log.document());
    for (const auto& draft : log.drafts()) {
      all += draft.begun.id + draft.begun.holder;
      for (const auto& line : draft.lines) all += line.question + line.answer;
    }
    for (const auto& kept : log.checks()) all += std::to_string(kept.number) + kept.latest.id;
    return all;
  } catch (const files::FileTrouble&) {
    return "refused";
  } catch (const units::InputError&) {
    return "refused";
  }
}

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

void put(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

std::size_t count_wanted(const char* variable, std::size_t usual) {
  const char* wanted = std::getenv(variable);
  return wanted == nullptr ? usual : static_cast<std::size_t>(std::atoll(wanted));
}

}  // namespace

TEST_SUITE("logbook") {
  TEST_CASE("a byte of a log that is changed is refused, or changes nothing") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db"), damaged = folder.file("damaged.db");
    fill(path);
    const std::string whole = bytes_of(path), right = told(path);
    REQUIRE(right != "refused");
    std::mt19937_64 draw(20260314);
    std::size_t refused = 0, exact = 0;
    const std::size_t flips = count_wanted("QUARTERTURN_FLIPS", 300);
    for (std::size_t i = 0; i < flips; ++i) {
      const std::size_t at = draw() % whole.size();
      std::string bytes = whole;
      bytes[at] = static_cast<char>(bytes[at] ^ static_cast<char>(1 + draw() % 255));
      put(damaged, bytes);
      const std::string now = told(damaged);
      CAPTURE(at);
      CHECK((now == "refused" || now == right));
      ++(now == "refused" ? refused : exact);
    }
    MESSAGE("bytes changed: " << flips << ", refused: " << refused << ", told exactly: " << exact);
    CHECK(refused > flips / 2);
  }

  TEST_CASE("a log that was cut off is refused, at whatever length") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db"), damaged = folder.file("damaged.db");
    fill(path);
    const std::string whole = bytes_of(path);
    REQUIRE(told(path) != "refused");
    const std::size_t step = count_wanted("QUARTERTURN_LENGTHS", 0) > 0 ? 1 : 509;
    constexpr std::size_t kPage = 4096, kBeginning = 6;  // a page that breaks off in zeros looks like none
    std::size_t told_of = 0, tried = 0;
    for (std::size_t length = 0; length < whole.size(); ++length) {
      if (length % step != 0 && length % kPage >= kBeginning) continue;
      ++tried;
      put(damaged, whole.substr(0, length));
      if (told(damaged) != "refused") ++told_of;
    }
    MESSAGE("lengths tried: " << tried << " of " << whole.size() << ", told of: " << told_of);
    CHECK(told_of == 0);
  }

  TEST_CASE("a change in whatever word of a page changes its sum") {
    std::vector<unsigned char> page(4088);
    for (std::size_t i = 0; i < page.size(); ++i) page[i] = static_cast<unsigned char>(i * 31);
    const auto right = logbook::page_sum(page.data(), page.size(), 3);
    CHECK(logbook::page_sum(page.data(), page.size(), 4) != right);
    for (std::size_t i = 0; i < page.size(); ++i) {
      page[i] ^= 0x10U;
      CHECK(logbook::page_sum(page.data(), page.size(), 3) != right);
      page[i] ^= 0x10U;
    }
  }

  TEST_CASE("a log of an older version gets its sums, and the copy of it stays as it was") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db"), copy = path + ".version-4";
    // As a program of version 4 left it: without sums.
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open(path.c_str(), &db) == SQLITE_OK);
    for (const char* step : logbook::schema_steps().first(4))
      REQUIRE(sqlite3_exec(db, step, nullptr, nullptr, nullptr) == SQLITE_OK);
    const std::string marks =
        "PRAGMA user_version = 4; PRAGMA application_id = " + std::to_string(logbook::kApplicationId) +
        "; INSERT INTO stations VALUES('s', '2026-01-01T00:00:00.000Z'); INSERT INTO notes "
        "VALUES('n', 's', '2026-01-01T00:00:00.000Z', 'kept', '')";
    REQUIRE(sqlite3_exec(db, marks.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK);
    sqlite3_close(db);
    const Logbook log(path);
    CHECK(log.notes("s").front().text == "kept");
    CHECK(bytes_of(path)[20] == logbook::kSumBytes);
    CHECK(bytes_of(copy)[20] == 0);
    std::string bytes = bytes_of(path);
    bytes[bytes.find("kept")] = 'w';
    put(path, bytes);
    CHECK(told(path) == "refused");
  }

  TEST_CASE("what a killed program left half made is swept away, once it is old") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db");
    const std::string old = path + ".new-999999999-0", young = path + ".new-999999999-1",
                      other = folder.file("mine");
    for (const auto& name : {old, young, other}) {
      put(name, "x");
      if (name != young)
        std::filesystem::last_write_time(
            name, std::filesystem::file_time_type::clock::now() - std::chrono::hours(2));
    }
    fill(path);
    CHECK_FALSE(std::filesystem::exists(old));
    CHECK(std::filesystem::exists(young));
    CHECK(std::filesystem::exists(other));
  }

  TEST_CASE("an empty file is no log, and no new one is begun in it") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db");
    put(path, "");
    CHECK(told(path) == "refused");
    Logbook log(path);
    CHECK_THROWS_AS(log.save(test::dock()), files::FileTrouble);
    CHECK(bytes_of(path).empty());
  }

  TEST_CASE("what comes later counts as later, also where the clock was set back") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db");
    fill(path);
    Logbook log(path);
    const auto before = log.check("dock/1");
    auto ahead = before.latest;
    ahead.id.clear();
    ahead.recorded = "2099-01-01T00:00:00.999Z";  // the clock was ahead when this was kept
    ahead.reason = "a slip";
    log.keep(ahead);
    auto amended = before.latest;
    amended.id.clear();
    amended.recorded.clear();
    amended.reason = "a second slip";
    amended.result.eta = 7e-4;
    log.keep(amended);
    CHECK(log.check("dock/1").latest.result.eta == 7e-4);
    CHECK(log.check("dock/1").latest.recorded == "2099-01-01T00:00:01.000Z");
    auto station = log.find("dock");
    station.grid.rows = 12;
    log.save(station);
    CHECK(log.find("dock").grid.rows == 12);
  }

  TEST_CASE("a log that was taken away while it was open takes nothing that nobody could find again") {
    const TemporaryFolder folder;
    const std::string path = folder.file("log.db");
    fill(path);
    Logbook log(path);
    REQUIRE(log.checks().size() == 12);
    std::filesystem::rename(path, folder.file("elsewhere.db"));
    CHECK_THROWS_AS(log.keep(files::NoteRecord{{}, "dock", {}, "lost", ""}), files::FileTrouble);
    CHECK_THROWS_AS((void)log.checks(), files::FileTrouble);
    std::filesystem::rename(folder.file("elsewhere.db"), path);
    CHECK(log.checks().size() == 12);
    log.keep(files::NoteRecord{{}, "dock", {}, "kept", ""});
    CHECK(Logbook(path).notes("dock").size() == 1);
  }
}
