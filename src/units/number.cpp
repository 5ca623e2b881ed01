// SPDX-License-Identifier: MIT
#include "units/number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::units {

namespace {

constexpr std::size_t kMostBytes = 60;  // of one number with its unit
constexpr std::size_t kMostFractionDigits = 6;
/// Steps of the last digit by decimals, each the double nearest to it.
constexpr std::array<double, 10> kSteps{1, 1e-1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9};
constexpr int kMostExponent = 9;  // 1e9 mm is a thousand kilometres

struct Vulgar {
  std::string_view sign;
  int above, below;
};
constexpr std::array<Vulgar, 9> kVulgar{{{"½", 1, 2},
                                         {"¼", 1, 4},
                                         {"¾", 3, 4},
                                         {"⅛", 1, 8},
                                         {"⅜", 3, 8},
                                         {"⅝", 5, 8},
                                         {"⅞", 7, 8},
                                         {"⅓", 1, 3},
                                         {"⅔", 2, 3}}};

struct UnitWord {
  std::string_view word;
  Unit unit;
};
// Phones and word processors turn " into a curly quote; the double prime is the right sign for inches.
constexpr std::array<UnitWord, 7> kUnitWords{{{"mm", Unit::mm},
                                              {"inches", Unit::inch},
                                              {"inch", Unit::inch},
                                              {"in", Unit::inch},
                                              {"\"", Unit::inch},
                                              {"\u2033", Unit::inch},
                                              {"\u201D", Unit::inch}}};

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// Walks along one typed number; each step takes what it knows or leaves everything as it was.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : rest_(text) {}

  [[nodiscard]] bool done() const { return rest_.empty(); }
  bool take(std::string_view token) {
    if (!rest_.starts_with(token)) return false;
    rest_.remove_prefix(token.size());
    return true;
  }
  bool take_blanks() {
    const std::size_t before = rest_.size();
    while (const std::size_t n = blank_length(rest_)) rest_.remove_prefix(n);
    return rest_.size() != before;
  }
  std::string_view take_digits() {
    std::size_t n = 0;
    while (n < rest_.size() && is_digit(rest_[n])) ++n;
    const std::string_view digits = rest_.substr(0, n);
    rest_.remove_prefix(n);
    return digits;
  }
  [[nodiscard]] std::string_view rest() const { return rest_; }
  void back_to(std::string_view rest) { rest_ = rest; }

 private:
  std::string_view rest_;
};

bool is_unit(std::string_view word) {
  return std::ranges::find(kUnitWords, lowered(word), &UnitWord::word) != kUnitWords.end();
}

bool ends_in_unit(std::string_view text) {
  const std::string small = lowered(text);
  return std::ranges::any_of(kUnitWords, [&](const UnitWord& unit) { return small.ends_with(unit.word); });
}

double to_double(std::string_view digits) {
  double value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  return error == std::errc() && end == digits.data() + digits.size() ? value : std::nan("");
}

/// `3/16` or `½`; false leaves the scanner where it was.
bool take_fraction(Scanner& in, double& above, double& below) {
  for (const Vulgar& vulgar : kVulgar) {
    if (in.take(vulgar.sign)) {
      above = vulgar.above;
      below = vulgar.below;
      return true;
    }
  }
  const std::string_view start = in.rest();
  const std::string_view upper = in.take_digits();
  if (upper.empty() || !(in.take("/") || in.take("\u2044"))) {
    in.back_to(start);
    return false;
  }
  const std::string_view lower = in.take_digits();
  if (lower.empty() || upper.size() > kMostFractionDigits || lower.size() > kMostFractionDigits) {
    in.back_to(start);
    return false;
  }
  above = to_double(upper);
  below = to_double(lower);
  return true;
}

bool begins_fraction(std::string_view word) {
  Scanner in(word);
  double above = 0;
  double below = 1;
  return take_fraction(in, above, below);
}

bool all_digits(std::string_view text) {
  return !text.empty() && std::ranges::all_of(text, is_digit);
}

/// Bytes of the blank or line end that `text` begins with.
std::size_t gap_length(std::string_view text) {
  if (!text.empty() && is_no_blank(text[0])) return 0;
  return text.starts_with('\n') || text.starts_with('\r') ? 1 : blank_length(text);
}

