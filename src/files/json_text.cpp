// SPDX-License-Identifier: MIT
#include "files/json_text.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "files/json_places.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using nlohmann::json;
using units::InputError;

namespace {

constexpr const char* kObject = "an object { ... }";

void hold_to_depth(const Text& text, const std::string& what) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < text.content.size(); ++i) {
    const char c = text.content[i];
    if (in_string) {
      if (c == '\\') {
        ++i;
      } else if (c == '"') {
        in_string = false;
      }
    } else if (c == '"') {
      in_string = true;
    } else if (c == '{' || c == '[') {
      if (++depth > kMostJsonDepth) {
        throw InputError(what, "nested more than " + std::to_string(kMostJsonDepth) + " deep",
                         "as the format describes it", place_of_byte(text, i));
      }
    } else if (c == '}' || c == ']') {
      --depth;
    }
  }
}

/// What stands at a fault: up to the next blank or mark.
std::string token_at(std::string_view content, std::size_t at) {
  if (at >= content.size()) return "the end of the file";
  const std::size_t end = content.find_first_of(" \t\r\n,:{}[]", at + 1);
  return std::string(content.substr(at, std::min<std::size_t>(end, content.size()) - at));
}

/// The parser points at the last byte of the token that it could not use; people look for the first.
std::size_t token_start(std::string_view content, std::size_t at) {
  std::size_t start = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < at && i < content.size(); ++i) {
    if (content[i] == '"') {
      in_string = !in_string;
      if (in_string) start = i;
    } else if (in_string && content[i] == '\\') {
      ++i;
    }
  }
  if (in_string && content.substr(start, at - start).find('\n') == std::string_view::npos) return start;
  constexpr std::string_view kMarks = " \t\r\n,:{}[]\"";
  const auto is_mark = [&](std::size_t i) { return kMarks.find(content[i]) != std::string_view::npos; };
  while (at > 0 && at < content.size() && !is_mark(at) && !is_mark(at - 1)) --at;
  return at;
}

[[noreturn]] void broken(const Text& text, const std::string& what, std::size_t byte) {
  const std::string_view content = text.content;
  const std::size_t at = token_start(content, std::min(byte == 0 ? 0 : byte - 1, content.size()));
  const std::string token = token_at(content, at);
  const std::size_t before = at == 0 ? std::string_view::npos : content.find_last_not_of(" \t\r\n", at - 1);
  std::string hint;
  if ((token[0] == '}' || token[0] == ']') && before != std::string_view::npos && content[before] == ',') {
    hint = "take out the comma before it";
  } else if (token[0] == '\'') {
    hint = "JSON has double quotes";
  } else if (token[0] == '/' || token[0] == '#') {
    hint = "JSON has no comments";
  } else if (token[0] == '"') {
    hint = "is a comma missing before it, or a quote behind it?";
  } else if (at >= content.size()) {
    hint = "a closing bracket or quote is missing";
  }
  throw InputError(what, token, "JSON at this place", place_of_byte(text, at), hint);
}

/// Notices an object that holds a key twice; the parser itself keeps the last and says nothing.
class DuplicateGuard {
 public:
  explicit DuplicateGuard(const Text& text) : text_(text) {}

  void see(json::parse_event_t event, const json& parsed) {
    if (event == json::parse_event_t::object_start) {
      open_.emplace_back();
    } else if (event == json::parse_event_t::object_end) {
      open_.pop_back();
    } else if (event == json::parse_event_t::key) {
      Level& level = open_.back();
      level.last = parsed.get<std::string>();
      if (!level.seen.insert(level.last).second)
        throw InputError("key", path(), "given once", place_of_path(text_, path(), JsonPart::key),
                         "take one of the two out");
    }
  }

 private:
  struct Level {
    std::set<std::string> seen;
    std::string last;
  };
  [[nodiscard]] std::string path() const {
    std::string out;
    for (const Level& level : open_) out += (out.empty() ? "" : ".") + level.last;
    return out;
  }
  const Text& text_;
  std::vector<Level> open_;
};

/// What a message of the parser holds in quotes: the number that it could not hold.
std::string quoted_part(std::string_view message) {
  const std::size_t first = message.find('\''), last = message.rfind('\'');
  return first < last ? std::string(message.substr(first + 1, last - first - 1)) : std::string();
}

bool is_plain(const std::string& text) {
  return units::inert(text, text.size()) == text;
}

}  // namespace

