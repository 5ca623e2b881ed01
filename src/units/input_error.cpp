// SPDX-License-Identifier: MIT
#include "units/input_error.hpp"

#include <array>
#include <charconv>
#include <cstdint>
#include <utility>

#include "units/text.hpp"

namespace quarterturn::units {

namespace {

constexpr std::size_t kMostOfSubject = 160;
constexpr std::size_t kMostOfSentence = 600;
constexpr std::size_t kMostOfPath = 4096;

std::uint32_t code_point(std::string_view character) {
  const auto byte = [&](std::size_t i) {
    return static_cast<std::uint32_t>(static_cast<unsigned char>(character[i]));
  };
  switch (character.size()) {
    case 1:
      return byte(0);
    case 2:
      return (byte(0) & 0x1Fu) << 6 | (byte(1) & 0x3Fu);
    case 3:
      return (byte(0) & 0x0Fu) << 12 | (byte(1) & 0x3Fu) << 6 | (byte(2) & 0x3Fu);
    default:
      return (byte(0) & 0x07u) << 18 | (byte(1) & 0x3Fu) << 12 | (byte(2) & 0x3Fu) << 6 | (byte(3) & 0x3Fu);
  }
}

/// Controls, and marks that are not seen but change what is: directions, joiners, line and paragraph
/// separators, BOM.
bool is_unsafe(std::uint32_t point) {
  return point < 0x20 || (point >= 0x7F && point < 0xA0) || point == 0x061C ||
         (point >= 0x200B && point <= 0x200F) || (point >= 0x2028 && point <= 0x202E) ||
         (point >= 0x2060 && point <= 0x206F) || point == 0xFEFF || (point >= 0xFFF9 && point <= 0xFFFB) ||
         (point >= 0xE0000 && point <= 0xE007F);
}

std::string hexadecimal(std::uint32_t number, std::size_t digits) {
  std::array<char, 8> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), number, 16).ptr;
  std::string out(buffer.data(), end);
  if (out.size() < digits) out.insert(0, digits - out.size(), '0');
  return out;
}

std::string escaped(std::uint32_t point) {
  if (point == '\n') return "\\n";
  if (point == '\t') return "\\t";
  if (point == '\r') return "\\r";
  if (point < 0x80) return "\\x" + hexadecimal(point, 2);
  return "\\u{" + hexadecimal(point, 4) + "}";
}

std::string shown(const std::string& value) {
  if (value.empty()) return "empty";
  if (value == kMissing) return value;
  return "'" + inert(value) + "'";
}

std::string sentence(const std::string& what, const std::string& value, const std::string& must_be,
                     const Place& where, const std::string& hint) {
  std::string out = inert(what, kMostOfSubject) + " is " + shown(value) + ", but must be " +
                    inert(must_be, kMostOfSentence);
  if (const std::string place = where.text(); !place.empty()) out += " (" + place + ")";
  out += '.';
  if (!hint.empty()) out += " Hint: " + inert(hint, kMostOfSentence);
  return out;
}

}  // namespace

std::string Place::text() const {
  std::string out = inert(source, kMostOfPath);
  if (line > 0) {
    out += (out.empty() ? "line " : ":") + std::to_string(line);
    if (column > 0) out += ":" + std::to_string(column);
  }
  return out;
}

InputError::InputError(std::string what, std::string value, std::string must_be, Place where,
                       std::string hint)
    : std::runtime_error(sentence(what, value, must_be, where, hint)),
      subject_(std::move(what)),
      value_(std::move(value)),
      must_be_(std::move(must_be)),
      where_(std::move(where)),
      hint_(std::move(hint)) {}

InputError InputError::at(Place where) const {
  return {subject_, value_, must_be_, std::move(where), hint_};
}

std::string inert(std::string_view text, std::size_t most) {
  std::string out;
  for (std::size_t i = 0, n = 0; i < text.size(); ++n) {
    if (n == most) return out + "...";
    const std::size_t length = utf8_length(text.substr(i, 4));
    if (length == 0) {
      out += "\\x" + hexadecimal(static_cast<unsigned char>(text[i]), 2);
      ++i;
      continue;
    }
    const std::string_view character = text.substr(i, length);
    const std::uint32_t point = code_point(character);
    if (is_unsafe(point)) {
      out += escaped(point);
    } else {
      out += character;
    }
    i += length;
  }
  return out;
}

}  // namespace quarterturn::units