class Parser {
 public:
  Parser(std::string_view text, std::string_view what, bool comma)
      : text_(text), what_(what), comma_(comma) {}

  Number run() {
    text_ = trimmed(text_);
    if (text_.empty()) fail("a number such as 14.83");
    if (text_.size() > kMostBytes) fail("one number, such as 14.83");
    Scanner in(text_);
    Number number;
    number.as_typed = std::string(text_);
    if (plain(number)) return number;
    const bool negative = in.take("-") || in.take("\u2212");
    if (!negative) in.take("+");
    if (!mixed(in, number)) decimal(in, number);
    if (negative) number.value = -number.value;
    in.take_blanks();
    number.unit = unit(in);
    if (!in.done()) fail(must_be(in.rest()), hint(in.rest()));
    return number;
  }

 private:
  [[noreturn]] void fail(std::string condition, std::string advice = {}) const {
    throw InputError(std::string(what_), std::string(text_), std::move(condition), {}, std::move(advice));
  }

  /// Digits, and perhaps a point with digits behind it: what nearly every reading is. Gives what the general
  /// way gives.
  bool plain(Number& number) const {
    const char* const from = text_.data();
    const char* const end = from + text_.size();
    const char* at = std::find_if_not(from, end, is_digit);
    if (at == from || (at != end && *at != '.')) return false;
    const auto decimals = static_cast<std::size_t>(at == end ? 0 : end - at - 1);
    if (decimals >= kSteps.size() || (at != end && !std::all_of(at + 1, end, is_digit))) return false;
    if (at != end && decimals == 0) return false;
    number.value = to_double(text_);
    number.digits_step = kSteps[decimals];
    return std::isfinite(number.value);
  }

  /// A fraction, alone or behind a whole number and a blank or hyphen.
  bool mixed(Scanner& in, Number& number) const {
    const std::string_view start = in.rest();
    double above = 0;
    double below = 1;
    double whole = 0;
    bool has_whole = false;
    if (!take_fraction(in, above, below)) {
      const std::string_view digits = in.take_digits();
      if (digits.empty()) return false;
      if (!in.take_blanks()) in.take("-");
      if (!take_fraction(in, above, below)) {
        in.back_to(start);
        return false;
      }
      whole = to_double(digits);
      has_whole = true;
    }
    if (below <= 0) fail("a fraction whose lower number is not 0");
    if (has_whole && above >= below) fail("a whole number and a fraction below 1, such as 1-3/16");
    number.value = whole + above / below;
    number.digits_step = 1.0 / below;
    number.fraction = true;
    return true;
  }

  void decimal(Scanner& in, Number& number) const {
    std::string digits(in.take_digits());
    std::string_view decimals;
    const bool digits_before = !digits.empty();
    // `5.` is how some write a whole number; `5,` is a list that lost its blank.
    const std::string_view point = in.rest();
    if (in.take(".") || (comma_ && in.take(","))) decimals = in.take_digits();
    if (decimals.empty() && point.starts_with(',')) in.back_to(point);
    if (!digits_before && decimals.empty()) fail(must_be(in.rest()), hint(text_));
    digits += '.';
    digits += decimals;
    if (!digits_before) digits.insert(0, "0");
    if (decimals.empty()) digits += '0';
    const int power = exponent(in);
    const std::string tail = power == 0 ? std::string() : "e" + std::to_string(power);
    number.value = to_double(digits + tail);
    // Read from text so that 10^-2 is the double nearest to 0.01, the same one a typed 0.01 gives.
    number.digits_step = to_double("1e" + std::to_string(power - static_cast<int>(decimals.size())));
    if (!std::isfinite(number.value)) fail("a finite number");
  }

  [[nodiscard]] int exponent(Scanner& in) const {
    const std::string_view start = in.rest();
    if (!in.take("e") && !in.take("E")) return 0;
    const bool negative = in.take("-");
    if (!negative) in.take("+");
    const std::string_view digits = in.take_digits();
    if (digits.empty()) {
      in.back_to(start);
      return 0;
    }
    const double power = to_double(digits);
    if (power > kMostExponent)
      fail("a number of a size that a workshop meets", "write it without the power of ten");
    return negative ? -static_cast<int>(power) : static_cast<int>(power);
  }

