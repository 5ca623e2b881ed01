// SPDX-License-Identifier: MIT
#include "app/setup_history.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <numeric>

#include "app/keep_check.hpp"
#include "app/kept_result.hpp"
#include "app/known_checks.hpp"
#include "app/run_check.hpp"
#include "check/fit.hpp"
#include "files/dates.hpp"
#include "files/log_document.hpp"
#include "stats/distributions.hpp"

namespace quarterturn::app {
namespace {

using history::Entry;
using history::Record;
using logbook::KeptResult;
using logbook::ResultRow;

constexpr double kDay = 86400;

double day_of(std::int64_t utc) {
  return static_cast<double>(utc) / kDay;
}

/// files::Order, of text that lives elsewhere.
using When = std::pair<std::int64_t, std::string_view>;

struct TimedEvent {
  files::Order when;
  history::Event item;
  history::Named named;
};

bool before(const files::Order& event, const When& check) {
  return When(event.first, event.second) < check;
}

Entry entry_of(const ResultRow& row, double span_mm, Record& record) {
  Entry entry;
  entry.eta = row.eta;
  entry.u = row.u;
  entry.dof = row.dof;
  entry.answer = check::answer_of(row.common->verdict);
  entry.provisional = row.common->provisional;
  if (row.common->unknown) {
    const auto widened = with_unseen_seating(row.u, entry.dof, span_mm);
    entry.u = widened.u;
    entry.dof = widened.dof;
    ++record.widened;
  }
  return entry;
}

Entry entry_of(const files::SummaryRecord& summary) {
  Entry entry;
  entry.eta = summary.side == "under-90" ? -summary.error : summary.error;
  entry.u = summary.plus_minus ? *summary.plus_minus / stats::normal_quantile(0.975) : 0;
  entry.hollow = true;
  return entry;
}

/// What a person did not note as an event: the station was described with other dogs, holes or faces.
constexpr const char* kDescribedAnew = "described anew";

class Maker {
 public:
  Maker(const logbook::Logbook& log, std::string id, Record& record)
      : log_(log), id_(std::move(id)), record_(record) {}

  void take_events() {
    for (const auto& kept : log_.events(id_)) {
      const auto& event = kept.event;
      if (kept.withdrawn || (!event.setup.empty() && event.setup != record_.setup)) continue;
      add_event(files::order_of(event.date, event.utc, event.recorded), event.kind, event.target,
                event.person, files::ends_validity(event.kind), event.date.substr(0, 10));
    }
  }

  /// \returns the newest
  std::optional<KeptResult> take_checks() {
    *table_ = log_.result_table(id_, record_.setup);
    auto& rows = table_->rows;
    const auto when_of = [](const ResultRow& row) { return When(row.order_utc, row.recorded); };
    if (!std::ranges::is_sorted(rows, {}, when_of)) std::ranges::stable_sort(rows, {}, when_of);
    when_.reserve(rows.size());
    record_.entries.reserve(rows.size());
    record_.entry_names.begin(record_.station, table_, rows.size());
    std::string_view version;
    std::string places;
    for (const ResultRow& row : rows) {
      const std::string_view day = row.day();
      if (row.common->station_version != version) {
        version = row.common->station_version;
        const std::string now = places_in(std::string(version));
        if (!places.empty() && now != places)
          add_event({row.order_utc, ""}, kDescribedAnew, "", "", true, std::string(day));  // just before it
        places = now;
      }
      when_.push_back(when_of(row));
      record_.entries.push_back(entry_of(row, span_mm_, record_));
      record_.entry_names.add_check(row.number, day, row.id);
    }
    if (rows.empty()) return std::nullopt;
    return newest_of(rows.back());
  }

  void take_summaries() {
    for (const auto& kept : log_.summaries(id_)) {
      const auto& summary = kept.summary;
      if (kept.withdrawn || (!summary.setup.empty() && summary.setup != record_.setup)) continue;
      if (summary.side == "unknown") {
        ++record_.no_side;
        continue;
      }
      when_.emplace_back(files::order_utc(summary.date, summary.utc, summary.recorded),
                         table_->keep(summary.recorded));
      record_.entries.push_back(entry_of(summary));
      record_.entry_names.push_back({"old result", summary.date.substr(0, 10)});
    }
  }

  /// In the order of dates, names with them; each check valid until the first event that ends that.
  void put_in_order() {
    const auto by = [](const TimedEvent& one) -> const files::Order& { return one.when; };
    if (!std::ranges::is_sorted(events_, {}, by)) std::ranges::stable_sort(events_, {}, by);
    if (const std::vector<std::size_t> order = order_of(when_); !order.empty()) {
      put_in(order, when_);
      put_in(order, record_.entries);
      record_.entry_names.put_in(order);
    }
    split_at_causes();
    auto event = events_.begin();
    for (std::size_t i = 0; i < when_.size(); ++i) {
      while (event != events_.end() && (before(event->when, when_[i]) || !event->item.ends_validity)) ++event;
      record_.entries[i].date = day_of(when_[i].first);
      if (event != events_.end()) record_.entries[i].valid_until = day_of(event->when.first);
    }
    for (auto& one : events_) {
      one.item.date = day_of(one.when.first);
      record_.events.push_back(std::move(one.item));
      record_.event_names.push_back(std::move(one.named));
    }
  }

