// SPDX-License-Identifier: MIT
#include "units/text.hpp"

#include <algorithm>
#include <array>
#include <charconv>

namespace quarterturn::units {

namespace {
unsigned byte_at(std::string_view text, std::size_t i) {
  return static_cast<unsigned char>(text[i]);
}
bool continues(unsigned byte) {
  return (byte & 0xC0u) == 0x80u;
}
}  // namespace

std::size_t blank_length(std::string_view text) {
  if (text.empty() || is_no_blank(text[0])) return 0;
  if (text[0] == ' ' || text[0] == '\t') return 1;
  if (text.starts_with("\u00A0")) return 2;
  if (text.starts_with("\u2009") || text.starts_with("\u202F")) return 3;
  return 0;
}

std::string_view trimmed(std::string_view text) {
  while (const std::size_t n = blank_length(text)) text.remove_prefix(n);
  for (bool again = true; again && !text.empty() && !is_no_blank(text.back());) {
    again = false;
    for (const std::size_t n : {1u, 2u, 3u}) {
      if (text.size() >= n && blank_length(text.substr(text.size() - n)) == n) {
        text.remove_suffix(n);
        again = true;
        break;
      }
    }
  }
  return text;
}

std::string lowered(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

std::size_t characters(std::string_view text) {
  return static_cast<std::size_t>(
      std::ranges::count_if(text, [](char c) { return !continues(static_cast<unsigned char>(c)); }));
}

std::size_t utf8_length(std::string_view text) {
  if (text.empty()) return 0;
  const unsigned first = byte_at(text, 0);
  if (first < 0x80u) return 1;
  std::size_t n = 0;
  unsigned lowest = 0x80u;
  unsigned highest = 0xBFu;  // of the second byte
  if (first >= 0xC2u && first <= 0xDFu) {
    n = 2;
  } else if (first >= 0xE0u && first <= 0xEFu) {
    n = 3;
    if (first == 0xE0u) lowest = 0xA0u;
    if (first == 0xEDu) highest = 0x9Fu;
  } else if (first >= 0xF0u && first <= 0xF4u) {
    n = 4;
    if (first == 0xF0u) lowest = 0x90u;
    if (first == 0xF4u) highest = 0x8Fu;
  }
  if (n == 0 || text.size() < n) return 0;
  if (byte_at(text, 1) < lowest || byte_at(text, 1) > highest) return 0;
  for (std::size_t i = 2; i < n; ++i) {
    if (!continues(byte_at(text, i))) return 0;
  }
  return n;
}

std::string shortest(double value) {
  std::array<char, 32> digits{};
  const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return error == std::errc() ? std::string(digits.data(), end) : std::string("nan");
}

}  // namespace quarterturn::units
