// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "files/json_places.hpp"
#include "files/json_text.hpp"
#include "files/log_document.hpp"
#include "files/log_fields.hpp"
#include "files/log_ranges.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"

namespace quarterturn::files {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kSchema = "quarterturn/log/1";
constexpr const char* kHint = "'log export' writes one that is right";

class Writer {
 public:
  explicit Writer(Json& json) : json_(json) {}

  template <typename T>
  void operator()(const char* key, T& value) {
    if constexpr (requires { value.has_value(); }) {
      if (value) json_[key] = *value;  // an absent key is nothing
    } else if constexpr (
        requires { value.front().id; } || requires { value.front().event; }) {
      Json list = Json::array();
      for (auto& record : value) list.push_back(object(record));
      json_[key] = std::move(list);
    } else if constexpr (requires(Writer & walk) { fields(walk, value); }) {
      json_[key] = object(value);
    } else {
      json_[key] = value;
    }
  }

 private:
  template <typename Record>
  static Json object(Record& record) {
    Json json = Json::object();
    Writer walk(json);
    fields(walk, record);
    return json;
  }
  Json& json_;
};

class Reader {
 public:
  explicit Reader(const JsonValue& json) : json_(json) {}

  void operator()(const char* key, std::string& value) { value = json_.at(key).content(); }
  void operator()(const char* key, double& value) { value = json_.at(key).number(); }
  void operator()(const char* key, bool& value) { value = json_.at(key).flag(); }
  void operator()(const char* key, int& value) { value = json_.at(key).whole(-1, 1); }
  void operator()(const char* key, std::int64_t& value) {
    const double number = json_.at(key).number();
    if (!(std::fabs(number) < 1e15) || number != std::floor(number))
      json_.at(key).fail("whole seconds from 1970");
    value = static_cast<std::int64_t>(number);
  }
  void operator()(const char* key, std::optional<double>& value) {
    if (const auto found = json_.find(key)) value = found->number();
  }
  void operator()(const char* key, std::optional<std::string>& value) {
    if (const auto found = json_.find(key)) value = found->content();
  }
  void operator()(const char* key, std::vector<std::string>& value) {
    for (const auto& item : json_.at(key).items()) value.push_back(item.text());
  }
  void operator()(const char* key, StoredResult& value) {
    const JsonValue inner = json_.at(key);
    Reader walk(inner);
    fields(walk, value);
    hold_ranges(inner, value);
  }
  template <typename Record>
  void operator()(const char* key, std::vector<Record>& records) {
    for (const auto& item : json_.at(key).items()) {
      Reader walk(item);
      fields(walk, records.emplace_back());
      hold_record(item, records.back());
    }
  }

 private:
  const JsonValue& json_;
};

struct EventRow {
  const char* kind;
  bool ends_validity;
  bool dogs_anew = false;  ///< dogs stand anew in their holes
  bool set_anew = false;   ///< done on purpose: that it stands otherwise asks for no cause
};
constexpr std::array<EventRow, 19> kEvents{{{"moved", true},
                                            {"knocked", true},
                                            {"wet", true},
                                            {"dog changed", true, true, true},
                                            {"dog turned", true, true, true},
                                            {"dogs reinserted", true, true, true},
                                            {"loosened", true},
                                            {"tightened", true},
                                            {"cleaned", false},
                                            {"shim on", true, false, true},
                                            {"shim off", true, false, true},
                                            {"re-bored", true, true, true},
                                            {"other rail", true, false, true},
                                            {"new blade", false},
                                            {"saw serviced", false},
                                            {kCaliperCompared, false},
                                            {"corrected", true, false, true},
                                            {"cause noted", false, false, true},
                                            {"other", false}}};

}  // namespace

std::int64_t order_utc(std::string_view date, std::int64_t utc, std::string_view recorded) {
  constexpr std::size_t kDay = 10;  // of 2026-03-14
  constexpr std::int64_t kNoon = 43200;
  if (date.size() > kDay) return utc;
  const auto digits = [&](std::size_t at) { return (recorded[at] - '0') * 10 + (recorded[at + 1] - '0'); };
  const bool same_day = recorded.size() > 18 && recorded.compare(0, kDay, date) == 0;
  return utc + (same_day ? digits(11) * 3600 + digits(14) * 60 + digits(17) : kNoon);
}

const std::vector<std::string>& event_kinds() {
  static const std::vector<std::string> kinds = [] {
    std::vector<std::string> made;
    for (const auto& row : kEvents) made.emplace_back(row.kind);
    return made;
  }();
  return kinds;
}

void hold_to_event_kind(const std::string& kind) {
  const auto& kinds = event_kinds();
  if (std::ranges::find(kinds, kind) != kinds.end()) return;
  const std::string near = units::did_you_mean(kind, kinds);
  throw units::InputError("event", kind, units::one_of(kinds), {},
                          near.empty() ? "'other' with a note says anything else" : near);
}

bool ends_validity(const std::string& kind) {
  return std::ranges::any_of(kEvents, [&](const auto& row) { return row.ends_validity && kind == row.kind; });
}

bool explains_change(const std::string& kind) {
  return std::ranges::any_of(kEvents, [&](const auto& row) { return row.set_anew && kind == row.kind; });
}

bool puts_dogs_in_anew(const std::string& kind) {
  return std::ranges::any_of(kEvents, [&](const auto& row) { return row.dogs_anew && kind == row.kind; });
}

std::string write_log(const LogDocument& log) {
  Json json;
  json["schema"] = kSchema;
  LogDocument copy = log;  // walked by the same hands that fill it
  Writer walk(json);
  fields(walk, copy);
  return json.dump(1) + "\n";
}

LogDocument parse_log(const Text& text) {
  const auto parsed = parse_json(text, "exchange file");
  try {
    const JsonValue root(parsed, "", text);
    const JsonValue schema = root.at("schema");
    if (schema.text() != kSchema) schema.fail(kSchema, "a log of another kind, or of a newer version");
    LogDocument log;
    Reader walk(root);
    fields(walk, log);
    return log;
  } catch (const units::InputError& error) {
    throw units::InputError(error.subject(), error.value(), error.must_be(), error.where(),
                            error.hint().empty() ? kHint : error.hint());
  }
}

}  // namespace quarterturn::files