json parse_json(const Text& text, const std::string& what) {
  hold_to_depth(text, what);
  DuplicateGuard guard(text);
  try {
    return json::parse(text.content, [&](int, json::parse_event_t event, json& parsed) {
      guard.see(event, parsed);
      return true;
    });
  } catch (const json::parse_error& error) {
    broken(text, what, error.byte);
  } catch (const json::out_of_range& error) {
    const std::string token = quoted_part(error.what());
    throw InputError("number", token, "one that a workshop meets",
                     place_of_byte(text, std::min(text.content.find(token), text.content.size())),
                     "a length in mm is between 0 and 10000");
  }
}

std::string JsonValue::path_of(const std::string& key) const {
  return path_.empty() ? key : path_ + "." + key;
}

void JsonValue::fail(const std::string& must_be, const std::string& hint) const {
  const std::string value = value_->is_string()
                                ? value_->get<std::string>()
                                : value_->dump(-1, ' ', false, json::error_handler_t::replace);
  throw InputError(path_.empty() ? "file" : path_, value, must_be, place_of_path(*text_, path_), hint);
}

void JsonValue::hold_to_keys(const std::vector<std::string>& keys) const {
  if (!value_->is_object()) fail(kObject);
  for (const auto& [key, value] : value_->items()) {
    if (std::ranges::find(keys, key) != keys.end()) continue;
    throw InputError("key", path_of(key), "one of: " + units::one_of(keys),
                     place_of_path(*text_, path_of(key), JsonPart::key), units::did_you_mean(key, keys));
  }
}

JsonValue JsonValue::at(const std::string& key) const {
  if (auto found = find(key)) return *found;
  throw InputError(path_of(key), std::string(units::kMissing), "given", place_of_path(*text_, path_of(key)));
}

std::optional<JsonValue> JsonValue::find(const std::string& key) const {
  if (!value_->is_object()) fail(kObject);
  const auto found = value_->find(key);
  if (found == value_->end()) return std::nullopt;
  return JsonValue(*found, path_of(key), *text_);
}

std::vector<std::pair<std::string, JsonValue>> JsonValue::members() const {
  if (!value_->is_object()) fail(kObject);
  std::vector<std::pair<std::string, JsonValue>> out;
  for (const auto& [key, value] : value_->items()) {
    if (key.empty() || !is_plain(key)) {
      throw InputError("name in " + path_, key, "one line of plain text",
                       place_of_path(*text_, path_of(key), JsonPart::key));
    }
    out.emplace_back(key, JsonValue(value, path_of(key), *text_));
  }
  return out;
}

std::vector<JsonValue> JsonValue::items() const {
  if (!value_->is_array()) fail("a list [ ... ]");
  std::vector<JsonValue> out;
  for (const json& item : *value_) {
    out.emplace_back(item, path_ + "[" + std::to_string(out.size()) + "]", *text_);
  }
  return out;
}

double JsonValue::number() const {
  if (!value_->is_number()) {
    fail("a number", value_->is_string() ? "a number stands without quotes, with a decimal point" : "");
  }
  return value_->get<double>();
}

int JsonValue::whole(int lowest, int highest) const {
  const std::string must_be =
      "a whole number from " + std::to_string(lowest) + " to " + std::to_string(highest);
  if (!value_->is_number()) fail(must_be);
  const auto value = value_->get<double>();
  if (!(value >= lowest && value <= highest) || value != std::floor(value)) fail(must_be);
  return static_cast<int>(value);
}

bool JsonValue::flag() const {
  if (!value_->is_boolean())
    fail("true or false", value_->is_string() ? "true and false stand without quotes" : "");
  return value_->get<bool>();
}

std::string JsonValue::text() const {
  if (!value_->is_string()) fail("a text in double quotes");
  auto out = value_->get<std::string>();
  if (units::trimmed(out).empty() || !is_plain(out)) fail("one line of plain text");
  return out;
}

std::string JsonValue::content() const {
  if (!value_->is_string()) fail("a text in double quotes");
  return value_->get<std::string>();
}

std::size_t JsonValue::word(const std::vector<std::string>& words) const {
  const std::string typed = text();
  const auto found = std::ranges::find(words, typed);
  if (found == words.end()) fail(units::one_of(words), units::did_you_mean(typed, words));
  return static_cast<std::size_t>(found - words.begin());
}

}  // namespace quarterturn::files
