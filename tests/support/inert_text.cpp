// SPDX-License-Identifier: MIT
#include "support/inert_text.hpp"

#include <array>
#include <cstddef>
#include <cstdio>

namespace quarterturn::test {
namespace {

/// One character: its code point and bytes; no bytes where it is not well-formed.
struct Character {
  unsigned long point = 0;
  std::size_t bytes = 0;
};

Character character_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) -> unsigned long { return static_cast<unsigned char>(text[at + i]); };
  const unsigned long lead = byte(0);
  if (lead < 0x80) return {lead, 1};
  const std::size_t bytes = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || at + bytes > text.size()) return {};
  unsigned long point = lead & (0xFFUL >> (bytes + 1));
  for (std::size_t i = 1; i < bytes; ++i) {
    if ((byte(i) & 0xC0) != 0x80) return {};
    point = point << 6 | (byte(i) & 0x3F);
  }
  constexpr std::array<unsigned long, 5> kLeast{0, 0, 0x80, 0x800, 0x10000};
  if (point < kLeast[bytes] || point > 0x10FFFF || (point >= 0xD800 && point <= 0xDFFF)) return {};
  return {point, bytes};
}

/// C0 and C1 controls; Bidi_Control, zero-width and invisible format characters, line and paragraph
/// separators, interlinear annotation, byte-order mark, tags (Unicode 15, PropList and
/// DerivedCoreProperties).
bool acts(unsigned long point) {
  struct Span {
    unsigned long first, last;
  };
  constexpr std::array<Span, 10> kSpans{{{0x00, 0x1F},
                                         {0x7F, 0x9F},
                                         {0x61C, 0x61C},
                                         {0x200B, 0x200F},
                                         {0x2028, 0x202E},
                                         {0x2060, 0x2064},
                                         {0x2066, 0x206F},
                                         {0xFEFF, 0xFEFF},
                                         {0xFFF9, 0xFFFB},
                                         {0xE0001, 0xE007F}}};
  for (const Span& span : kSpans)
    if (point >= span.first && point <= span.last) return true;
  return false;
}

bool is_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

}  // namespace

std::string alive_in(std::string_view text) {
  std::array<char, 64> found{};
  for (std::size_t at = 0; at < text.size();) {
    const Character one = character_at(text, at);
    if (one.bytes == 0) {
      std::snprintf(found.data(), found.size(), "byte 0x%02x at byte %zu",
                    static_cast<unsigned>(static_cast<unsigned char>(text[at])), at);
      return found.data();
    }
    if (acts(one.point) && one.point != '\n') {
      std::snprintf(found.data(), found.size(), "U+%04lX at byte %zu", one.point, at);
      return found.data();
    }
    at += one.bytes;
  }
  return {};
}

bool has_no_number(std::string_view text) {
  for (const std::string_view word : {"nan", "inf", "infinity"}) {
    for (auto at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
      const bool begins = at == 0 || !is_letter(text[at - 1]) || text[at - 1] == '-';
      const std::size_t end = at + word.size();
      if (begins && (end == text.size() || !is_letter(text[end]))) return true;
    }
  }
  return false;
}

}  // namespace quarterturn::test
