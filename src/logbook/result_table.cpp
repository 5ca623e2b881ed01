// SPDX-License-Identifier: MIT
#include "logbook/result_table.hpp"

#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <set>
#include <string>
#include <unordered_map>

#include "logbook/inside.hpp"
#include "stats/large_pages.hpp"

namespace quarterturn::logbook {
namespace {

constexpr std::size_t kBlock = 1 << 18;
constexpr std::int64_t kMostReserved = 1 << 20;
constexpr std::size_t kBytesOfHistory = 360;  // of one check, with all that a history makes of it

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

/// When the latest version of each check so far was recorded: nearly always with the check itself, so that
/// only others are remembered.
class Latest {
 public:
  explicit Latest(const std::vector<ResultRow>& rows) : rows_(rows) {}

  /// \returns whether this one counts rather than those before: by its time of recording, then as it came in
  bool take(std::size_t place, std::string_view recorded, std::int64_t came_in) {
    const ResultRow& row = rows_[place];
    if (row.came_in == 0 && recorded == row.recorded) return true;
    const auto other = others_.find(place);
    const std::string_view before = other == others_.end() ? row.recorded : std::string_view(other->second);
    if (row.came_in != 0 && (recorded < before || (recorded == before && came_in < row.came_in)))
      return false;
    others_.insert_or_assign(place, std::string(recorded));
    return true;
  }

 private:
  const std::vector<ResultRow>& rows_;
  std::unordered_map<std::size_t, std::string> others_;
};

/// Off the index that has all of it, which is narrow, and in the order of the checks where they were kept on
/// the day.
void take_versions(SQLite::Database& db, ResultTable& table) {
  Finder place_of(table.rows);
  Latest latest(table.rows);
  Rows select(db,
              "SELECT \"check\", recorded, rowid, utc, eta_rad, u_rad, dof, date, station_version, verdict, "
              "test, unknown, provisional FROM check_versions INDEXED BY check_versions_told");
  while (select.next()) {
    const std::size_t place = place_of(select.text(0));
    if (place == table.rows.size()) continue;
    ResultRow& row = table.rows[place];
    const std::int64_t came_in = select.whole(2);
    if (!latest.take(place, select.text(1), came_in)) continue;
    row.came_in = came_in;
    row.eta = select.real(4);
    row.u = select.real(5);
    row.dof = select.null(6) ? std::numeric_limits<double>::infinity() : select.real(6);
    const std::string_view date = select.text(7);
    row.set_day(date);
    row.order_utc = files::order_utc(date, select.whole(3), row.recorded);
    row.common = table.keep(
        Common{select.text(8), select.text(9), select.text(10), !select.null(11), select.whole(12) != 0});
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

const Common* ResultTable::keep(const Common& one) {
  constexpr std::size_t kLooked = 8;  // many stand on few versions and verdicts, in turn
  for (std::size_t i = common_.size(); i > 0 && i + kLooked > common_.size(); --i)
    if (common_[i - 1] == one) return &common_[i - 1];
  const Common last = common_.empty() ? Common{} : common_.back();
  common_.push_back({keep(one.station_version, last.station_version), keep(one.verdict, last.verdict),
                     keep(one.test, last.test), one.unknown, one.provisional});
  return &common_.back();
}

void ResultRow::set_day(std::string_view date) {
  day_size_ = static_cast<std::uint8_t>(date.copy(day_.data(), day_.size()));
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
      if (most.next()) {
        const auto rows = static_cast<std::size_t>(std::clamp<std::int64_t>(most.whole(0), 0, kMostReserved));
        stats::expect_memory(rows * kBytesOfHistory);
        table.rows.reserve(rows);
      }
    }
    {
      // From end to end and put in order here: they came in by their numbers, and their index is elsewhere.
      Rows checks(*in->db,
                  "SELECT id, recorded, number FROM checks NOT INDEXED WHERE station = ?1 AND setup = ?2");
      checks.bind(1, station);
      checks.bind(2, setup);
      std::string_view recorded;
      while (checks.next()) {
        ResultRow& row = table.rows.emplace_back();
        row.id = table.keep(checks.text(0));
        row.recorded = recorded = table.keep(checks.text(1), recorded);
        row.number = static_cast<int>(checks.whole(2));
      }
    }
    if (!std::ranges::is_sorted(table.rows, {}, &ResultRow::number))
      std::ranges::sort(table.rows, {}, &ResultRow::number);
    take_versions(*in->db, table);
    std::set<std::string, std::less<>> withdrawn;
    for (auto& record : in->get<files::WithdrawalRecord>("withdrawals", "")) withdrawn.insert(record.about);
    std::erase_if(table.rows, [&](const ResultRow& row) {
      return row.common->test == files::kRailTest || row.common->test == files::kFrameOfTwo ||
             (!withdrawn.empty() && withdrawn.contains(row.id));
    });
    return std::move(table);
  });
}

}  // namespace quarterturn::logbook
