// SPDX-License-Identifier: MIT
#include "app/known_checks.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "app/fit_inputs.hpp"
#include "app/keep_check.hpp"
#include "app/kept_result.hpp"
#include "app/measured_on.hpp"
#include "app/rail_bow.hpp"
#include "app/run_check.hpp"
#include "check/log_choice.hpp"
#include "check/resolution.hpp"
#include "files/dates.hpp"
#include "files/log_document.hpp"
#include "files/readings_file.hpp"
#include "files/station_file.hpp"
#include "history/history.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

constexpr std::int64_t kDay = 86400;
constexpr std::size_t kDayText = 10;  // of 2026-03-14T10:20:00
// The newest are read (M18): reading more of them takes longer than a person at the prompt should notice.
constexpr std::size_t kMostEarlier = 250;

check::ScatterEvidence scatter_of(std::string readings, const std::string& person, const std::string& id,
                                  const station::Station& station, const std::string& setup) {
  check::ScatterEvidence evidence;
  evidence.readings = files::parse_readings(files::text_of(std::move(readings), "the log"));
  if (evidence.readings.gaps() && !evidence.readings.caliper) evidence.readings.caliper = usual_feeler();
  const auto geometry = station::geometry_of(station, station.setup(setup));
  evidence.span_mm = geometry.bar_length_mm ? 0 : geometry.seating_span_mm().value_or(0);
  evidence.check_id = id;
  evidence.person = person;
  return evidence;
}

/// Station versions, read once each.
class Versions {
 public:
  explicit Versions(const logbook::Logbook& log) : log_(log) {}
  const station::Station& operator[](const std::string& id) {
    const auto found = stations_.find(id);
    if (found != stations_.end()) return found->second;
    return stations_.emplace(id, log_.station_version(id)).first->second;
  }

 private:
  const logbook::Logbook& log_;
  std::map<std::string, station::Station> stations_;
};

files::Order when(const logbook::KeptResult& kept) {
  return files::order_of(kept.date, kept.utc, kept.recorded);
}

bool follows(const logbook::KeptResult& kept, const logbook::KeptEvent& event) {
  const auto& e = event.event;
  return files::order_of(e.date, e.utc, e.recorded) < when(kept);
}

/// Events that count for a setup, up to a moment.
std::vector<logbook::KeptEvent> events_of(const logbook::Logbook& log, const std::string& station,
                                          const std::string& setup, std::int64_t utc) {
  auto events = log.events(station);
  std::erase_if(events, [&](const auto& kept) {
    const bool later = kept.event.utc > utc + kDay && kept.event.kind != history::kCauseNoted;
    return kept.withdrawn || (!kept.event.setup.empty() && kept.event.setup != setup) || later;
  });
  return events;
}

/// Its squareness error as decisions take it; none where its side or its whole ± is not known.
void believe(correct::Believed& believed, const files::StoredResult& result) {
  if (result.q == 0 || result.unknown) return;
  believed.eps.push_back(result.q * result.eta);
  believed.u.push_back(acting_u(result));
}

/// When a cause was last noted behind a check that was outside: what checks before it read is put right.
std::optional<files::Order> put_right(const std::vector<logbook::KeptResult>& checks,
                                      const std::vector<logbook::KeptEvent>& events) {
  std::optional<files::Order> last;
  for (const auto& kept : events) {
    if (kept.event.kind != history::kCauseNoted) continue;
    const auto order = files::order_of(kept.event.date, kept.event.utc, kept.event.recorded);
    const auto behind = std::ranges::find_if(checks, [&](const auto& check) { return order < when(check); });
    if (behind == checks.begin() || std::prev(behind)->result.verdict != "outside") continue;
    if (!last || *last < order) last = order;
  }
  return last;
}

/// What the last event that changed how it stands left, when that was a move of known size.
std::optional<correct::Prediction> after_move(const std::vector<logbook::KeptEvent>& events) {
  for (auto event = events.rbegin(); event != events.rend(); ++event) {
    if (!files::ends_validity(event->event.kind)) continue;
    if (!event->move || !event->move->moved) return std::nullopt;
    const auto& move = *event->move;
    const double u_action = move.u_action.value_or(0);
    return correct::Prediction{move.mu + *move.moved, move.v + u_action * u_action, true};
  }
  return std::nullopt;
}

