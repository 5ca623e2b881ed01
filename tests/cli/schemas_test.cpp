// SPDX-License-Identifier: MIT
/// data/schema describes what the program writes, wholly; and refuses what it never writes.
#include <doctest/doctest.h>

#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "support/json_schema.hpp"
#include "support/real_documents.hpp"
#include "support/source_tree.hpp"

using namespace quarterturn;
using Json = test::SchemaJson;
using test::OtherKeys;
using test::schema_faults;

namespace {

const std::string kFolder = QUARTERTURN_ROOT "/data/schema/";

const std::map<std::string, Json>& schemas() {
  static const std::map<std::string, Json> all = [] {
    std::map<std::string, Json> read;
    for (const auto& entry : std::filesystem::directory_iterator(kFolder)) {
      std::ifstream in(entry.path());
      read[entry.path().stem().string()] = Json::parse(in);
    }
    return read;
  }();
  return all;
}

/// The program runs a hundred times for these: once for all cases.
const std::vector<test::RealDocument>& documents() {
  static const auto made = test::real_documents();
  return made;
}

/// Keys that a document may lack, whatever stands in it, as DESIGN and the writers have it.
const std::set<std::string> kOptional{
    // of a check
    "station", "setup", "date", "form", "second_setup", "pieces", "rail_bow", "squareness_error", "log",
    "stopping", "noted_cause", "budget", "simulation", "held_against", "verdict", "settle", "decision",
    "corrections", "estimate", "dof", "setup_probability", "next_panel", "next_panel_probability",
    "probability_improves", "rail_first", "dog", "hole", "face", "shift_mm", "parts", "expect_strip_mm",
    "expect_gap_mm", "remaining_rad", "standard_uncertainty", "from_cut", "to_cut", "panel", "position_mm",
    "line", "kept_edge", "in_corner", "in_strips", "strips_minus_corner", "corner_at_straight_edge", "check",
    "half_width_without_rad", "probability_same_seating", "information_share", "level", "settled", "mean_rad",
    "refits", "for_a_provisional_verdict", "side_after_mm", "nearest", "rocks_up_to_rad", "holes",
    "change_rad", "improves_probability", "within_probability", "not_measured", "survey", "foretold_rad",
    "unmeasured", "bow_implied", "standard_uncertainty_rad", "confidence", "interval_rad", "at_most_rad",
    "chance", "panel_used_up",
    // of the others
    "apart_mm", "tolerance_rad", "aim", "cheapest", "cheapest_provisional", "within_probability",
    "outside_probability", "settles", "dogs", "taken", "w", "bad_hole", "pairs", "against",
    "standard_uncertainty_after_rad", "alarm_since", "last_answer", "last_good", "due", "leaves_tolerance",
    "id", "target", "change", "p", "shared", "event", "tolerance_unknown", "size_mm", "or_target",
    "compared_with", "compared_was_within", "next_test", "mm", "reason", "by", "test", "note",
    "plus_minus_rad", "operator", "rails", "shims", "calipers", "setups", "nominal_deg", "rail", "bar",
    "bow_mm", "taper_mm", "held", "eccentric_mm", "eccentric_deg", "play_mm", "joined", "uncertainty_mm",
    "layers", "hard", "hole_diameter_mm", "missing", "drill_scatter_mm", "unknown", "planned_strips",
    "moved_rad", "u_action_rad"};

/// Where one of those must stand all the same, behind the name of the schema.
const std::regex kNeeded(
    "check/(corner_error/(estimate_rad|dof|confidence|interval_rad|standard_uncertainty_rad)"
    "|verdict/(setup|tolerance_rad)|test|tapers/0/standard_uncertainty_rad|scatter/.*/source)"
    "|history/change|find/change/dof|station/grid/pitch_mm|log-list/checks/0/(station|setup|id|date)"
    "|log/check_versions/0/(check|date|id)");

/// Objects whose keys are names that people or tests give: any may be absent.
const std::set<std::string> kMaps{"answers", "dogs", "rails", "setups"};

/// Where one of a fixed set of words stands, behind the name of the schema.
const std::regex kWord(
    "(check/test|check/form)|[a-z-]+(/schema|/scatter/[a-z_]+/source|/verdict/(setup|next_panel)|/decision/"
    "correct"
    "|/corrections/[0-9]+/(means|dog)|/budget/rule|/budget/rows/[0-9]+/(source|type|known_from)"
    "|/log/seating|/held_against/(test|verdict)|/held_against/comparisons/[0-9]+/compared"
    "|/planned/[a-z_]+/source|/settle/(verdict_now|none)|/observations/[0-9]+/(kind|taken)"
    "|/scatter/terms/[0-9]+/term|/pairs/dogs|/change|/last_answer|/due/by|/causes/[0-9]+/standing"
    "|/checks/[0-9]+/verdict/setup|/summaries/[0-9]+/side|/dogs/[^/]+/held"
    "|/setups/[^/]+/(rail/rail_on_face|panel_side|keep)|/operator|/check_versions/[0-9]+/result/verdict)");

struct Place {
  Json::json_pointer pointer;
  std::string text, key;  ///< key: of the object it stands in; empty in a list
  std::string parent;
};

/// Every value of a document; of a list the first two.
void gather(const Json& value, const Json::json_pointer& at, const std::string& key,
            const std::string& parent, std::vector<Place>& out) {
  if (!at.empty()) out.push_back({at, at.to_string(), key, parent});
  if (value.is_object()) {
    for (const auto& [name, inner] : value.items()) gather(inner, at / name, name, key, out);
  } else if (value.is_array()) {
    for (std::size_t i = 0; i < std::min<std::size_t>(2, value.size()); ++i)
      gather(value[i], at / i, "", key, out);
  }
}

std::vector<Place> places(const Json& document) {
  std::vector<Place> out;
  gather(document, Json::json_pointer(), "", "", out);
  return out;
}

Json of_another_type(const Json& value) {
  if (value.is_string()) return 12.5;
  if (value.is_object()) return Json::array({Json::object()});
  if (value.is_array()) return Json::object({{"0", 1}});
  return "a word where none belongs";
}

}  // namespace