  /// Seating of a panel, from the newest check as it was computed.
  void take_newest(const KeptResult& newest) {
    const auto versions = log_.versions(newest.id);
    auto request = request_of(log_, versions.back());
    record_.unit = request.check.unit;
    request.setup = record_.setup;
    request.earlier =
        EarlierAsKept(log_).at(record_.setup, versions.back().result.used, versions.back().recorded);
    try {
      record_.settings.panel_u_rad = run_check(request).fit.seating_rad;
    } catch (const check::NoInterval&) {
      // Only the log gave it an interval; its seating is not seen.
    }
  }

 private:
  /// Empty: as they are.
  static std::vector<std::size_t> order_of(const std::vector<When>& when) {
    std::vector<std::size_t> order;
    if (std::ranges::is_sorted(when)) return order;
    order.resize(when.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::ranges::stable_sort(order, {}, [&](std::size_t i) { return when[i]; });
    return order;
  }
  template <typename T>
  static void put_in(const std::vector<std::size_t>& order, std::vector<T>& all) {
    std::vector<T> sorted;
    sorted.reserve(all.size());
    for (const std::size_t i : order) sorted.push_back(std::move(all[i]));
    all = std::move(sorted);
  }
  [[nodiscard]] KeptResult newest_of(const ResultRow& row) const {
    const auto version = log_.versions(std::string(row.id)).back();
    return {std::string(row.id),
            std::string(row.recorded),
            row.number,
            version.id,
            version.station_version,
            version.date,
            version.person,
            version.utc,
            version.result};
  }
  /// A cause that was found when the table was out is put right: the checks before tell of another table.
  void split_at_causes() {
    std::size_t earlier = 0;
    for (auto& event : events_) {
      while (earlier < when_.size() && when_[earlier] < When(event.when.first, event.when.second)) ++earlier;
      if (event.item.kind != history::kCauseNoted || earlier == 0) continue;
      event.item.ends_validity = record_.entries[earlier - 1].answer == check::Answer::outside;
    }
  }
  void add_event(files::Order when, std::string kind, std::string target, std::string by, bool ends,
                 std::string day) {
    history::Named named{kind, std::move(day)};
    events_.push_back(
        {std::move(when), {std::move(kind), 0, std::move(target), std::move(by), ends}, std::move(named)});
  }
  const std::string& places_in(const std::string& version) {
    const auto found = places_.find(version);
    if (found != places_.end()) return found->second;
    const auto described = log_.station_version(version);
    if (described.setups.contains(record_.setup)) {
      const auto geometry = station::geometry_of(described, described.setup(record_.setup));
      span_mm_ = geometry.seating_span_mm().value_or(check::kDefaultSpanMm);
    }
    return places_.emplace(version, places_of(described, record_.setup)).first->second;
  }
  const logbook::Logbook& log_;
  std::string id_;
  Record& record_;
  /// Ids of checks stand in it for as long as the record has them.
  std::shared_ptr<logbook::ResultTable> table_ = std::make_shared<logbook::ResultTable>();
  std::vector<When> when_;  ///< of the record's entries
  std::vector<TimedEvent> events_;
  std::map<std::string, std::string> places_;
  double span_mm_ = check::kDefaultSpanMm;
};

}  // namespace

SetupPast setup_past(const logbook::Logbook& log, const station::Station& station, const std::string& setup,
                     double confidence, std::int64_t now_utc) {
  SetupPast past;
  Record& record = past.record;
  record.station = station.name;
  record.today = static_cast<double>(now_utc) / kDay;
  record.settings.confidence = confidence;
  log.at_one_moment([&] {
    const std::string id = kept_station(log, station);
    const std::string last = setup.empty() ? log.last_setup(id) : setup;
    if (last.empty() && station.setups.size() > 1) no_check_kept(station.name, "");
    record.setup = station.setup(last).name;
    const auto& tolerance = station.setup(record.setup).tolerance;
    if (tolerance) {
      record.settings.tolerance_rad = tolerance->angle.rad();
      if (tolerance->over) record.panel_mm = tolerance->over->mm();
    }
    Maker maker(log, id, record);
    maker.take_events();
    past.newest = maker.take_checks();
    maker.take_summaries();
    maker.put_in_order();
    if (past.newest) maker.take_newest(*past.newest);
  });
  record.history = history::history_of(record.entries, record.events, record.settings);
  return past;
}

Record setup_history(const logbook::Logbook& log, const station::Station& station, const std::string& setup,
                     double confidence, std::int64_t now_utc) {
  Record record = setup_past(log, station, setup, confidence, now_utc).record;
  if (record.entries.empty()) no_check_kept(station.name, record.setup);
  return record;
}

}  // namespace quarterturn::app
