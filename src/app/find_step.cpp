// SPDX-License-Identifier: MIT
#include "app/find_step.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "app/keep_check.hpp"
#include "app/kept_result.hpp"
#include "app/run_check.hpp"
#include "check/corners.hpp"
#include "check/fit.hpp"
#include "files/dates.hpp"
#include "files/log_document.hpp"
#include "files/readings_file.hpp"
#include "history/history.hpp"
#include "station/geometry.hpp"
#include "units/text.hpp"

namespace quarterturn::app {
namespace {

using logbook::KeptCheck;

constexpr double kDay = 86400;
constexpr double kPanelMm = 600;

files::Order order_of(const KeptCheck& kept) {
  return files::order_of(kept.latest.date, kept.latest.utc, kept.made.recorded);
}
files::Order order_of(const logbook::KeptEvent& kept) {
  return files::order_of(kept.event.date, kept.event.utc, kept.event.recorded);
}

/// Checks that count, by date; the newest of the setup asked for last, even where others were made after it
/// to tell causes apart.
/// \param to_explain  id of the last one of its setup that is looked at; empty: the newest
std::vector<KeptCheck> checks_of(const logbook::Logbook& log, const std::string& id,
                                 const std::string& station, std::string& setup,
                                 const std::string& to_explain) {
  auto checks = log.checks(id, logbook::Logbook::Fetch::results);
  std::erase_if(checks, [](const KeptCheck& kept) { return kept.withdrawn || kept.latest.result.q == 0; });
  std::ranges::stable_sort(checks, {}, [](const KeptCheck& kept) { return order_of(kept); });
  const auto explained =
      std::ranges::find_if(checks, [&](const auto& kept) { return kept.made.id == to_explain; });
  if (explained != checks.end()) {
    // Those of other setups that came behind it were made to tell causes apart.
    const std::string of = explained->made.setup;
    checks.erase(std::remove_if(explained + 1, checks.end(),
                                [&](const KeptCheck& kept) { return kept.made.setup == of; }),
                 checks.end());
  }
  if (setup.empty() && !checks.empty()) setup = checks.back().made.setup;
  const auto newest = std::find_if(checks.rbegin(), checks.rend(),
                                   [&](const auto& kept) { return kept.made.setup == setup; });
  if (newest == checks.rend()) no_check_kept(station, setup);
  std::rotate(newest.base() - 1, newest.base(), checks.end());
  if (checks.size() > history::kMostSeen)
    checks.erase(checks.begin(), checks.end() - static_cast<std::ptrdiff_t>(history::kMostSeen));
  return checks;
}

/// Seating of one check from its own strips, as a mean square with what readings explain in it.
void take_seating(history::Seen& seen, const check::Fit& fit, int contrasts) {
  if (contrasts < 1) return;
  double readings = 0;
  for (const auto& taper : fit.tapers) readings += taper.u_rad * taper.u_rad / taper.squares;
  readings /= static_cast<double>(fit.tapers.size());
  seen.seating_ms = fit.seating_rad * fit.seating_rad + readings;
  seen.seating_nu = contrasts;
}

double panel_of(const check::Check& check) {
  return check.panel_size ? check.panel_size->depth_mm : kPanelMm;
}

/// u as decisions use it; with the usual seating where the check could not see any.
double whole_u(const files::StoredResult& result, const std::optional<double>& span_mm) {
  const double u = acting_u(result);
  return result.unknown ? std::hypot(u, unseen_seating_rad(span_mm.value_or(check::kDefaultSpanMm))) : u;
}

/// How far any reading lies from the mean of the others of its spot; empty where one stands alone.
std::optional<double> most_off(const check::Check& check) {
  double most = 0;
  for (const auto& strip : check.strips) {
    for (const auto& spot : strip.spots) {
      const auto n = static_cast<double>(spot.readings.size());
      if (n < 2) return std::nullopt;
      const double mean = check::mean_mm(spot.readings);
      for (const auto& reading : spot.readings)
        most = std::max(most, std::fabs(reading.mm - mean) * n / (n - 1));
    }
  }
  return most;
}

void take_readings(history::Seen& seen, const check::Check& check, const station::Geometry& geometry) {
  check::FitOptions options;
  options.use_assumed = false;
  options.span_mm = geometry.seating_span_mm();
  options.bar_length_mm = geometry.bar_length_mm;
  std::size_t readings = 0;
  double apart = 1;
  for (const auto& strip : check.strips) {
    readings += strip.spots.front().readings.size();
    apart = strip.spots.back().position_mm - strip.spots.front().position_mm;
  }
  const auto corners = check::corners_of(check);
  const double turns = std::fabs(corners.t.front());
  seen.per_reading = 1 / (turns * apart * static_cast<double>(std::max<std::size_t>(1, readings)));
  seen.most_off_mm = most_off(check);
  seen.person = check.by;
  seen.caliper = check.caliper_id;
  try {
    const auto fit = check::fit(check, {}, {}, options);
    take_seating(seen, fit, corners.contrasts());
    seen.curved =
        std::ranges::any_of(fit.findings, [](const auto& one) { return one.code == "curved-strip"; });
  } catch (const check::NoInterval&) {
    // Its readings alone tell nothing of how they scatter.
  }
}

history::Happened happened(const logbook::KeptEvent& kept, std::size_t before) {
  history::Happened event;
  event.kind = kept.event.kind;
  event.target = kept.event.target;
  event.setup = kept.event.setup;
  event.date = static_cast<double>(kept.event.utc) / kDay;
  event.before = before;
  if (kept.move) {
    event.moved = kept.move->moved;
    event.u_action = kept.move->u_action;
    event.is_shim = kept.move->means == "shim";
    if (event.target.empty()) event.target = kept.move->text;
  }
  return event;
}

class SceneMaker {
 public:
  SceneMaker(const logbook::Logbook& log, history::Search& result) : log_(log), result_(result) {}