bool explains(const logbook::KeptEvent& event) {
  return files::explains_change(event.event.kind);
}

/// What a new check is held against: since the last time it was set up on purpose, or a cause was noted, the
/// last check that was within; without one the newest.
std::size_t reference_of(const std::vector<logbook::KeptResult>& checks,
                         const std::vector<logbook::KeptEvent>& events) {
  for (std::size_t k = checks.size(); k-- > 0;) {
    const bool set_since = std::ranges::any_of(
        events, [&](const auto& event) { return explains(event) && !follows(checks[k], event); });
    if (set_since) break;
    if (checks[k].result.verdict == "within") return k;
  }
  return checks.size() - 1;
}

/// The last cause that was noted behind the newest check.
std::optional<correct::NotedCause> noted_since(const logbook::KeptResult& newest, const std::string& station,
                                               const std::vector<logbook::KeptEvent>& events,
                                               std::int64_t utc) {
  if (newest.result.unknown) return std::nullopt;
  const files::EventRecord* last = nullptr;
  for (const auto& kept : events) {
    const auto& event = kept.event;
    if (event.kind != history::kCauseNoted || event.utc > utc + kDay || follows(newest, kept)) continue;
    last = &event;
  }
  if (last == nullptr) return std::nullopt;
  // `rail-off-dog: its words; the tests that were made`
  const auto from = std::min(last->note.find(": "), last->note.size());
  const std::string words = last->note.substr(std::min(from + 2, last->note.size()));
  return correct::NotedCause{words.substr(0, words.find(';')), last->date.substr(0, 10),
                             station + "/" + std::to_string(newest.number), newest.result.eta,
                             acting_u(newest.result)};
}

/// \param same_places  the station is still described as it was then; else that explains a change
void take_last(Known& known, const logbook::KeptResult& kept, const std::vector<logbook::KeptEvent>& events,
               bool same_places) {
  const auto& result = kept.result;
  if (result.q == 0 || result.unknown) return;
  known.last = correct::LastCheck{result.q * result.eta, acting_u(result), false};
  known.last->explained = !same_places || std::ranges::any_of(events, [&](const auto& event) {
    return explains(event) && !follows(kept, event);
  });
}

std::string checks_name(const std::string& station, const logbook::KeptResult& kept) {
  return station + "/" + std::to_string(kept.number);
}

/// A kept check as a test that one of another kind is held against.
std::optional<correct::OtherTest> other_test_of(const logbook::KeptResult& kept, const check::Check& check,
                                                const std::string& station) {
  const auto& result = kept.result;
  const bool turned = check.test == check::TestKind::turn_over;
  if (result.unknown || (check.gaps() && !turned)) return std::nullopt;
  correct::OtherTest other;
  other.name = checks_name(station, kept);
  other.date = kept.date.substr(0, kDayText);
  other.test = check::test_row(check.test).word;
  other.found = {result.eta, result.u, result.dof.value_or(check::kUnbounded)};
  if (!turned) {
    other.panel = check.panel_size;
    other.last_cut = last_cut_of(check);
    return other;
  }
  if (check.panel_size) other.joint_length_mm = check.panel_size->depth_mm;
  if (check.form == check::Form::pair) {
    other.curvature =
        check::curvature_of(check.strips.front(), evidence_of(check.caliper), check::resolution_mm(check));
  }
  return other;
}

/// The rail is another after it, or may be bent otherwise.
bool touches_rail(const logbook::KeptEvent& kept) {
  const auto& event = kept.event;
  if (event.kind == "other rail" || event.kind == "knocked") return true;
  if (kept.move && kept.move->means == correct::means_row(correct::Means::other_rail).word) return true;
  return event.kind == history::kCauseNoted && event.note.starts_with("bowed-rail");
}

