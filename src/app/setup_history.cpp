// SPDX-License-Identifier: MIT
#include "app/setup_history.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "app/keep_check.hpp"
#include "app/known_checks.hpp"
#include "app/run_check.hpp"
#include "app/unseen_seating.hpp"
#include "check/fit.hpp"
#include "files/dates.hpp"
#include "files/log_document.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

using history::Entry;
using history::Record;
using logbook::KeptResult;
using units::InputError;

constexpr double kDay = 86400;

/// What puts records in order; of one second in the order of recording.
using Moment = std::pair<std::int64_t, std::string>;
Moment moment_of(const std::string& date, std::int64_t utc, const std::string& recorded) {
  return {files::order_utc(date, utc, recorded), recorded};
}
double day_of(const Moment& moment) {
  return static_cast<double>(moment.first) / kDay;
}

template <typename T>
struct Timed {
  Moment when;
  T item;
  history::Named named;
};

Entry entry_of(const KeptResult& kept, double span_mm, Record& record) {
  Entry entry;
  entry.check_id = kept.id;
  entry.eta = kept.eta;
  entry.u = kept.u;
  entry.dof = kept.dof.value_or(check::kUnbounded);
  if (kept.unknown) {
    const auto widened = with_unseen_seating(kept.u, entry.dof, span_mm);
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
      add_event(moment_of(event.date, event.utc, event.recorded), event.kind, event.target, event.person,
                files::ends_validity(event.kind), event.date.substr(0, 10));
    }
  }

  void take_checks() {
    auto kept = log_.results(id_, record_.setup);
    std::vector<Moment> when(kept.size());
    for (std::size_t i = 0; i < kept.size(); ++i)
      when[i] = moment_of(kept[i].date, kept[i].utc, kept[i].recorded);
    std::vector<std::size_t> order(kept.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    const auto by_moment = [&](std::size_t i) -> const Moment& { return when[i]; };
    if (!std::ranges::is_sorted(order, {}, by_moment)) std::ranges::stable_sort(order, {}, by_moment);
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
    if (!order.empty()) newest_ = kept[order.back()];
  }

  void take_summaries() {
    for (const auto& kept : log_.summaries(id_)) {
      const auto& summary = kept.summary;
      if (kept.withdrawn || (!summary.setup.empty() && summary.setup != record_.setup)) continue;
      if (summary.side == "unknown") {
        ++record_.no_side;
        continue;
      }
      entries_.push_back({moment_of(summary.date, summary.utc, summary.recorded),
                          entry_of(summary),
                          {"old result", summary.date.substr(0, 10)}});
    }
  }

  /// In the order of dates, names with them; each check valid until the first event that ends that.
  void put_in_order() {
    const auto sort = [](auto& timed) {
      const auto by = [](const auto& one) -> const Moment& { return one.when; };
      if (!std::ranges::is_sorted(timed, {}, by)) std::ranges::stable_sort(timed, {}, by);
    };
    sort(entries_);
    sort(events_);
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

  /// Seating of a panel, from the newest check's own fit.
  void take_newest() {
    if (!newest_) return;
    files::CheckVersion version;
    version.readings = log_.readings(newest_->version);
    version.station_version = newest_->station_version;
    auto request = request_of(log_, version);
    record_.unit = request.check.unit;
    request.setup = record_.setup;
    try {
      record_.settings.panel_u_rad = run_check(request).fit.seating_rad;
    } catch (const check::NoInterval&) {
      // Only the log gave it an interval; its seating is not seen.
    }
  }

 private:
  void add_event(Moment when, std::string kind, std::string target, std::string by, bool ends,
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
  std::optional<KeptResult> newest_;
};

}  // namespace

Record setup_history(const logbook::Logbook& log, const station::Station& station, const std::string& setup,
                     double confidence, std::int64_t now_utc) {
  Record record;
  record.station = station.name;
  record.today = static_cast<double>(now_utc) / kDay;
  record.settings.confidence = confidence;
  log.at_one_moment([&] {
    const std::string id = log.known_station(station);
    if (id.empty()) {
      throw InputError("station", station.name, "one that is in the log", {},
                       "a history is made of checks that were kept: quarterturn check FILE --save");
    }
    const std::string last = setup.empty() ? log.last_setup(id) : setup;
    if (last.empty() && station.setups.size() > 1) {
      throw InputError("check", std::string(units::kMissing),
                       "kept in the log for station '" + station.name + "'", {},
                       "quarterturn check FILE --save; 'log list' shows what there is");
    }
    record.setup = station.setup(last).name;
    const auto& tolerance = station.setup(record.setup).tolerance;
    if (tolerance) {
      record.settings.tolerance_rad = tolerance->angle.rad();
      if (tolerance->over) record.panel_mm = tolerance->over->mm();
    }
    Maker maker(log, id, record);
    maker.take_events();
    maker.take_checks();
    maker.take_summaries();
    maker.put_in_order();
    maker.take_newest();
  });
  if (record.entries.empty()) {
    throw InputError("check", std::string(units::kMissing),
                     "kept in the log for setup '" + record.setup + "'", {},
                     "quarterturn check FILE --save; 'log list' shows what there is");
  }
  record.history = history::history_of(record.entries, record.events, record.settings);
  return record;
}

}  // namespace quarterturn::app