  static std::optional<Unit> unit(Scanner& in) {
    const std::string small = lowered(in.rest());
    for (const auto& [word, unit] : kUnitWords) {
      if (small == word) {
        in.back_to({});
        return unit;
      }
    }
    return std::nullopt;
  }

  [[nodiscard]] static std::string must_be(std::string_view rest) {
    if (!rest.empty() && is_digit(rest[0])) return "one number, such as 14.83";
    return "a number such as 14.83, 14.83 mm, 0.584 in or 37/64 in";
  }

  [[nodiscard]] std::string hint(std::string_view rest) const {
    const std::string small = lowered(trimmed(rest));
    for (const std::string_view other : {"cm", "m", "thou", "ft", "'", "um", "µm", "mil", "dm"}) {
      if (small == other) return "write millimetres (14.83 mm) or inches (0.584 in)";
    }
    if (small.starts_with(",") && !comma_) return "write a decimal point";
    if (small.starts_with(",") || small.starts_with(".")) {
      return "one decimal point or comma, and nothing between the thousands; two readings are parted by a "
             "blank";
    }
    if (!small.empty() && is_digit(small[0])) return "this looks like two numbers";
    if (text_.find_first_of("0123456789") == std::string_view::npos) return {};
    return "only the number and its unit";
  }

  std::string_view text_, what_;
  bool comma_;
};

}  // namespace

Length Number::length(Unit bare) const {
  return unit.value_or(bare) == Unit::mm ? Length::from_mm(value) : Length::from_inch(value);
}

Length Number::step(Unit bare) const {
  return unit.value_or(bare) == Unit::mm ? Length::from_mm(digits_step) : Length::from_inch(digits_step);
}

Number parse_number(std::string_view text, std::string_view what, bool comma) {
  return Parser(text, what, comma).run();
}

std::vector<Piece> split_numbers(std::string_view line) {
  std::vector<Piece> pieces;
  bool open = false;  // the number before may still take a unit or a fraction
  std::size_t counted = 0;
  std::size_t column = 0;  // characters before `counted`
  for (std::size_t i = 0; i < line.size();) {
    if (const std::size_t n = gap_length(line.substr(i))) {
      open = open && blank_length(line.substr(i)) > 0;
      i += n;
      continue;
    }
    const std::size_t start = i;
    while (i < line.size() && gap_length(line.substr(i)) == 0) ++i;
    std::string_view word = line.substr(start, i - start);
    const bool closes = word.size() > 1 && (word.back() == ',' || word.back() == ';');
    if (closes) word.remove_suffix(1);
    const std::string_view last = pieces.empty() ? std::string_view() : pieces.back().text;
    const bool is_its_unit = open && !is_digit(word[0]) && is_unit(word) && !ends_in_unit(last);
    if (is_its_unit || (open && all_digits(last) && begins_fraction(word))) {
      const auto from = static_cast<std::size_t>(last.data() - line.data());
      pieces.back().text = line.substr(from, start + word.size() - from);
    } else {
      column += characters(line.substr(counted, start - counted));
      counted = start;
      pieces.push_back({word, column});
    }
    open = !closes;
  }
  return pieces;
}

Length parse_length(std::string_view text, std::string_view what, Unit bare) {
  return parse_number(text, what).length(bare);
}

int parse_whole(std::string_view text, std::string_view what, int lowest, int highest) {
  const std::string_view digits = trimmed(text);
  int value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (digits.empty() || error != std::errc() || end != digits.data() + digits.size() || value < lowest ||
      value > highest) {
    throw InputError(std::string(what), std::string(digits),
                     "a whole number from " + std::to_string(lowest) + " to " + std::to_string(highest), {},
                     "digits only, without a unit");
  }
  return value;
}

Unit parse_unit(std::string_view text) {
  const std::string word = lowered(trimmed(text));
  if (word == "mm") return Unit::mm;
  if (word == "in") return Unit::inch;
  const bool inches = word == "inch" || word == "inches" || word == "\"";
  throw InputError("unit", std::string(trimmed(text)), "mm or in", {}, inches ? "write in" : "");
}

}  // namespace quarterturn::units
