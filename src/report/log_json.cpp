// SPDX-License-Identifier: MIT
#include <nlohmann/json.hpp>

#include "files/csv.hpp"
#include "files/readings_file.hpp"
#include "report/log_report.hpp"
#include "units/text.hpp"

namespace quarterturn::report {
namespace {

using Json = nlohmann::ordered_json;

Json result_json(const files::StoredResult& result) {
  Json json;
  json["estimate_rad"] = result.eta;
  if (!result.unknown) {
    json["standard_uncertainty_rad"] = result.u;
    json["dof"] = result.dof ? Json(*result.dof) : Json(nullptr);
    json["confidence"] = result.confidence;
    json["interval_rad"] = {result.eta - result.half_width, result.eta + result.half_width};
  }
  return json;
}

Json version_json(const files::CheckVersion& version) {
  Json json = {{"recorded", version.recorded}, {"date", version.date}};
  if (!version.reason.empty()) json["reason"] = version.reason;
  if (!version.person.empty()) json["by"] = version.person;
  if (version.result.test) json["test"] = *version.result.test;
  // Of a rail test h over the tested length.
  json[version.result.test == files::kRailTest ? "rail_bow_over_length" : "corner_error"] =
      result_json(version.result);
  if (!version.result.verdict.empty()) {
    json["verdict"] = {{"setup", version.result.verdict}, {"provisional", version.result.provisional}};
    if (version.result.tolerance) json["verdict"]["tolerance_rad"] = *version.result.tolerance;
  }
  json["program"] = version.result.program;
  return json;
}

Json check_json(const std::string& station, const logbook::KeptCheck& kept) {
  Json json = {
      {"station", station}, {"number", kept.number}, {"id", kept.made.id}, {"setup", kept.made.setup}};
  json.update(version_json(kept.latest));
  json["withdrawn"] = kept.withdrawn;
  return json;
}

}  // namespace

std::string log_list_json(const logbook::Logbook& log, const std::string& station) {
  const auto names = station_names(log);
  Json json;
  json["schema"] = "quarterturn/log-list/1";
  json["checks"] = Json::array();
  for (const auto& kept : log.checks(station, logbook::Logbook::Fetch::results))
    json["checks"].push_back(check_json(names.at(kept.made.station), kept));
  json["events"] = Json::array();
  for (const auto& kept : log.events(station)) {
    const auto& event = kept.event;
    Json row = {
        {"id", event.id}, {"station", names.at(event.station)}, {"date", event.date}, {"event", event.kind}};
    if (!event.setup.empty()) row["setup"] = event.setup;
    if (!event.target.empty()) row["target"] = event.target;
    if (!event.note.empty()) row["note"] = event.note;
    row["withdrawn"] = kept.withdrawn;
    json["events"].push_back(std::move(row));
  }
  json["summaries"] = Json::array();
  for (const auto& kept : log.summaries(station)) {
    const auto& summary = kept.summary;
    Json row = {{"id", summary.id},     {"station", names.at(summary.station)},
                {"date", summary.date}, {"test", summary.test},
                {"side", summary.side}, {"error_rad", summary.error}};
    if (summary.plus_minus) row["plus_minus_rad"] = *summary.plus_minus;
    row["withdrawn"] = kept.withdrawn;
    json["summaries"].push_back(std::move(row));
  }
  return json.dump(2) + "\n";
}

std::string log_show_json(const logbook::Logbook& log, const logbook::KeptCheck& kept) {
  const auto names = station_names(log);
  Json json;
  json["schema"] = "quarterturn/log-check/1";
  json.update(check_json(names.at(kept.made.station), kept));
  json["versions"] = Json::array();
  for (const auto& version : log.versions(kept.made.id)) json["versions"].push_back(version_json(version));
  json["notes"] = Json::array();
  for (const auto& note : log.notes(kept.made.id))
    json["notes"].push_back({{"recorded", note.recorded}, {"text", note.text}});
  json["readings"] = kept.latest.readings;
  return json.dump(2) + "\n";
}

namespace {

/// A cell of free text: what a person typed never becomes a formula in a spreadsheet.
std::string free_cell(const std::string& text) {
  return files::csv_cell(files::guarded(text));
}

}  // namespace

std::string checks_csv(const logbook::Logbook& log, const std::string& station) {
  const auto names = station_names(log);
  std::string out =
      "station,number,setup,date,by,eta_rad,standard_uncertainty_rad,half_width_rad,confidence,tolerance_rad,"
      "verdict,"
      "provisional,withdrawn,id,test\n";
  for (const auto& kept : log.checks(station, logbook::Logbook::Fetch::results)) {
    const auto& result = kept.latest.result;
    if (result.test == files::kRailTest) continue;  // it tells no corner
    out += free_cell(names.at(kept.made.station)) + "," + std::to_string(kept.number) + "," +
           free_cell(kept.made.setup) + "," + kept.latest.date + "," + free_cell(kept.latest.person) + "," +
           units::shortest(result.eta) + "," + (result.unknown ? "" : units::shortest(result.u)) + "," +
           (result.unknown ? "" : units::shortest(result.half_width)) + "," +
           units::shortest(result.confidence) + "," +
           (result.tolerance ? units::shortest(*result.tolerance) : "") + "," + result.verdict + "," +
           (result.provisional ? "yes" : "no") + "," + (kept.withdrawn ? "yes" : "no") + "," + kept.made.id +
           "," + result.test.value_or("") + "\n";
  }
  return out;
}

std::string readings_csv(const logbook::Logbook& log, const std::string& station) {
  const auto names = station_names(log);
  std::string out = "station,number,date,panel,from_cut,to_cut,position_mm,width_mm,as_typed,test\n";
  for (const auto& kept : log.checks(station)) {
    const auto check = files::parse_readings(files::text_of(kept.latest.readings, "the log"));
    const std::string front = free_cell(names.at(kept.made.station)) + "," + std::to_string(kept.number) +
                              "," + kept.latest.date + ",";
    for (const auto& strip : check.strips) {
      // Of a gap test no cuts, and the gap where a width would be.
      const std::string between =
          check.gaps() ? "," : std::to_string(strip.from_cut) + "," + std::to_string(strip.to_cut);
      const std::string cuts = std::to_string(strip.panel) + "," + between + ",";
      for (const auto& spot : strip.spots) {
        for (const auto& reading : spot.readings)
          out += front + cuts + units::shortest(spot.position_mm) + "," + units::shortest(reading.mm) + "," +
                 free_cell(reading.as_typed) + "," + check::test_row(check.test).word + "\n";
      }
    }
  }
  return out;
}

}  // namespace quarterturn::report
