// SPDX-License-Identifier: MIT
#include "app/log_import.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "app/keep_check.hpp"
#include "app/measured_on.hpp"
#include "files/dates.hpp"
#include "files/event_rows.hpp"
#include "files/readings_file.hpp"
#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

using units::InputError;

class Importer {
 public:
  Importer(logbook::Logbook& log, std::string station, std::int64_t now_utc)
      : log_(log), station_(std::move(station)), now_utc_(now_utc) {
    for (const auto& kept : log.checks()) {
      const auto& as_seen = *seen_.insert(kept.made.station + "\n" + kept.latest.readings).first;
      if (!kept.withdrawn) remember(kept, readings_in(as_seen));
    }
    for (const auto& kept : log.events()) seen_.insert(mark(kept.event));
    for (const auto& kept : log.summaries()) seen_.insert(mark(kept.summary));
  }

  /// All of a file, or none of it.
  void take(const files::Text& text) {
    const Imported before = done;
    fresh_.clear();
    try {
      log_.together([&] {
        if (text.content.starts_with('{')) return document(text);
        switch (files::table_kind(text)) {
          case files::TableKind::events:
            return take_rows(files::parse_events(text), text, done.events);
          case files::TableKind::summaries:
            return take_rows(files::parse_summaries(text), text, done.summaries);
          case files::TableKind::readings:
            return readings(text);
        }
      });
    } catch (...) {
      done = before;
      for (const auto& each : fresh_) seen_.erase(each);
      throw;
    }
  }

  Imported done;

 private:
  static std::string mark(const files::EventRecord& r) {
    return r.station + "\n" + r.setup + "\n" + r.date + "\n" + r.kind + "\n" + r.note;
  }
  static std::string mark(const files::SummaryRecord& r) {
    return r.station + "\n" + r.setup + "\n" + r.date + "\n" + r.test + "\n" + std::to_string(r.error * 1e9);
  }

  /// Of what stands in seen_ for a check.
  static std::string_view readings_in(std::string_view as_seen) {
    return as_seen.substr(as_seen.find('\n') + 1);
  }
  static std::string beginning(const std::string& station, const std::string& setup,
                               std::string_view readings) {
    return station + "\n" + setup + "\n" + first_strip(readings);
  }
  /// \param readings  lives as long as the import
  void remember(const logbook::KeptCheck& kept, std::string_view readings) {
    begun_[beginning(kept.made.station, kept.made.setup, readings)].emplace_back(kept.made.id, readings);
  }
  /// A kept check that has strips in common with this one, by its id.
  std::optional<std::pair<std::string, Overlap>> shared(const check::Check& now, const std::string& begins) {
    const auto found = begun_.find(begins);
    if (found == begun_.end()) return std::nullopt;
    const auto& checks = found->second;
    for (std::size_t k = 0; k < std::min(checks.size(), kNewest); ++k) {
      const auto& [id, readings] = checks[checks.size() - 1 - k];
      const auto how = overlap(now, files::parse_readings(files::text_of(std::string(readings), "the log")));
      if (how != Overlap::none) return std::pair(id, how);
    }
    return std::nullopt;
  }

  bool is_new(const std::string& record) {
    if (!seen_.insert(record).second) return false;
    fresh_.push_back(record);
    return true;
  }
  std::string station_of(const std::string& name, const files::Text& text) const {
    if (!name.empty()) {
      try {
        return log_.station_id(name);
      } catch (const InputError& error) {
        throw error.at({text.source, 0, 0});
      }
    }
    if (!station_.empty()) return station_;
    throw InputError("station", std::string(units::kMissing), "named in the file, or with --station",
                     {text.source, 0, 0},
                     "'# station: dock' in readings, a column 'station' in other tables");
  }
  void hold_to_past(const std::string& date, const files::Text& text) const {
    try {
      (void)files::parse_past_date(date, "date", now_utc_);
    } catch (const InputError& error) {
      throw error.at({text.source, 0, 0});
    }
  }

  /// What a record of a document belongs to is in it, or in the log: only then can it be told of.
  void hold_together(const files::LogDocument& log, const files::Text& text) const {
    std::set<std::string> stations, checks, versions, events;
    for (const auto& kept : log_.stations()) stations.insert(kept.made.id);
    for (const auto& record : log.stations) stations.insert(record.id);
    const auto here = log_.document();
    for (const auto* one : {&here, &log}) {
      for (const auto& record : one->station_versions) versions.insert(record.id);
      for (const auto& record : one->checks) checks.insert(record.id);
      for (const auto& record : one->events) events.insert(record.id);
    }
    const auto hold = [&](const std::set<std::string>& there, const std::string& id, const char* what) {
      if (there.contains(id)) return;
      throw InputError(what, id, "of a record in the same file", {text.source, 0, 0},
                       "the file was cut short, or written by hand");
    };
    for (const auto& record : log.station_versions) hold(stations, record.station, "station");
    for (const auto& record : log.checks) hold(stations, record.station, "station");
    for (const auto& record : log.check_versions) {
      hold(checks, record.check, "check");
      hold(versions, record.station_version, "station_version");
    }
    for (const auto& record : log.events) hold(stations, record.station, "station");
    for (const auto& record : log.moves) {
      hold(events, record.event, "event");
      hold(checks, record.check, "check");
    }
    for (const auto& record : log.summaries) hold(stations, record.station, "station");
  }

