// SPDX-License-Identifier: MIT
#include "files/readings_keys.hpp"

#include <algorithm>
#include <array>
#include <map>

#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using check::Check;
using units::InputError;

namespace {

void take_test(Check& check, const KeyLine& line) {
  const std::string word = units::lowered(line.value);
  if (const check::TestRow* row = check::find_test(word)) {
    check.test = row->kind;
    return;
  }
  std::vector<std::string> words;
  for (const check::TestRow& row : check::test_rows()) words.emplace_back(row.word);
  throw InputError("test", line.value, units::one_of(words), {}, units::did_you_mean(word, words));
}

void take_form(Check& check, const KeyLine& line) {
  const std::string word = units::lowered(line.value);
  if (const auto form = check::find_form(word)) {
    check.form = *form;
    return;
  }
  std::vector<std::string> words;
  for (const check::FormRow& row : check::form_rows()) words.emplace_back(row.word);
  throw InputError("form", line.value, units::one_of(words), {}, units::did_you_mean(word, words));
}

void take_pieces(Check& check, const KeyLine& line) {
  try {
    check.pieces = units::parse_whole(line.value, "pieces", check::kFewestPieces, check::kMostPieces);
  } catch (const InputError& error) {
    throw InputError(error.subject(), error.value(), error.must_be(), {}, "how many pieces the ring has");
  }
}

/// One line of text that is safe to show later.
std::string plain(const KeyLine& line) {
  if (units::inert(line.value, line.value.size()) != line.value) {
    throw InputError(line.key, line.value, "one line of plain text", {}, "take control characters out");
  }
  return line.value;
}

std::string note(const KeyLine& line) {
  std::string flat = line.value;
  std::ranges::replace_if(
      flat, [](char c) { return c == '\n' || c == '\t'; }, ' ');
  if (units::inert(flat, flat.size()) != flat)
    throw InputError(line.key, line.value, "plain text", {}, "take control characters out");
  return line.value;
}

struct KeyRow {
  const char* key;
  bool may_be_empty;  ///< a bench sheet's free text, left open
  void (*take)(Check&, const KeyLine&);
};

constexpr std::array<KeyRow, 17> kKeys{{
    {"station", true, [](Check& check, const KeyLine& line) { check.station = plain(line); }},
    {"setup", true, [](Check& check, const KeyLine& line) { check.setup = plain(line); }},
    {"date", false,
     [](Check& check, const KeyLine& line) { check.date = parse_date(line.value, "date").as_typed; }},
    {"test", false, take_test},
    {"form", false, take_form},
    {"second-setup", false, [](Check& check, const KeyLine& line) { check.second_setup = plain(line); }},
    {"pieces", false, take_pieces},
    {"unit", false, [](Check& check, const KeyLine& line) { check.unit = units::parse_unit(line.value); }},
    {"caliper", false,
     [](Check& check, const KeyLine& line) { check.caliper = parse_caliper(line.value, check.unit); }},
    {"tolerance", false,
     [](Check& check, const KeyLine& line) {
       check.tolerance = units::parse_tolerance(line.value, check.unit);
     }},
    {"by", true, [](Check& check, const KeyLine& line) { check.by = plain(line); }},
    {"rail", true, [](Check& check, const KeyLine& line) { check.rail = plain(line); }},
    {"panel-size", false,
     [](Check& check, const KeyLine& line) { check.panel_size = parse_panel_size(line.value, check.unit); }},
    {"measured", false,
     [](Check& check, const KeyLine& line) { check.measured = parse_date(line.value, "measured").as_typed; }},
    {"caliper-id", true, [](Check& check, const KeyLine& line) { check.caliper_id = plain(line); }},
    {"blade", true, [](Check& check, const KeyLine& line) { check.blade = plain(line); }},
    {"note", true, [](Check& check, const KeyLine& line) { check.note = note(line); }},
}};

void take(const KeyRow& row, const KeyLine& line, Check& check) {
  if (line.value.empty() && !row.may_be_empty) {
    throw InputError(line.key, "", "given behind the colon", line.value_at,
                     "leave the whole line out if it is not known");
  }
  try {
    row.take(check, line);
  } catch (const InputError& error) {
    throw InputError(error.subject(), error.value(), error.must_be(),
                     error.where().line > 0 ? error.where() : line.value_at,
                     error.hint().empty() ? "leave the line out if it is not known" : error.hint());
  }
}

const KeyRow& row_of(const KeyLine& line) {
  const auto* const row =
      std::ranges::find_if(kKeys, [&](const KeyRow& candidate) { return line.key == candidate.key; });
  if (row != kKeys.end()) return *row;
  std::vector<std::string> names;
  names.reserve(kKeys.size());
  for (const KeyRow& candidate : kKeys) names.emplace_back(candidate.key);
  const std::string near = units::did_you_mean(line.key, names);
  throw InputError("key", line.key, units::one_of(names), line.key_at,
                   near.empty() ? "free words go behind 'note:'" : near);
}

}  // namespace

KeyLine parse_key_line(const Cell& line, const std::string& source) {
  const std::size_t colon = line.text.find(':');
  if (colon == std::string::npos) {
    throw InputError("header line", line.text, "'key: value'", {source, line.line, line.column},
                     "free words go behind 'note:'");
  }
  const std::string_view behind = std::string_view(line.text).substr(colon + 1);
  const std::string_view value = units::trimmed(behind);
  const auto value_start =
      value.empty() ? line.text.size() : static_cast<std::size_t>(value.data() - line.text.data());
  const int value_column =
      line.column + static_cast<int>(units::characters(std::string_view(line.text).substr(0, value_start)));
  KeyLine out{units::lowered(units::trimmed(std::string_view(line.text).substr(0, colon))),
              std::string(value),
              {source, line.line, line.column},
              {source, line.line, value_column}};
  if (value.starts_with(',') || value.starts_with(';')) {
    throw InputError(out.key.empty() ? "header line" : out.key, out.value, "in the same cell as its key",
                     out.value_at, "write '# key: value' in one cell");
  }
  return out;
}

KeysGiven apply_keys(const std::vector<KeyLine>& lines, Check& check) {
  std::map<std::string, int> seen;  // key -> line
  const KeyLine* date = nullptr;
  const KeyLine* measured = nullptr;
  KeysGiven given;
  for (const KeyLine& line : lines) {
    const KeyRow& row = row_of(line);
    const auto [first, is_new] = seen.emplace(line.key, line.key_at.line);
    if (!is_new) {
      throw InputError("key", line.key, "given once", line.key_at,
                       "it stands in line " + std::to_string(first->second) + " already");
    }
    if (line.key == "unit") take(row, line, check);
  }
  for (const KeyLine& line : lines) {
    if (line.key != "unit") take(row_of(line), line, check);
    if (line.key == "date") date = &line;
    if (line.key == "measured") measured = &line;
    if (line.key == "form") given.form_at = line.value_at;
    if (line.key == "pieces") given.pieces_at = line.value_at;
  }
  if (date != nullptr && measured != nullptr &&
      parse_date(check.measured, "measured").day < parse_date(check.date, "date").day) {
    throw InputError("measured", check.measured, "not before the cuts' date, " + check.date,
                     measured->value_at, "'date' is the day of the cuts, 'measured' that of the caliper");
  }
  given.test = seen.contains("test");
  given.unit = seen.contains("unit");
  return given;
}

}  // namespace quarterturn::files