  void happens(const logbook::KeptEvent& kept) {
    if (files::puts_dogs_in_anew(kept.event.kind)) ++insertion_;
    if (kept.event.kind == "dog turned" && !kept.event.target.empty()) {
      auto& stands = turned_.try_emplace(kept.event.target, 1).first->second;
      stands = -stands;
    }
    result_.scene.events.push_back(happened(kept, result_.scene.checks.size()));
  }

  void adds(const KeptCheck& kept) {
    auto version = kept.latest;
    version.readings = log_.readings(version.id);
    const auto request = request_of(log_, version);
    const auto& setup = request.station->setup(kept.made.setup);
    const auto geometry = station::geometry_of(*request.station, setup);
    history::Seen seen;
    seen.check_id = kept.made.id;
    seen.date = static_cast<double>(version.utc) / kDay;
    seen.eps = version.result.q * version.result.eta;
    seen.u = whole_u(version.result, geometry.seating_span_mm());
    if (!version.result.unknown) {
      seen.u_told = version.result.u;
      seen.dof = version.result.dof.value_or(check::kUnbounded);
    }
    seen.within = version.result.verdict == "within";
    seen.insertion = insertion_;
    history::stand_on(result_.scene, seen, *request.station, setup, turned_, panel_of(request.check));
    take_readings(seen, request.check, geometry);
    result_.names.push_back(
        {result_.station + "/" + std::to_string(kept.number), version.date.substr(0, 10)});
    result_.unit = request.check.unit;
    result_.q = version.result.q;
    result_.now_within = seen.within;
    result_.scene.checks.push_back(std::move(seen));
    if (setup.tolerance && setup.tolerance->over) result_.panel_mm = setup.tolerance->over->mm();
  }

 private:
  const logbook::Logbook& log_;
  history::Search& result_;
  history::Turned turned_;
  int insertion_ = 0;
};

}  // namespace

history::Search find_step(const logbook::Logbook& log, const FindRequest& request) {
  history::Search result;
  log.at_one_moment([&] {
    const std::string id = kept_station(log, request.station);
    result.station = request.station.name;
    result.setup = request.setup.empty() ? "" : request.station.setup(request.setup).name;
    const auto checks = checks_of(log, id, result.station, result.setup, request.check);
    auto events = log.events(id);
    std::erase_if(events, [&](const auto& kept) {
      return kept.withdrawn || (!kept.event.setup.empty() && kept.event.setup != result.setup);
    });
    std::ranges::stable_sort(events, {}, [](const logbook::KeptEvent& kept) { return order_of(kept); });
    SceneMaker maker(log, result);
    auto event = events.begin();
    for (const auto& kept : checks) {
      for (; event != events.end() && order_of(*event) < order_of(kept); ++event) maker.happens(*event);
      maker.adds(kept);
    }
    for (; event != events.end(); ++event) {
      if (event->event.kind == history::kCauseNoted) continue;
      result.since_last.push_back({event->event.kind, event->event.date.substr(0, 10)});
    }
  });
  auto& scene = result.scene;
  const std::size_t since = scene.good() ? *scene.good() + 1 : 0;
  for (auto told : request.told) {
    told.before = since;
    if (told.date == 0) told.date = scene.checks.back().date;
    scene.events.push_back(told);
  }
  std::ranges::stable_sort(scene.events, {}, &history::Happened::before);
  result.log_explains =
      std::ranges::any_of(scene.events, [&](const auto& event) { return event.before >= since; });
  result.answers = request.answers;
  result.confidence = request.confidence;
  result.found = history::find_cause(scene, request.answers);
  return result;
}

LastStrip last_strip(const logbook::Logbook& log, const history::Search& search) {
  const auto versions = log.versions(search.scene.checks.back().check_id);
  const auto check = files::parse_readings(files::text_of(versions.back().readings, "the log"));
  const auto& strip = check.strips.back();
  return {strip.from_cut, strip.to_cut,
          check::mean_mm(strip.spots.front().readings) - check::mean_mm(strip.spots.back().readings)};
}

void note_event(logbook::Logbook& log, const history::Search& search, const std::string& kind,
                const std::string& date, std::int64_t now_utc, const std::string& about) {
  files::EventRecord record;
  record.station = log.station_id(search.station);
  record.kind = kind;
  const auto moment = date.empty() ? files::today(now_utc) : files::parse_past_date(date, "date", now_utc);
  record.date = moment.as_typed;
  record.utc = moment.utc_second;
  if (!about.empty()) record.note = "about " + about;
  log.keep(record);
}

std::string note_cause(logbook::Logbook& log, const history::Search& result, const std::string& code,
                       const std::string& person, std::int64_t now_utc) {
  files::EventRecord record;
  record.station = log.station_id(result.station);
  record.setup = result.setup;
  record.kind = history::kCauseNoted;
  const auto today = files::today(now_utc);
  record.date = today.as_typed;
  record.utc = today.utc_second;
  record.note = code + ": " + std::string(history::cause_row(code).words);
  for (const auto& [test, answer] : result.answers) {
    if (answer.skipped) continue;
    record.note += "; " + test + (answer.found ? " yes" : " no");
    if (answer.mm) record.note += " " + units::shortest(*answer.mm) + " mm";
  }
  record.person = person;
  for (const auto& suspect : result.found.suspects) {
    if (suspect.row->code == code) record.target = suspect.target;
  }
  return log.keep(record);
}

}  // namespace quarterturn::app