/// The newest rail test of the setup since the rail was last changed or knocked.
std::optional<correct::RailBow> rail_of(const logbook::Logbook& log, const std::string& station,
                                        const station::Station& as_now, const std::string& setup,
                                        std::int64_t utc, const std::vector<logbook::KeptEvent>& events) {
  auto tests = log.results(station, setup, logbook::Told::rail);
  std::erase_if(tests, [&](const auto& kept) { return kept.utc > utc || kept.result.unknown; });
  if (tests.empty()) return std::nullopt;
  const auto& newest = *std::ranges::max_element(tests, {}, when);
  const bool other_since = std::ranges::any_of(
      events, [&](const auto& event) { return touches_rail(event) && !follows(newest, event); });
  const auto then = log.station_version(newest.station_version);
  const auto found = then.setups.find(setup), now = as_now.setups.find(setup);
  const bool same_rail = found != then.setups.end() && now != as_now.setups.end() &&
                         found->second.rail_name == now->second.rail_name;
  if (other_since || !same_rail) return std::nullopt;
  CheckRequest request;
  request.check = files::parse_readings(files::text_of(log.readings(newest.version), "the log"));
  request.confidence = newest.result.confidence;
  auto bow = run_check(request).bow;
  bow->name = checks_name(as_now.name, newest);
  bow->date = newest.date.substr(0, kDayText);
  return bow;
}

}  // namespace

std::string places_of(const station::Station& station, const std::string& setup) {
  const auto found = station.setups.find(setup);
  if (found == station.setups.end()) return {};
  station::Station bare;
  bare.name = "x";
  bare.grid = station.grid;
  auto& kept = bare.setups[setup] = found->second;
  kept.tolerance.reset();
  for (const auto* line : {&kept.rail, &kept.fence}) {
    for (const auto* post : {&line->first, &line->second}) {
      const auto dog = station.dogs.find(post->dog);
      if (dog != station.dogs.end()) bare.dogs[post->dog] = dog->second;
    }
  }
  return files::write_station(bare);
}

Known known_before(const logbook::Logbook& log, const std::string& station, const station::Station& as_now,
                   const std::string& setup, std::int64_t utc, const std::string& own_readings,
                   const std::string& own, const files::Recorded& as_recorded) {
  Known known;
  const auto came_later = [&](const files::Recorded& recorded) {
    return !as_recorded.empty() && recorded > as_recorded;
  };
  auto checks = log.results(station, setup);
  const auto itself = own_readings.empty() ? std::set<std::string>{} : log.versions_with(utc, own_readings);
  std::erase_if(checks, [&](const auto& kept) {
    return kept.utc > utc || kept.id == own || came_later(kept.recorded) || itself.contains(kept.version);
  });
  // Checks are kept in the order of their days but for old ones that were put in later.
  if (!std::ranges::is_sorted(checks, {}, when)) std::ranges::stable_sort(checks, {}, when);
  const auto all_events = events_of(log, station, setup, utc);
  auto events = all_events;
  std::erase_if(events, [&](const auto& event) { return came_later(event.event.recorded); });
  const std::string places = places_of(as_now, setup);
  Versions versions(log);
  const auto right_since = put_right(checks, events);
  std::map<std::string, bool> known_places;
  const auto on_same_places = [&](const std::string& version) {
    auto same = known_places.find(version);
    if (same == known_places.end())
      same = known_places.emplace(version, places_of(versions[version], setup) == places).first;
    return same->second;
  };
  if (!checks.empty()) {
    const auto& reference = checks[reference_of(checks, events)];
    take_last(known, reference, events, on_same_places(reference.station_version));
    known.noted = noted_since(checks.back(), as_now.name, events, utc);
  }
  for (auto kept = checks.rbegin(); kept != checks.rend() && known.earlier.size() < kMostEarlier; ++kept) {
    std::string readings = log.readings(kept->version);
    const auto& version = kept->station_version;
    const bool same_places = on_same_places(version);
    const bool stands = std::ranges::all_of(events, [&](const auto& event) {
      return !files::ends_validity(event.event.kind) || follows(*kept, event);
    });
    if (!stands || !same_places) break;  // nor do those before it tell of how it stands now
    if (!right_since || *right_since < when(*kept)) believe(known.believed, kept->result);
    known.earlier.push_back(
        scatter_of(std::move(readings), kept->person, kept->id, versions[version], setup));
    const auto& check = known.earlier.back().readings;
    auto& other = check.gaps() ? known.turn_over : known.strips;
    if (!other) other = other_test_of(*kept, check, as_now.name);
  }
  std::ranges::reverse(known.earlier);
  std::ranges::reverse(known.believed.eps);
  std::ranges::reverse(known.believed.u);
  known.believed.after_move = after_move(events);
  known.rail = rail_of(log, station, as_now, setup, utc, all_events);
  return known;
}