TEST_SUITE("cli") {
  TEST_CASE("every JSON document has a schema, and every schema a document") {
    std::set<std::string> named{"station"};  // a file of people's own, which names no schema
    const std::regex name("\"quarterturn/([a-z-]+)/1\"");
    for (const auto& file : test::cpp_files("src")) {
      for (std::sregex_iterator it(file.text.begin(), file.text.end(), name), end; it != end; ++it)
        named.insert((*it)[1]);
    }
    CHECK(named.size() >= 13);
    std::set<std::string> described, written;
    for (const auto& [schema, unused] : schemas()) described.insert(schema);
    for (const auto& document : documents()) written.insert(document.schema);
    CHECK(described == named);
    CHECK(written == named);
  }

  TEST_CASE("what the program writes is described, to the last key") {
    for (const auto& document : documents()) {
      INFO(document.schema, ":", document.label);
      const auto faults =
          schema_faults(schemas().at(document.schema), Json::parse(document.text), OtherKeys::refused);
      CHECK(faults == std::vector<std::string>{});
    }
  }

  TEST_CASE("further keys may join, but not in a station's file, where the program refuses them too") {
    std::set<std::string> seen;
    for (const auto& document : documents()) {
      if (!seen.insert(document.schema).second) continue;
      INFO(document.schema);
      Json more = Json::parse(document.text);
      more["of_a_later_version"] = {{"any", 1}};
      CHECK(schema_faults(schemas().at(document.schema), more).empty() == (document.schema != "station"));
    }
  }

  TEST_CASE(
      "a value of another type, a key that is gone and a word that is none are refused, wherever they "
      "stand") {
    std::set<std::string> done;  // one place of one kind of document once
    int types = 0, keys = 0, words = 0;
    for (const auto& document : documents()) {
      const auto& schema = schemas().at(document.schema);
      const Json whole = Json::parse(document.text);
      for (const auto& place : places(whole)) {
        const std::string where = document.schema + place.text;
        if (!done.insert(where).second) continue;
        INFO(document.schema, ":", document.label, "  ", place.text);
        Json wrong = whole;
        wrong[place.pointer] = of_another_type(whole[place.pointer]);
        CHECK(!schema_faults(schema, wrong).empty());
        ++types;
        const bool needed = !place.key.empty() && kMaps.count(place.parent) == 0 &&
                            (kOptional.count(place.key) == 0 || std::regex_match(where, kNeeded));
        if (needed) {
          wrong = whole;
          wrong[place.pointer.parent_pointer()].erase(place.key);
          CHECK(!schema_faults(schema, wrong).empty());
          ++keys;
        }
        if (std::regex_match(where, kWord) && whole[place.pointer].is_string()) {
          wrong = whole;
          wrong[place.pointer] = "no-such-word";
          CHECK(!schema_faults(schema, wrong).empty());
          ++words;
        }
      }
    }
    CHECK(types > 1000);
    CHECK(keys > 500);
    CHECK(words > 60);
  }

  TEST_CASE("each property of each schema says what it is") {
    int described = 0;
    for (const auto& [name, schema] : schemas()) {
      CHECK(schema.at("$schema") == "https://json-schema.org/draft/2020-12/schema");
      CHECK(!schema.at("description").get<std::string>().empty());
      std::vector<const Json*> open{&schema};
      while (!open.empty()) {
        const Json& one = *open.back();
        open.pop_back();
        for (const auto& inner : one) {
          if (inner.is_structured()) open.push_back(&inner);
        }
        if (!one.is_object() || !one.contains("properties") || !one.at("properties").is_object()) continue;
        for (const auto& [key, property] : one.at("properties").items()) {
          if (property.is_boolean() || (property.contains("$ref") && property.size() == 1)) continue;
          const std::string place = name + " " + key;
          INFO(place);
          CHECK((property.contains("description") || property.contains("oneOf")));
          ++described;
        }
      }
    }
    CHECK(described > 300);
  }
}
