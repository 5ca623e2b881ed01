// SPDX-License-Identifier: MIT
#include "logbook/result_table.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <set>
#include <string>
#include <unordered_map>

#include "logbook/inside.hpp"

namespace quarterturn::logbook {
namespace {

constexpr std::size_t kBlock = 1 << 18;
constexpr std::int64_t kMostReserved = 1 << 20;

/// A statement without the care that each column costs: all columns are of the type they are asked for.
class Rows {
 public:
  Rows(SQLite::Database& db, const char* sql) : db_(db.getHandle()) {
    if (const int rc = sqlite3_prepare_v2(db_, sql, -1, &select_, nullptr); rc != SQLITE_OK)
      throw SQLite::Exception(db_, rc);
  }
  ~Rows() { sqlite3_finalize(select_); }
  Rows(const Rows&) = delete;
  Rows& operator=(const Rows&) = delete;

  void bind(int at, const std::string& text) {
    const int size = static_cast<int>(text.size());
    if (const int rc = sqlite3_bind_text(select_, at, text.data(), size, SQLITE_STATIC); rc != SQLITE_OK)
      throw SQLite::Exception(db_, rc);
  }
  bool next() {
    const int rc = sqlite3_step(select_);
    if (rc != SQLITE_ROW && rc != SQLITE_DONE) throw SQLite::Exception(db_, rc);
    return rc == SQLITE_ROW;
  }
  [[nodiscard]] std::string_view text(int at) const {
    const auto* const begin = reinterpret_cast<const char*>(sqlite3_column_text(select_, at));
    if (begin == nullptr) return {};
    return {begin, static_cast<std::size_t>(sqlite3_column_bytes(select_, at))};
  }
  [[nodiscard]] bool null(int at) const { return sqlite3_column_type(select_, at) == SQLITE_NULL; }
  [[nodiscard]] double real(int at) const { return sqlite3_column_double(select_, at); }
  [[nodiscard]] std::int64_t whole(int at) const { return sqlite3_column_int64(select_, at); }

 private:
  sqlite3* db_;
  sqlite3_stmt* select_ = nullptr;
};

/// Where a check stands among the rows. Versions come nearly always in the order of their checks, so the next
/// one is looked at first, and the rest are put in order only where one is another.
class Finder {
 public:
  explicit Finder(const std::vector<ResultRow>& rows) : rows_(rows) {}

  std::size_t operator()(std::string_view id) {
    if (next_ < rows_.size() && rows_[next_].id == id) return next_++;
    if (places_.empty()) {
      places_.reserve(rows_.size());
      for (std::size_t i = 0; i < rows_.size(); ++i) places_.emplace(rows_[i].id, i);
    }
    const auto found = places_.find(id);
    if (found == places_.end()) return rows_.size();
    next_ = found->second + 1;
    return found->second;
  }

 private:
  const std::vector<ResultRow>& rows_;
  std::size_t next_ = 0;
  std::unordered_map<std::string_view, std::size_t> places_;
};

/// The latest version of each check: by its time of recording, then as it came in.
void take_versions(SQLite::Database& db, ResultTable& table) {
  Finder place_of(table.rows);
  Rows select(db,
              "SELECT \"check\", recorded, station_version, date, utc, eta_rad, u_rad, dof, unknown IS NOT "
              "NULL, verdict, provisional, test FROM check_versions ORDER BY rowid");
  ResultRow last;
  while (select.next()) {
    const std::size_t place = place_of(select.text(0));
    if (place == table.rows.size()) continue;
    ResultRow& row = table.rows[place];
    if (select.text(1) < row.version_recorded) continue;
    row.version_recorded = table.keep(select.text(1), row.recorded);
    row.station_version = last.station_version = table.keep(select.text(2), last.station_version);
    row.date = last.date = table.keep(select.text(3), last.date);
    row.utc = select.whole(4);
    row.eta = select.real(5);
    row.u = select.real(6);
    row.dof = select.null(7) ? std::numeric_limits<double>::infinity() : select.real(7);
    row.unknown = select.whole(8) != 0;
    row.verdict = last.verdict = table.keep(select.text(9), last.verdict);
    row.provisional = select.whole(10) != 0;
    row.test = last.test = table.keep(select.text(11), last.test);
  }
}

}  // namespace

std::string_view ResultTable::keep(std::string_view text, std::string_view like) {
  if (text.empty()) return {};
  if (text == like) return like;
  if (text.size() > left_) {
    left_ = std::max(kBlock, text.size());
    blocks_.push_back(std::make_unique_for_overwrite<char[]>(left_));
  }
  // A block is filled from its end: what is left of it is all there is to know.
  left_ -= text.size();
  char* const to = blocks_.back().get() + left_;
  std::memcpy(to, text.data(), text.size());
  return {to, text.size()};
}

// Both tables are read from end to end and joined here: looked up one by one, a hundred thousand checks would
// wait for the disk's pages in the order of their ids.
ResultTable Logbook::result_table(const std::string& station, const std::string& setup) const {
  ResultTable table;
  Inside* in = reading();
  if (in == nullptr) return table;
  return guarded(path_, [&] {
    {
      // Numbers count the station's checks: as many rows there may be.
      Rows most(*in->db, "SELECT max(number) FROM checks WHERE station = ?1");
      most.bind(1, station);
      if (most.next())
        table.rows.reserve(
            static_cast<std::size_t>(std::clamp<std::int64_t>(most.whole(0), 0, kMostReserved)));
    }
    {
      Rows checks(
          *in->db,
          "SELECT id, recorded, number FROM checks WHERE station = ?1 AND setup = ?2 ORDER BY number");
      checks.bind(1, station);
      checks.bind(2, setup);
      while (checks.next()) {
        ResultRow& row = table.rows.emplace_back();
        row.id = table.keep(checks.text(0));
        row.recorded = table.keep(checks.text(1));
        row.number = static_cast<int>(checks.whole(2));
      }
    }
    take_versions(*in->db, table);
    std::set<std::string, std::less<>> withdrawn;
    for (auto& record : in->get<files::WithdrawalRecord>("withdrawals", "")) withdrawn.insert(record.about);
    std::erase_if(table.rows, [&](const ResultRow& row) {
      return row.test == files::kRailTest || row.test == files::kFrameOfTwo ||
             (!withdrawn.empty() && withdrawn.contains(row.id));
    });
    return std::move(table);
  });
}

}  // namespace quarterturn::logbook
