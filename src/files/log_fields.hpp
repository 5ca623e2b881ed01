// SPDX-License-Identifier: MIT
/// \file log_fields.hpp
/// The fields of each record, named once: reading and writing the exchange file both walk them.
#pragma once

#include "files/log_document.hpp"

namespace quarterturn::files {

template <typename Walk>
void fields(Walk& walk, StationRecord& r) {
  walk("id", r.id);
  walk("recorded", r.recorded);
}
template <typename Walk>
void fields(Walk& walk, StationVersion& r) {
  walk("id", r.id);
  walk("station", r.station);
  walk("recorded", r.recorded);
  walk("name", r.name);
  walk("content", r.content);
}
template <typename Walk>
void fields(Walk& walk, StoredResult& r) {
  walk("program", r.program);
  walk("confidence", r.confidence);
  walk("eta_rad", r.eta);
  walk("u_rad", r.u);
  walk("half_width_rad", r.half_width);
  walk("dof", r.dof);
  walk("unknown", r.unknown);
  walk("q", r.q);
  walk("tolerance_rad", r.tolerance);
  walk("verdict", r.verdict);
  walk("provisional", r.provisional);
  walk("strict", r.strict);
  walk("assumed", r.assumed);
  walk("used", r.used);
  walk("planned_strips", r.planned_strips);
  walk("test", r.test);
}
template <typename Walk>
void fields(Walk& walk, CheckRecord& r) {
  walk("id", r.id);
  walk("station", r.station);
  walk("setup", r.setup);
  walk("recorded", r.recorded);
}
template <typename Walk>
void fields(Walk& walk, CheckVersion& r) {
  walk("id", r.id);
  walk("check", r.check);
  walk("recorded", r.recorded);
  walk("reason", r.reason);
  walk("date", r.date);
  walk("utc", r.utc);
  walk("person", r.person);
  walk("station_version", r.station_version);
  walk("readings", r.readings);
  walk("result", r.result);
}
template <typename Walk>
void fields(Walk& walk, EventRecord& r) {
  walk("id", r.id);
  walk("station", r.station);
  walk("setup", r.setup);
  walk("recorded", r.recorded);
  walk("date", r.date);
  walk("utc", r.utc);
  walk("kind", r.kind);
  walk("target", r.target);
  walk("note", r.note);
  walk("person", r.person);
}
template <typename Walk>
void fields(Walk& walk, MoveRecord& r) {
  walk("event", r.event);
  walk("check", r.check);
  walk("means", r.means);
  walk("text", r.text);
  walk("moved_rad", r.moved);
  walk("u_action_rad", r.u_action);
  walk("mu_rad", r.mu);
  walk("v_rad2", r.v);
}
template <typename Walk>
void fields(Walk& walk, SummaryRecord& r) {
  walk("id", r.id);
  walk("station", r.station);
  walk("setup", r.setup);
  walk("recorded", r.recorded);
  walk("date", r.date);
  walk("utc", r.utc);
  walk("test", r.test);
  walk("side", r.side);
  walk("error_rad", r.error);
  walk("plus_minus_rad", r.plus_minus);
  walk("person", r.person);
  walk("source", r.source);
}
template <typename Walk>
void fields(Walk& walk, NoteRecord& r) {
  walk("id", r.id);
  walk("about", r.about);
  walk("recorded", r.recorded);
  walk("text", r.text);
  walk("person", r.person);
}
template <typename Walk>
void fields(Walk& walk, WithdrawalRecord& r) {
  walk("id", r.id);
  walk("about", r.about);
  walk("recorded", r.recorded);
  walk("reason", r.reason);
  walk("person", r.person);
}
template <typename Walk>
void fields(Walk& walk, LogDocument& log) {
  walk("stations", log.stations);
  walk("station_versions", log.station_versions);
  walk("checks", log.checks);
  walk("check_versions", log.check_versions);
  walk("events", log.events);
  walk("moves", log.moves);
  walk("summaries", log.summaries);
  walk("notes", log.notes);
  walk("withdrawals", log.withdrawals);
}

}  // namespace quarterturn::files
