// SPDX-License-Identifier: MIT
#include "station/hole.hpp"

#include <algorithm>

#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::station {
namespace {

constexpr int kLetters = 26;
constexpr std::size_t kMostLetters = 3, kMostDigits = 4;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// 1 to 26 for a letter of either case, else 0; the C library's answer would depend on the locale.
int letter_value(char c) {
  if (c >= 'A' && c <= 'Z') return c - 'A' + 1;
  if (c >= 'a' && c <= 'z') return c - 'a' + 1;
  return 0;
}

}  // namespace

std::string Hole::name() const {
  std::string letters;
  for (int rest = column; rest > 0; rest = (rest - 1) / kLetters) {
    letters += static_cast<char>('A' + (rest - 1) % kLetters);
  }
  std::reverse(letters.begin(), letters.end());
  return letters + std::to_string(row);
}

Hole parse_hole(std::string_view text) {
  const auto refuse = [&]() -> units::InputError {
    return {"hole",
            std::string(text),
            "column letters, then a row number, such as E10",
            {},
            "A1 is at your left front corner; letters count to the right, numbers away from you"};
  };
  const std::string_view body = units::trimmed(text);
  Hole hole{0, 0};
  std::size_t at = 0;
  for (; at < body.size() && letter_value(body[at]) > 0; ++at) {
    if (at == kMostLetters) throw refuse();
    hole.column = hole.column * kLetters + letter_value(body[at]);
  }
  const std::size_t digits = body.size() - at;
  if (at == 0 || digits == 0 || digits > kMostDigits) throw refuse();
  for (; at < body.size(); ++at) {
    if (!is_digit(body[at])) throw refuse();
    hole.row = hole.row * 10 + (body[at] - '0');
  }
  if (hole.row == 0) throw refuse();
  return hole;
}

}  // namespace quarterturn::station
