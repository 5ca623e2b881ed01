// SPDX-License-Identifier: MIT
#include "support/json_schema.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <regex>
#include <stdexcept>
#include <string_view>

namespace quarterturn::test {
namespace {

using Json = SchemaJson;
using Faults = std::vector<std::string>;

constexpr std::array<std::string_view, 22> kKeywords{"$ref",
                                                     "type",
                                                     "enum",
                                                     "const",
                                                     "properties",
                                                     "required",
                                                     "additionalProperties",
                                                     "items",
                                                     "minItems",
                                                     "maxItems",
                                                     "minimum",
                                                     "maximum",
                                                     "exclusiveMinimum",
                                                     "exclusiveMaximum",
                                                     "minLength",
                                                     "pattern",
                                                     "oneOf",
                                                     "anyOf",
                                                     "$schema",
                                                     "$id",
                                                     "title",
                                                     "$defs"};

bool is_of_type(const Json& value, const std::string& type) {
  if (type == "object") return value.is_object();
  if (type == "array") return value.is_array();
  if (type == "string") return value.is_string();
  if (type == "boolean") return value.is_boolean();
  if (type == "null") return value.is_null();
  if (type == "number") return value.is_number();
  // The standard counts 3.0 as whole.
  if (type == "integer") return value.is_number() && value.get<double>() == std::floor(value.get<double>());
  throw std::logic_error("schema: no such type: " + type);
}

const std::regex& compiled(const std::string& pattern) {
  static std::map<std::string, std::regex> kept;
  return kept.try_emplace(pattern, pattern).first->second;
}

class Holder {
 public:
  Holder(const Json& root, OtherKeys other) : root_(root), other_(other) {}

  Faults hold(const Json& schema, const Json& value, const std::string& at) const {
    if (schema.is_boolean()) return schema.get<bool>() ? Faults{} : Faults{at + ": must not be there"};
    if (!schema.is_object()) throw std::logic_error("schema: neither object nor boolean at " + at);
    for (const auto& [key, unused] : schema.items()) {
      if (key != "description" && std::ranges::find(kKeywords, key) == kKeywords.end())
        throw std::logic_error("schema: keyword not known here: " + key);
    }
    Faults faults;
    if (const auto* to = find(schema, "$ref")) add(faults, hold(target(to->get<std::string>()), value, at));
    hold_value(schema, value, at, faults);
    if (value.is_object()) hold_object(schema, value, at, faults);
    if (value.is_array()) hold_array(schema, value, at, faults);
    if (const auto* all = find(schema, "oneOf")) hold_choice(*all, value, at, true, faults);
    if (const auto* all = find(schema, "anyOf")) hold_choice(*all, value, at, false, faults);
    return faults;
  }

 private:
  static const Json* find(const Json& schema, const char* key) {
    const auto found = schema.find(key);
    return found == schema.end() ? nullptr : &*found;
  }
  static void add(Faults& faults, const Faults& more) {
    faults.insert(faults.end(), more.begin(), more.end());
  }

  const Json& target(const std::string& to) const {
    if (!to.starts_with("#/")) throw std::logic_error("schema: $ref out of its file: " + to);
    return root_.at(Json::json_pointer(to.substr(1)));
  }

  static void hold_value(const Json& schema, const Json& value, const std::string& at, Faults& faults) {
    if (const auto* type = find(schema, "type")) {
      const auto fits = [&](const Json& one) { return is_of_type(value, one.get<std::string>()); };
      if (type->is_array() ? std::none_of(type->begin(), type->end(), fits) : !fits(*type))
        faults.push_back(at + ": must be " + type->dump());
    }
    if (const auto* words = find(schema, "enum"); words != nullptr)
      if (std::find(words->begin(), words->end(), value) == words->end())
        faults.push_back(at + ": is " + value.dump() + ", must be one of " + words->dump());
    if (const auto* only = find(schema, "const"); only != nullptr && *only != value)
      faults.push_back(at + ": must be " + only->dump());
    if (value.is_number()) hold_number(schema, value.get<double>(), at, faults);
    if (value.is_string()) {
      const auto& text = value.get_ref<const std::string&>();
      if (const auto* least = find(schema, "minLength")) {
        if (*least != 1) throw std::logic_error("schema: minLength other than 1");
        if (text.empty()) faults.push_back(at + ": must not be empty");
      }
      const auto* pattern = find(schema, "pattern");
      if (pattern != nullptr && !std::regex_search(text, compiled(pattern->get<std::string>())))
        faults.push_back(at + ": must match " + pattern->dump());
    }
  }

  static void hold_number(const Json& schema, double value, const std::string& at, Faults& faults) {
    const auto bad = [&](const char* key, auto breaks) {
      const auto* limit = find(schema, key);
      if (limit != nullptr && breaks(value, limit->get<double>()))
        faults.push_back(at + ": breaks " + key + " " + limit->dump());
    };
    bad("minimum", std::less<>{});
    bad("maximum", std::greater<>{});
    bad("exclusiveMinimum", std::less_equal<>{});
    bad("exclusiveMaximum", std::greater_equal<>{});
  }

  void hold_object(const Json& schema, const Json& value, const std::string& at, Faults& faults) const {
    if (const auto* keys = find(schema, "required")) {
      for (const auto& key : *keys)
        if (!value.contains(key.get<std::string>())) faults.push_back(at + ": needs " + key.dump());
    }
    const auto* known = find(schema, "properties");
    const auto* others = find(schema, "additionalProperties");
    if (known == nullptr && others == nullptr) return;
    for (const auto& [key, inner] : value.items()) {
      const std::string place = at + "/" + key;
      if (known != nullptr && known->contains(key)) {
        add(faults, hold(known->at(key), inner, place));
      } else if (others != nullptr && !(others->is_boolean() && others->get<bool>())) {
        add(faults, hold(*others, inner, place));
      } else if (other_ == OtherKeys::refused) {
        faults.push_back(place + ": is described nowhere");
      }
    }
  }

  void hold_array(const Json& schema, const Json& value, const std::string& at, Faults& faults) const {
    if (const auto* items = find(schema, "items")) {
      for (std::size_t i = 0; i < value.size(); ++i)
        add(faults, hold(*items, value[i], at + "/" + std::to_string(i)));
    }
    if (const auto* least = find(schema, "minItems"); least != nullptr && value.size() < *least)
      faults.push_back(at + ": has too few");
    if (const auto* most = find(schema, "maxItems"); most != nullptr && value.size() > *most)
      faults.push_back(at + ": has too many");
  }

  void hold_choice(const Json& choices, const Json& value, const std::string& at, bool one_only,
                   Faults& faults) const {
    std::size_t fitting = 0;
    Faults least;
    for (const auto& choice : choices) {
      const auto now = hold(choice, value, at);
      if (now.empty()) ++fitting;
      if (least.empty() || now.size() < least.size()) least = now;
    }
    if (fitting == 0) {
      add(faults, least);
    } else if (one_only && fitting > 1) {
      faults.push_back(at + ": fits more than one of the forms");
    }
  }

  const Json& root_;
  OtherKeys other_;
};

}  // namespace

std::vector<std::string> schema_faults(const SchemaJson& schema, const SchemaJson& document,
                                       OtherKeys other) {
  return Holder(schema, other).hold(schema, document, "");
}

}  // namespace quarterturn::test