  void document(const files::Text& text) {
    const auto log = files::parse_log(text);
    for (const auto& version : log.station_versions)
      (void)files::parse_station(files::text_of(version.content, text.source));
    for (const auto& version : log.check_versions)
      (void)files::parse_readings(files::text_of(version.readings, text.source));
    for (const auto& event : log.events) files::hold_to_event_kind(event.kind);
    hold_together(log, text);
    const auto merged = log_.merge(log);
    ++done.documents;
    done.known += merged.added == 0 ? 1 : 0;
  }

  /// Rows of a table of events or of old results. \param count  of those that were not there yet
  template <typename Row>
  void take_rows(std::vector<Row> rows, const files::Text& text, int& count) {
    for (auto& row : rows) {
      row.record.station = station_of(row.station, text);
      hold_to_past(row.record.date, text);
      if (!is_new(mark(row.record))) {
        ++done.known;
        continue;
      }
      log_.keep(row.record);
      ++count;
    }
  }

  const station::Station& station_as_kept(const std::string& id) {
    auto found = stations_.find(id);
    if (found == stations_.end()) {
      for (const auto& kept : log_.stations()) {
        if (kept.made.id != id) continue;
        versions_[id] = kept.latest.id;
        found = stations_.emplace(id, log_.find(kept.shown_name)).first;
      }
    }
    return found->second;
  }

  void readings(const files::Text& text) {
    CheckRequest request;
    request.check = files::parse_readings(text);
    const std::string id = station_of(request.check.station, text);
    request.station = station_as_kept(id);
    request.check.station = request.station->name;
    if (request.check.date.empty()) {
      throw InputError("date", std::string(units::kMissing), "given: nobody can tell later when it was cut",
                       {text.source, 0, 0}, "a line above the readings: # date: 2026-03-14");
    }
    const auto outcome = run_check(request);
    auto [made, version] = records_of(request, outcome, id, versions_[id], now_utc_);
    const std::string as_seen = id + "\n" + version.readings;
    if (!is_new(as_seen)) {
      ++done.known;
      return;
    }
    const auto before = shared(request.check, beginning(id, made.setup, version.readings));
    if (before && before->second != Overlap::goes_on) {
      ++done.known;
      return;
    }
    ++done.checks;
    for (const auto& finding : outcome.fit.findings) {
      if (check::finding_row(finding.code).settle_first)
        done.doubted.push_back({text.source, finding, request.check.unit});
    }
    if (before) {
      const auto kept = log_.check(before->first);
      hold_to_one_stand(log_, id, made.setup,
                        {kept.made.id, kept.latest.date, kept.made.recorded, kept.latest.utc, before->second},
                        text.source);
      amend_with(log_, kept, request, outcome, kMeasuredOn, now_utc_, {});
      return;
    }
    const auto kept = log_.keep(std::move(made), std::move(version));
    remember(kept, readings_in(*seen_.find(as_seen)));
  }

  logbook::Logbook& log_;
  std::string station_;
  std::int64_t now_utc_;
  std::set<std::string> seen_;      ///< what is in the log, in short
  std::vector<std::string> fresh_;  ///< of the file at hand
  std::map<std::string, station::Station> stations_;
  std::map<std::string, std::string> versions_;
  std::map<std::string, std::vector<std::pair<std::string, std::string_view>>>
      begun_;  ///< how readings begin -> checks: id and readings
};

/// A file that cannot be read is a fault of the import, not of the log.
files::Text text_at(const std::string& path) {
  try {
    return files::read_text(path);
  } catch (const files::FileTrouble& trouble) {
    throw InputError("file", path, "one that can be read", {}, trouble.message);
  }
}

}  // namespace

Imported import_files(logbook::Logbook& log, const std::vector<std::string>& paths,
                      const std::string& station, std::int64_t now_utc,
                      const std::function<void(std::size_t)>& progress) {
  Importer importer(log, station, now_utc);
  std::size_t count = 0;
  log.together([&] {
    for (const auto& path : paths) {
      try {
        importer.take(text_at(path));
      } catch (const check::NoInterval&) {
        importer.done.faults.push_back(
            "the readings are without repeat, third place and caliper, but must have one "
            "of them (" +
            units::inert(path, 4096) + "). Hint: # caliper: digital");
      } catch (const InputError& error) {
        importer.done.faults.emplace_back(error.what());
      }
      progress(++count);
    }
  });
  return importer.done;
}

}  // namespace quarterturn::app
