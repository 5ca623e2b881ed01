// SPDX-License-Identifier: MIT
#include "files/readings_message.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <optional>

#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;
using units::Place;

namespace {

constexpr int kMostPanel = 9999, kMostCut = 999;
/// What a number counts whose readings follow: panels, or in a gap test pairs or rings.
constexpr std::array<std::string_view, 3> kCounted{"panel", "pair", "ring"};
constexpr const char* kForms = "'strip 1-5', 'panel 2', '20: 22.74 22.73' or 'key: value'";
constexpr const char* kGapForms = "'pair 2', 'ring 2', '20: 0.15 0.2' or 'key: value'";

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

std::string_view first_word(std::string_view line) {
  const auto* const end = std::ranges::find_if_not(line, [](char c) { return is_letter(c) || c == '-'; });
  return line.substr(0, static_cast<std::size_t>(end - line.begin()));
}

/// Takes `word` and the blanks behind it off the front.
bool take_word(std::string_view& rest, std::string_view word) {
  if (units::lowered(first_word(rest)) != word) return false;
  rest = units::trimmed(rest.substr(word.size()));
  return true;
}

std::optional<int> take_number(std::string_view& rest) {
  std::size_t n = 0;
  int value = 0;
  while (n < rest.size() && n < 5 && is_digit(rest[n])) value = value * 10 + (rest[n++] - '0');
  if (n == 0) return std::nullopt;
  rest = units::trimmed(rest.substr(n));
  return value;
}

/// The dash between two cuts; phones make a long one of it.
bool take_dash(std::string_view& rest) {
  constexpr std::array<std::string_view, 4> kDashes{"-", "–", "—", "to "};
  for (const std::string_view dash : kDashes) {
    if (rest.starts_with(dash)) {
      rest = units::trimmed(rest.substr(dash.size()));
      return true;
    }
  }
  return false;
}

bool begins_heading(std::string_view line) {
  const std::string word = units::lowered(first_word(line));
  if (word != "strip" && std::ranges::find(kCounted, word) == kCounted.end()) return false;
  const std::string_view behind = units::trimmed(line.substr(word.size()));
  return !behind.empty() && is_digit(behind[0]);
}

/// `1-5`, the two cuts without the word before them.
bool is_bare_cuts(std::string_view line) {
  std::string_view rest = line;
  return take_number(rest) && take_dash(rest) && take_number(rest) && (rest.empty() || rest == ":");
}

/// `strip 1-5`, `panel 2`, or both on one line.
class Headings {
 public:
  void take(std::string_view line, const Place& where) {
    std::string_view rest = line;
    where_ = where;
    const bool names_strip = units::lowered(line).find("strip") != std::string::npos;
    while (!rest.empty()) {
      const auto* const counted =
          std::ranges::find_if(kCounted, [&](std::string_view word) { return take_word(rest, word); });
      if (counted != kCounted.end()) {
        key_.panel = number(rest, std::string(*counted).c_str(), 1, kMostPanel, where);
        if (!names_strip) key_.from_cut = key_.to_cut = 0;
        counted_ = *counted;
      } else if (take_word(rest, "strip")) {
        key_.from_cut = number(rest, "strip", 0, kMostCut, where);
        if (!take_dash(rest))
          throw InputError("strip", std::string(line), "two cuts such as 1-5", where,
                           "the first and the last cut of the strip");
        key_.to_cut = number(rest, "strip", 1, kMostCut, where);
      } else {
        throw InputError("line", std::string(line), kForms, where,
                         "a strip is named by its two cuts, a panel by its number");
      }
      if (rest.starts_with(',') || rest.starts_with(':')) rest = units::trimmed(rest.substr(1));
    }
    if (!names_strip) return;
    const auto [first, is_new] = named_.try_emplace({key_.panel, key_.from_cut, key_.to_cut}, where.line);
    if (!is_new) {
      throw InputError("strip", std::string(line), "named once a panel", where,
                       "it stands in line " + std::to_string(first->second) +
                           " already; the strips of another panel stand under 'panel 2'");
    }
  }

  /// The one named last; to_cut 0 without any.
  [[nodiscard]] const Gatherer::Key& strip() const { return key_; }
  [[nodiscard]] const std::string& counted() const { return counted_; }
  [[nodiscard]] const Place& where() const { return where_; }

 private:
  static int number(std::string_view& rest, const char* what, int lowest, int highest, const Place& where) {
    const std::string typed(rest);
    const std::optional<int> value = take_number(rest);
    if (!value || *value < lowest || *value > highest) {
      throw InputError(what, typed,
                       "a whole number from " + std::to_string(lowest) + " to " + std::to_string(highest),
                       where, "as in 'panel 2' or 'strip 1-5'");
    }
    return *value;
  }

