// SPDX-License-Identifier: MIT
#include "app/keep_check.hpp"

#include <algorithm>
#include <cmath>

#include "app/known_checks.hpp"
#include "app/measured_on.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

using units::InputError;

constexpr double kSameShare = 1e-9;

/// The moment of a check: its own date, else today's.
files::Moment moment_of(const check::Check& check, std::int64_t now_utc) {
  if (check.date.empty()) return files::today(now_utc);
  try {
    return files::parse_past_date(check.date, "date", now_utc);
  } catch (const InputError& error) {
    throw error.at({check.source, 0, 0});
  }
}

std::string latest_version(const logbook::Logbook& log, const std::string& station) {
  for (const auto& kept : log.stations()) {
    if (kept.made.id == station) return kept.latest.id;
  }
  return {};
}

bool is_same(double a, double b) {
  return std::fabs(a - b) <= kSameShare * std::max({std::fabs(a), std::fabs(b), 1e-12});
}

/// What differs between two results of the same readings; empty when nothing does.
std::string difference(const files::StoredResult& kept, const files::StoredResult& now) {
  if (!is_same(kept.eta, now.eta)) return "the angle";
  if (!is_same(kept.u, now.u) || !is_same(kept.half_width, now.half_width)) return "the ±";
  if (kept.verdict != now.verdict || kept.provisional != now.provisional) return "the verdict";
  return "";
}

/// The angle as it was kept, over the length that readings or setup state it over, where it is theirs.
units::Tolerance kept_tolerance(const CheckRequest& request, const files::CheckVersion& version) {
  const double rad = *version.result.tolerance;
  units::Tolerance kept{units::Angle::from_rad(rad), {}, {}};
  const auto& setup = request.station->setup(request.check.setup);
  for (const auto& stated : {request.check.tolerance, setup.tolerance}) {
    if (!stated || std::fabs(stated->angle.rad() - rad) > 1e-9 * rad) continue;
    kept.offset = stated->offset;
    kept.over = stated->over;
    break;
  }
  return kept;
}

}  // namespace

files::StoredResult stored_result(const correct::Outcome& outcome, const CheckRequest& request,
                                  std::vector<std::string> used) {
  files::StoredResult result;
  const auto& eta = outcome.fit.eta;
  result.program = QUARTERTURN_VERSION;
  result.confidence = eta.confidence;
  result.eta = eta.x;
  result.u = eta.u;
  result.half_width = eta.half_width;
  if (std::isfinite(eta.dof)) result.dof = eta.dof;
  result.unknown = eta.unknown;
  if (outcome.check.gaps()) result.test = check::test_row(outcome.check.test).word;
  if (!outcome.check.second_setup.empty()) result.test = files::kFrameOfTwo;
  const bool corner = outcome.check.test != check::TestKind::rail;
  result.q = corner && outcome.geometry ? outcome.geometry->q : 0;
  if (outcome.tolerance) result.tolerance = outcome.tolerance->angle.rad();
  if (outcome.verdict) {
    result.verdict = check::answer_word(outcome.verdict->setup);
    result.provisional = outcome.verdict->provisional;
  }
  result.strict = request.strict;
  if (request.planned_strips) result.planned_strips = *request.planned_strips;
  result.assumed = request.use_assumed;
  result.used = std::move(used);
  return result;
}

std::pair<files::CheckRecord, files::CheckVersion> records_of(
    const CheckRequest& request, const correct::Outcome& outcome, const std::string& station,
    const std::string& station_version, std::int64_t now_utc, std::vector<std::string> used) {
  files::CheckRecord made;
  made.station = station;
  made.setup = outcome.setup_name;
  files::CheckVersion version;
  const auto moment = moment_of(request.check, now_utc);
  version.date = moment.as_typed;
  version.utc = moment.utc_second;
  version.person = request.check.by;
  check::Check typed = request.check;
  typed.date = version.date;
  typed.setup = outcome.setup_name;
  version.readings = files::write_readings(typed);
  version.station_version = station_version;
  version.result = stored_result(outcome, request, std::move(used));
  return {std::move(made), std::move(version)};
}

logbook::KeptCheck keep_check(logbook::Logbook& log, const CheckRequest& request,
                              const correct::Outcome& outcome, std::int64_t now_utc,
                              std::vector<std::string> used) {
  if (!outcome.station) {
    throw InputError("station", std::string(units::kMissing), "given: a check is kept with its station", {},
                     "name it with --station NAME|FILE, or in the readings: # station: dock");
  }
  logbook::KeptCheck kept;
  log.together([&] {
    log.save(*outcome.station);
    const std::string station = log.known_station(*outcome.station);
    auto [made, version] =
        records_of(request, outcome, station, latest_version(log, station), now_utc, std::move(used));
    const auto other = log.check_with(station, version.utc, version.readings);
    const auto is_new = [&] {  // cut behind a move, it reads as before
      const auto& as_kept = other->latest;
      const Shared same{other->made.id, as_kept.date, other->made.recorded, as_kept.utc, Overlap::same};
      return request.measured_now && moved_after(log, station, outcome.setup_name, same).has_value();
    };
    if (other && !is_new()) {
      throw InputError("check", version.date, "one that is not in the log yet", {request.check.source, 0, 0},
                       "the same readings of that day are kept as " + name_of(log, *other));
    }
    check::Check dated = request.check;
    dated.date = version.date;
    if (const auto shared = shared_strips(log, station, made.setup, dated, request.measured_now)) {
      hold_to_one_stand(log, station, made.setup, *shared, request.check.source);
      const auto before = log.check(shared->id);
      if (shared->overlap != Overlap::goes_on) {
        throw InputError(
            "check", version.date, "one that is not in the log yet", {request.check.source, 0, 0},
            "its readings are in " + name_of(log, before) + "; 'log amend' changes what is kept there");
      }
      kept = amend_with(log, before, request, outcome, kMeasuredOn, now_utc, std::move(version.result.used));
      return;
    }
    kept = log.keep(std::move(made), std::move(version));
  });
  return kept;
}

