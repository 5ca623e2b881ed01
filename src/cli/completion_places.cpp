// SPDX-License-Identifier: MIT
#include "cli/completion_places.hpp"

#include <algorithm>

#include "app/kept_things.hpp"
#include "cli/offers.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

std::vector<std::string> parts_of(std::string_view text, char between) {
  std::vector<std::string> parts(1);
  for (const char c : text) {
    if (c == between)
      parts.emplace_back();
    else
      parts.back() += c;
  }
  std::erase(parts, "");
  return parts;
}

bool is_lower(const std::string& text) {
  return !text.empty() && text == units::lowered(text);
}

/// Kinds and words that a name in capitals stands for, wherever it stands.
void add_named(const std::string& name, Place& place) {
  const auto kind = [&](Known what) { place.known.push_back(what); };
  for (const auto& word : name == "WHAT" ? app::settable() : offer_of_name(name).words)
    place.words.push_back(word);
  if (name == "STATION" || name == "NAME" || name == "OLD") kind(Known::station);
  if (name == "FILE") kind(Known::file);
  if (name == "CHECK") kind(Known::check);
  if (name == "CLASS") kind(Known::caliper);
}

}  // namespace

Place place_of_value(const OptionRow& option) {
  const auto name = option.name;
  if (name == "--setup") return {{}, {Known::setup}};
  if (name == "--shim") return {{}, {Known::shim}};
  if (name == "--target") return {{}, {Known::dog, Known::hole, Known::shim}};
  if (name == "--fence-end" || name == "--free-end" || name == "--middle" || name == "--trial") return {};
  if (name == "--settle") return {{}, {Known::check, Known::file}};
  Place place;
  for (const auto& part : parts_of(option.value, '|')) add_named(part, place);
  place.words = offer_of(option).words;
  return place;
}

Place place_of_argument(const WordRow& row, const std::vector<std::string>& given) {
  Place place;
  const std::size_t at = given.size();
  for (const auto form : row.usage) {
    auto parts = parts_of(form.substr(0, form.find("  ")), ' ');
    if (parts.empty() || parts.front().starts_with("--")) continue;
    const bool endless = parts.back().ends_with("...");
    if (at >= parts.size() && !endless) continue;
    if (at > 0 && is_lower(parts.front()) && parts.front() != given.front()) continue;
    std::string part = parts[std::min(at, parts.size() - 1)];
    std::erase_if(part, [](char c) { return c == '[' || c == ']' || c == '.'; });
    const bool own = at > 0 && given.front() == "remove";
    const bool fresh = at == 1 && row.word == "caliper" && given.front() == "add";
    if (own)
      place.known.push_back(row.word == "shims" ? Known::shim : Known::caliper);
    else if (!fresh)
      for (const auto& one : parts_of(part, '|')) add_named(one, place);
  }
  // At the prompt the bare name takes a station into use.
  if (row.word == "station" && at == 0) place.known.push_back(Known::station);
  return place;
}

}  // namespace quarterturn::cli