  Gatherer::Key key_{1, 0, 0};
  std::string counted_;
  Place where_;
  std::map<std::array<int, 3>, int> named_;  ///< panel and cuts -> line
};

/// Calls `use(line, line number, column of its first character)` for each line that is neither blank nor a
/// remark.
template <typename Use>
void each_line(const Text& text, const Head& head, Use use) {
  std::string_view rest = std::string_view(text.content).substr(head.offset);
  for (int number = head.line; !rest.empty(); ++number) {
    const std::size_t end = std::min(rest.find_first_of("\r\n"), rest.size());
    const std::string_view whole = rest.substr(0, end);
    const std::string_view line = units::trimmed(whole);
    if (!line.empty()) {
      const auto before = static_cast<std::size_t>(line.data() - whole.data());
      use(line, number, static_cast<int>(units::characters(whole.substr(0, before))) + 1);
    }
    rest.remove_prefix(end);
    if (!rest.empty()) rest.remove_prefix(rest.starts_with("\r\n") ? 2 : 1);
  }
}

/// By the lines above it, whether a message is one of gaps.
bool of_gaps(const std::vector<KeyLine>& keys) {
  return std::ranges::any_of(keys, [](const KeyLine& line) {
    const check::TestRow* const row =
        line.key == "test" ? check::find_test(units::lowered(line.value)) : nullptr;
    return row != nullptr && row->measured != check::Measured::widths;
  });
}

}  // namespace

bool is_message(const Text& text, const Head& head) {
  const std::string_view rest = std::string_view(text.content).substr(head.offset);
  const std::string_view line = units::trimmed(rest.substr(0, rest.find_first_of("\r\n")));
  if (begins_heading(line) || is_bare_cuts(line)) return true;
  // A colon behind the first word or number: 'station: dock', '20: 22.74'. A column row and its numbers hold
  // none.
  return line.find(':') < line.find_first_of(",;\t");
}

void hold_to_headings(const MessageLine& line, const check::Check& check, const Place& where) {
  const Gatherer::Key& key = line.strip;
  const check::TestRow& row = check::test_row(check.test);
  const bool rail = check.test == check::TestKind::rail;
  const auto refuse = [&](const std::string& what, const std::string& value) {
    const std::string unit = row.unit_word;
    throw InputError(what, value, std::string("left out in a ") + row.word + " test", line.heading_at,
                     rail           ? "a rail has one edge: its places stand without a heading"
                     : check.gaps() ? "joints are numbered: '" + unit + " 2'"
                                    : "a message of gaps says which: 'test: turn-over' or 'test: frame'");
  };
  if (check.gaps() && key.to_cut > 0)
    refuse("strip", std::to_string(key.from_cut) + "-" + std::to_string(key.to_cut));
  // The columns of a turn-over table call a pair a panel too.
  const bool as_counted = line.counted == row.unit_word || line.counted == kCounted.front();
  if (!line.counted.empty() && (rail || !as_counted)) refuse(line.counted, std::to_string(key.panel));
  if (!check.gaps() && key.to_cut == 0) {
    throw InputError("strip", std::string(units::kMissing), "named above its readings", where,
                     "put a line 'strip 1-5' above");
  }
}

void read_message(const Text& text, const Head& head, std::vector<KeyLine>& keys,
                  std::vector<MessageLine>& spots) {
  Headings headings;
  each_line(text, head, [&](std::string_view line, int number, int column) {
    const Place where{text.source, number, column};
    if (begins_heading(line)) return headings.take(line, where);
    if (is_bare_cuts(line)) {
      throw InputError("line", std::string(line), kForms, where, "write 'strip' before the two cuts");
    }
    const std::size_t colon = line.find(':');
    if (colon == std::string_view::npos) {
      const bool table = line.find_first_of(",;\t") != std::string_view::npos, gaps = of_gaps(keys);
      throw InputError("line", std::string(line), gaps ? kGapForms : kForms, where,
                       table  ? "above a table, 'key: value' lines begin with '#'"
                       : gaps ? "readings stand behind the distance of their place: '20: 0.15 0.2'"
                              : "readings stand behind their distance from the fence end: '20: 22.74 22.73'");
    }
    if (line.starts_with('#') || is_letter(line[0])) {
      const std::size_t hash = line.starts_with('#') ? 1 : 0;
      const std::string_view body = units::trimmed(line.substr(hash));
      const auto before = static_cast<int>(body.data() - line.data());
      keys.push_back(parse_key_line({std::string(body), number, column + before, false}, text.source));
      return;
    }
    const std::string_view widths = units::trimmed(line.substr(colon + 1));
    const std::size_t before =
        widths.empty() ? line.size() : static_cast<std::size_t>(widths.data() - line.data());
    const int widths_column = column + static_cast<int>(units::characters(line.substr(0, before)));
    spots.push_back({headings.strip(),
                     {std::string(units::trimmed(line.substr(0, colon))), number, column, false},
                     {std::string(widths), number, widths_column, false},
                     headings.counted(),
                     headings.where()});
  });
}

}  // namespace quarterturn::files
