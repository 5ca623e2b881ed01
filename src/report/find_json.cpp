// SPDX-License-Identifier: MIT
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/find_report.hpp"
#include "report/json_numbers.hpp"

namespace quarterturn::report {
namespace {

const char* standing_word(history::Standing standing) {
  switch (standing) {
    case history::Standing::best:
      return "fits-best";
    case history::Standing::fits:
      return "fits";
    case history::Standing::possible:
      return "possible";
    case history::Standing::unlikely:
      return "unlikely";
    case history::Standing::out:
      break;
  }
  return "out";
}

Json test_json(const history::TestRow& test) {
  return {{"test", test.code}, {"ask", test.ask}, {"minutes", test.minutes}, {"cuts", test.cuts}};
}

Json suspect_json(const history::Search& search, const history::Suspect& suspect) {
  Json json{{"cause", suspect.row->code},
            {"words", suspect.row->words},
            {"probability", suspect.probability},
            {"standing", standing_word(history::standing(suspect))},
            {"effect_rad", search.q * suspect.effect}};
  if (!suspect.row->size_words.empty()) json["size_mm"] = suspect.size;
  if (!suspect.target.empty()) json["target"] = suspect.target;
  if (!suspect.also.empty()) {
    Json also = Json::array();
    for (const auto& other : suspect.also) {
      also.push_back({{"target", other.target}});
      if (!suspect.row->size_words.empty()) also.back()["size_mm"] = other.size;
    }
    json["or_target"] = also;
  }
  json["since_check"] = search.names[suspect.since].name;
  json["known_size"] = suspect.known_size;
  json["cure"] = suspect.row->cure;
  return json;
}

}  // namespace

std::string find_json(const history::Search& search) {
  const auto& found = search.found;
  Json json;
  json["schema"] = "quarterturn/find/1";
  json["station"] = search.station;
  json["setup"] = search.setup;
  json["check"] = search.names.back().name;
  if (found.good) {
    json["compared_with"] = search.names[*found.good].name;
    json["compared_was_within"] = search.scene.checks[*found.good].within;
  }
  json["change"] = {{"estimate_rad", search.q * found.change},
                    {"standard_uncertainty_rad", found.change_u},
                    {"dof", bounded(found.change_dof)},
                    {"beyond_chance", found.changed}};
  Json answers = Json::object();
  for (const auto& [code, answer] : search.answers) {
    answers[code] = answer.skipped ? Json{{"skipped", true}} : Json{{"found", answer.found}};
    if (answer.mm) answers[code]["mm"] = *answer.mm;
  }
  json["answers"] = answers;
  Json aside = Json::array();
  for (const auto* test : found.found_aside) aside.push_back(test->code);
  json["found_explains_nothing"] = aside;
  Json later = Json::array();
  for (const auto& event : search.since_last) later.push_back({{"event", event.name}, {"date", event.date}});
  json["since_check"] = later;
  Json suspects = Json::array();
  for (const auto& suspect : found.suspects) suspects.push_back(suspect_json(search, suspect));
  json["causes"] = suspects;
  json["settled"] = found.settled();
  if (found.next != nullptr) json["next_test"] = test_json(*found.next);
  Json spared = Json::array();
  for (const auto* test : found.not_needed) spared.push_back(test_json(*test));
  json["other_tests"] = spared;
  json["never_separable"] = Json(found.inseparable);
  return json.dump(2) + "\n";
}

}  // namespace quarterturn::report