std::optional<correct::RailBow> newest_rail(const logbook::Logbook& log, const station::Station& station,
                                            const std::string& setup, std::int64_t now_utc) {
  const std::string id = log.known_station(station);
  if (id.empty()) return std::nullopt;
  return rail_of(log, id, station, setup, now_utc, events_of(log, id, setup, now_utc));
}

std::vector<std::string> ids_of(const std::vector<check::ScatterEvidence>& earlier) {
  std::vector<std::string> ids;
  ids.reserve(earlier.size());
  for (const auto& evidence : earlier) ids.push_back(evidence.check_id);
  return ids;
}

std::optional<AskedOf> asked_of(const CheckRequest& request, const logbook::Logbook& log,
                                std::int64_t now_utc) {
  if (!request.station) return std::nullopt;
  const std::string id = log.known_station(*request.station);
  if (id.empty()) return std::nullopt;
  const auto& setup = request.station->setup(request.setup.empty() ? request.check.setup : request.setup);
  const auto& date = request.check.date;
  return AskedOf{id, setup.name, date.empty() ? now_utc : files::parse_date(date, "date").utc_second};
}

Known inform(CheckRequest& request, const logbook::Logbook& log, std::int64_t now_utc,
             const std::string& own_id, const files::Recorded& as_recorded) {
  const auto asked = asked_of(request, log, now_utc);
  if (!asked) return {};
  check::Check own = request.check;
  own.setup = asked->setup;
  if (own.date.empty()) own.date = files::day_text(now_utc);
  Known known;
  log.at_one_moment([&] {
    std::string self = own_id;
    if (self.empty()) {
      if (const auto shared = shared_strips(log, asked->station, asked->setup, own, request.measured_now)) {
        hold_to_one_stand(log, asked->station, asked->setup, *shared, own.source);
        request.planned_strips = planned_strips_of(log, *shared, request.planned_strips);
        self = shared->id;
      }
    }
    known = known_before(log, asked->station, *request.station, asked->setup, asked->utc,
                         files::write_readings(own), self, as_recorded);
  });
  std::erase_if(known.earlier,
                [&](const auto& one) { return !check::scatters_alike(one.readings, request.check); });
  known.earlier = check::log_of_person(std::move(known.earlier), request.check.by);
  request.earlier = known.earlier;
  request.last = known.last;
  request.believed = known.believed;
  request.noted = known.noted;
  request.rail = known.rail;
  request.other = request.check.gaps() ? known.strips : known.turn_over;
  return known;
}

void hold_to_go_on(const CheckRequest& request, const logbook::Logbook& log, std::int64_t now_utc,
                   const logbook::KeptCheck* kept) {
  const auto asked = asked_of(request, log, now_utc);
  if (!asked) return;
  std::optional<Shared> shared;
  if (kept != nullptr) {
    if (kept->withdrawn)
      throw units::InputError("check", name_of(log, *kept), "one that counts", {}, "it was withdrawn");
    shared =
        Shared{kept->made.id, kept->latest.date, kept->made.recorded, kept->latest.utc, Overlap::goes_on};
  } else {
    check::Check own = request.check;
    if (own.date.empty()) own.date = files::day_text(now_utc);
    shared = shared_strips(log, asked->station, asked->setup, own, request.measured_now);
    if (shared) shared->overlap = Overlap::goes_on;
  }
  if (shared) hold_to_one_stand(log, asked->station, asked->setup, *shared, request.check.source);
}

struct EarlierAsKept::Inside {
  const logbook::Logbook& log;
  Versions versions;
};

EarlierAsKept::EarlierAsKept(const logbook::Logbook& log)
    : inside_(std::make_unique<Inside>(Inside{log, Versions(log)})) {}
EarlierAsKept::~EarlierAsKept() = default;

std::vector<check::ScatterEvidence> EarlierAsKept::at(const std::string& setup,
                                                      const std::vector<std::string>& ids,
                                                      const files::Recorded& recorded) {
  std::vector<check::ScatterEvidence> found;
  for (const auto& id : ids) {
    const auto all = inside_->log.versions(id);
    if (all.empty()) continue;
    const auto* version = &all.front();
    for (const auto& later : all) {
      if (later.recorded <= recorded) version = &later;
    }
    found.push_back(scatter_of(version->readings, version->person, id,
                               inside_->versions[version->station_version], setup));
  }
  return found;
}

}  // namespace quarterturn::app
