// SPDX-License-Identifier: MIT
#include "app/measured_on.hpp"

#include <algorithm>

#include "app/keep_check.hpp"
#include "files/log_document.hpp"
#include "files/readings_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

constexpr std::size_t kNoChance = 4;  // so many readings do not repeat themselves on another panel

bool same_spots(const check::Spot& a, const check::Spot& b) {
  return a.position_mm == b.position_mm &&
         std::ranges::equal(a.readings, b.readings, {}, &check::Reading::mm, &check::Reading::mm);
}

bool same_strips(const check::Strip& a, const check::Strip& b) {
  return a.panel == b.panel && a.from_cut == b.from_cut && a.to_cut == b.to_cut &&
         std::ranges::equal(a.spots, b.spots, same_spots);
}

/// The first fields of a row, without the comma behind them.
std::string_view fields(std::string_view row, int count) {
  std::size_t stop = 0;
  for (int comma = 0; comma < count && stop < row.size(); ++comma)
    stop = std::min(row.find(',', stop + (comma == 0 ? 0 : 1)), row.size());
  return row.substr(0, stop);
}

std::size_t readings_in(const check::Strip& strip) {
  std::size_t count = 0;
  for (const auto& spot : strip.spots) count += spot.readings.size();
  return count;
}

}  // namespace

Overlap overlap(const check::Check& now, const check::Check& kept) {
  if (now.gaps() || kept.gaps()) {
    if (now.test != kept.test || now.form != kept.form) return Overlap::none;
  }
  std::size_t common = 0, readings = 0;
  for (const auto& strip : now.strips) {
    if (std::ranges::none_of(kept.strips, [&](const auto& other) { return same_strips(strip, other); }))
      continue;
    ++common;
    readings += readings_in(strip);
  }
  // Gaps are read in coarse steps: closed joints read alike on any day.
  const bool by_chance = readings < kNoChance || now.gaps();
  if (common == 0 || (by_chance && now.date != kept.date)) return Overlap::none;
  const bool all_now = common == now.strips.size(), all_kept = common == kept.strips.size();
  if (all_now && all_kept) return Overlap::same;
  if (all_kept) return Overlap::goes_on;
  return all_now ? Overlap::part : Overlap::none;
}

std::optional<files::EventRecord> moved_after(const logbook::Logbook& log, const std::string& station,
                                              const std::string& setup, const Shared& shared) {
  const auto made = files::order_of(shared.date, shared.utc, shared.recorded);
  for (const auto& kept : log.events(station)) {
    const auto& event = kept.event;
    if (kept.withdrawn || !files::ends_validity(event.kind)) continue;
    if (!event.setup.empty() && event.setup != setup) continue;
    if (files::order_of(event.date, event.utc, event.recorded) >= made) return event;
  }
  return std::nullopt;
}

std::optional<Shared> shared_strips(const logbook::Logbook& log, const std::string& station,
                                    const std::string& setup, const check::Check& now, bool measured_now) {
  const std::string beginning = first_strip(files::write_readings(now));
  const auto checks = log.newest_results(station, setup, kNewest);
  for (std::size_t k = checks.size(); k-- > 0;) {
    const auto& kept = checks[k];
    std::string readings = log.readings(kept.version);
    if (first_strip(readings) != beginning) continue;
    const auto how = overlap(now, files::parse_readings(files::text_of(std::move(readings), "the log")));
    if (how == Overlap::none) continue;
    const Shared shared{kept.id, kept.date, kept.recorded, kept.utc, how};
    if (measured_now && how != Overlap::goes_on && moved_after(log, station, setup, shared)) continue;
    return shared;
  }
  return std::nullopt;
}

void hold_to_one_stand(const logbook::Logbook& log, const std::string& station, const std::string& setup,
                       const Shared& shared, const std::string& source) {
  if (shared.overlap != Overlap::goes_on) return;
  const auto event = moved_after(log, station, setup, shared);
  if (!event) return;
  throw units::InputError(
      "cuts", "those of " + name_of(log, log.check(shared.id)) + " and more",
      "all made before or all after '" + event->kind + "' of " + event->date.substr(0, 10), {source, 0, 0},
      "a strip whose corners lie on both sides of a move tells of neither; all edges are old, so begin again "
      "at cut 1, in readings of their own");
}

std::optional<int> planned_strips_of(const logbook::Logbook& log, const Shared& shared,
                                     std::optional<int> planned) {
  if (shared.overlap != Overlap::goes_on && shared.overlap != Overlap::same) return planned;
  const auto kept = log.versions(shared.id).back().result.planned_strips;
  if (!kept && !planned) return std::nullopt;
  if (kept && (!planned || *planned == static_cast<int>(*kept))) return static_cast<int>(*kept);
  throw units::InputError("--most-strips", std::to_string(planned.value_or(0)),
                          kept ? std::to_string(static_cast<int>(*kept)) + ", as the check was planned"
                               : std::string("left out, since the check was begun without a plan"),
                          {}, "the number is fixed before the first cut");
}

std::string first_strip(std::string_view readings) {
  std::string rows;
  std::string_view strip;
  bool below_header = false;
  while (!readings.empty()) {
    const std::string_view line = readings.substr(0, readings.find('\n'));
    readings.remove_prefix(std::min(line.size() + 1, readings.size()));
    if (line.empty() || line.starts_with('#')) continue;
    if (below_header) {
      if (strip.empty()) strip = fields(line, 3);
      if (fields(line, 3) != strip) break;
      rows.append(fields(line, 5)).append("\n");
    }
    below_header = true;
  }
  return rows;
}

}  // namespace quarterturn::app
