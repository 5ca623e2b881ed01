// SPDX-License-Identifier: MIT
#include "app/setup_history.hpp"

#include <algorithm>
#include <cmath>
#include <map>
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

constexpr double kDay = 86400;

double day_of(const files::Order& order) {
  return static_cast<double>(order.first) / kDay;
}

template <typename T>
struct Timed {
  files::Order when;
  T item;
  history::Named named;
};

Entry entry_of(const KeptResult& kept, double span_mm, Record& record) {
  Entry entry;
  entry.check_id = kept.id;
  const auto& result = kept.result;
  entry.eta = result.eta;
  entry.u = result.u;
  entry.dof = result.dof.value_or(check::kUnbounded);
  entry.answer = check::answer_of(result.verdict);
  entry.provisional = result.provisional;
  if (result.unknown) {
    const auto widened = with_unseen_seating(result.u, entry.dof, span_mm);
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
    auto kept = log_.results(id_, record_.setup);
    std::vector<files::Order> when(kept.size());
    for (std::size_t i = 0; i < kept.size(); ++i)
      when[i] = files::order_of(kept[i].date, kept[i].utc, kept[i].recorded);
    std::vector<std::size_t> order(kept.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto by_order = [&](std::size_t i) -> const files::Order& { return when[i]; };
    if (!std::ranges::is_sorted(order, {}, by_order)) std::ranges::stable_sort(order, {}, by_order);
    entries_.reserve(kept.size());
    std::string version, places;
    for (const std::size_t i : order) {
      const auto& one = kept[i];
      const std::string day = one.date.substr(0, 10);
      if (one.station_version != version) {
        version = one.station_version;
        const std::string now = places_in(version);
        if (!places.empty() && now != places)
          add_event({when[i].first, ""}, kDescribedAnew, "", "", true, day);  // just before it
        places = now;
      }
      entries_.push_back({std::move(when[i]),
                          entry_of(one, span_mm_, record_),
                          {record_.station + "/" + std::to_string(one.number), day}});
    }
    return order.empty() ? std::nullopt : std::optional(std::move(kept[order.back()]));
  }

  void take_summaries() {
    for (const auto& kept : log_.summaries(id_)) {
      const auto& summary = kept.summary;
      if (kept.withdrawn || (!summary.setup.empty() && summary.setup != record_.setup)) continue;
      if (summary.side == "unknown") {
        ++record_.no_side;
        continue;
      }
      entries_.push_back({files::order_of(summary.date, summary.utc, summary.recorded),
                          entry_of(summary),
                          {"old result", summary.date.substr(0, 10)}});
    }
  }

  /// In the order of dates, names with them; each check valid until the first event that ends that.
  void put_in_order() {
    const auto sort = [](auto& timed) {
      const auto by = [](const auto& one) -> const files::Order& { return one.when; };
      if (!std::ranges::is_sorted(timed, {}, by)) std::ranges::stable_sort(timed, {}, by);
    };
    sort(entries_);
    sort(events_);
    split_at_causes();
    auto event = events_.begin();
    for (auto& entry : entries_) {
      while (event != events_.end() && (event->when < entry.when || !event->item.ends_validity)) ++event;
      entry.item.date = day_of(entry.when);
      if (event != events_.end()) entry.item.valid_until = day_of(event->when);
      record_.entries.push_back(std::move(entry.item));
      record_.entry_names.push_back(std::move(entry.named));
    }
    for (auto& one : events_) {
      one.item.date = day_of(one.when);
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
  /// A cause that was found when the table was out is put right: the checks before tell of another table.
  void split_at_causes() {
    std::size_t before = 0;
    for (auto& event : events_) {
      while (before < entries_.size() && entries_[before].when < event.when) ++before;
      if (event.item.kind != history::kCauseNoted || before == 0) continue;
      event.item.ends_validity = entries_[before - 1].item.answer == check::Answer::outside;
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
  std::vector<Timed<Entry>> entries_;
  std::vector<Timed<history::Event>> events_;
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