std::optional<logbook::KeptCheck> kept_already(const logbook::Logbook& log, const CheckRequest& request,
                                               const correct::Outcome& outcome, std::int64_t now_utc) {
  const std::string station = outcome.station ? log.known_station(*outcome.station) : std::string();
  if (station.empty()) return std::nullopt;
  const auto version = records_of(request, outcome, station, "", now_utc).second;
  return log.check_with(station, version.utc, version.readings);
}

CheckRequest request_of(const logbook::Logbook& log, const files::CheckVersion& version) {
  CheckRequest request;
  request.check = files::parse_readings(files::text_of(version.readings, "the log"));
  request.station = log.station_version(version.station_version);
  // The name in the readings may be an older one of the same station.
  request.check.station = request.station->name;
  request.confidence = version.result.confidence;
  request.strict = version.result.strict;
  if (version.result.planned_strips)
    request.planned_strips = static_cast<int>(*version.result.planned_strips);
  request.use_assumed = version.result.assumed;
  if (version.result.tolerance) request.tolerance = kept_tolerance(request, version);
  return request;
}

logbook::KeptCheck amend_check(logbook::Logbook& log, const logbook::KeptCheck& kept, const std::string& key,
                               const std::string& value, const std::string& reason, std::int64_t now_utc) {
  if (units::trimmed(reason).empty())
    throw InputError("reason", "", "given: the log keeps why it was amended", {}, "--reason \"…\"");
  if (key == "station" || key == "setup") {
    throw InputError("key", key, "one that does not move the check", {},
                     "withdraw it, and keep it anew where it belongs");
  }
  std::string text;
  if (key == "readings") {
    text = files::read_text(value).content;
  } else {
    text = files::with_header(files::text_of(kept.latest.readings, "the check"), key, value);
  }
  CheckRequest request = request_of(log, kept.latest);
  const std::string station = request.check.station;
  request.check = files::parse_readings(files::text_of(text, key == "readings" ? value : "the check"));
  if (!request.check.station.empty() && request.check.station != station && key == "readings") {
    throw InputError("station of the readings", request.check.station, "'" + station + "', as it was", {},
                     "amended readings are of the same check");
  }
  request.check.station = station;
  request.check.setup = kept.made.setup;
  // A tolerance that is amended counts; else that of the day.
  if (key == "tolerance" || (key == "readings" && request.check.tolerance)) request.tolerance.reset();
  request.earlier = EarlierAsKept(log).at(kept.made.setup, kept.latest.result.used, kept.latest.recorded);
  const auto outcome = run_check(request);
  return amend_with(log, kept, request, outcome, reason, now_utc, kept.latest.result.used);
}

logbook::KeptCheck amend_with(logbook::Logbook& log, const logbook::KeptCheck& kept,
                              const CheckRequest& request, const correct::Outcome& outcome,
                              const std::string& reason, std::int64_t now_utc,
                              std::vector<std::string> used) {
  auto version =
      records_of(request, outcome, kept.made.station, kept.latest.station_version, now_utc, std::move(used))
          .second;
  if (request.check.date.empty()) {  // the day does not move by measuring on
    version.date = kept.latest.date;
    version.utc = kept.latest.utc;
    version.readings =
        files::with_header(files::text_of(version.readings, "the check"), "date", version.date);
  }
  version.check = kept.made.id;
  version.reason = reason;
  log.keep(version);
  return log.check(kept.made.id);
}

std::vector<Recomputed> recompute(const logbook::Logbook& log) {
  std::vector<Recomputed> found;
  EarlierAsKept earlier(log);
  for (const auto& kept : log.made_checks()) {
    for (const auto& version : log.versions(kept.made.id)) {
      std::string what;
      try {
        CheckRequest request = request_of(log, version);
        request.earlier = earlier.at(kept.made.setup, version.result.used, version.recorded);
        what = difference(version.result, stored_result(run_check(request), request));
        if (!what.empty()) what += " comes out otherwise";
      } catch (const check::NoInterval&) {
        what = "gives no ± any more";
      } catch (const InputError& error) {
        what = error.what();
      }
      if (what.empty()) continue;
      logbook::KeptCheck named;
      named.made = kept.made;
      named.number = kept.number;
      found.push_back({name_of(log, named), what});
    }
  }
  return found;
}

std::string name_of(const logbook::Logbook& log, const logbook::KeptCheck& kept) {
  for (const auto& station : log.stations()) {
    if (station.made.id == kept.made.station) return station.shown_name + "/" + std::to_string(kept.number);
  }
  return kept.made.id;
}

}  // namespace quarterturn::app
