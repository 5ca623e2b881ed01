// SPDX-License-Identifier: MIT
#include "cli/keys.hpp"

#include <array>

namespace quarterturn::cli {
namespace {

constexpr char kEscape = '\x1b';
constexpr wchar_t kNothing = 0;  ///< bytes that leave no key
constexpr std::size_t kLongestSequence = 32;

constexpr wchar_t control(char letter) {
  return static_cast<wchar_t>(letter & 0x1f);
}
unsigned char byte(char c) {
  return static_cast<unsigned char>(c);
}
bool is_final(char c) {
  return c >= '@' && c <= '~';
}

/// Of `ESC [ … letter` and `ESC O letter`. \param with  a key held down with it: Alt or Ctrl
wchar_t arrow(char letter, bool with) {
  switch (letter) {
    case 'A':
      return control('P');
    case 'B':
      return control('N');
    case 'C':
      return with ? static_cast<wchar_t>(kKeyWordRight) : control('F');
    case 'D':
      return with ? static_cast<wchar_t>(kKeyWordLeft) : control('B');
    case 'H':
      return control('A');
    case 'F':
      return control('E');
    default:
      return kNothing;
  }
}

/// Of `ESC [ number ~`.
wchar_t numbered(std::string_view number) {
  if (number == "1" || number == "7") return control('A');
  if (number == "4" || number == "8") return control('E');
  if (number == "3") return kKeyDelete;
  return kNothing;
}

/// How many bytes a UTF-8 character that begins so has; 0: none begins so.
std::size_t length_of(unsigned char first) {
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first <= 0xDF) return 2;
  if (first >= 0xE0 && first <= 0xEF) return 3;
  return first >= 0xF0 && first <= 0xF4 ? 4 : 0;
}

}  // namespace

/// One character. `used` 0: its end has not come.
std::optional<wchar_t> Keys::character(std::size_t& used) const {
  const unsigned char first = byte(waiting_.front());
  const std::size_t length = length_of(first);
  const auto stray = static_cast<wchar_t>(kStray + first);
  used = 1;
  if (length == 0) return stray;
  if (length == 1) return static_cast<wchar_t>(first);
  static constexpr std::array<unsigned, 5> kLeast{0, 0, 0x80, 0x800, 0x10000};
  unsigned code = first & (0xFFu >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    if (i >= waiting_.size()) {
      used = 0;
      return std::nullopt;
    }
    if ((byte(waiting_[i]) & 0xC0) != 0x80) return stray;
    code = (code << 6) | (byte(waiting_[i]) & 0x3Fu);
  }
  if (code < kLeast[length] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF)) return stray;
  used = length;
  return static_cast<wchar_t>(code);
}

/// What begins with ESC. `used` 0: its end has not come.
std::optional<wchar_t> Keys::sequence(std::size_t& used) const {
  used = 0;
  if (waiting_.size() < 2) return std::nullopt;
  const char kind = waiting_[1];
  if (kind == 'O') {
    if (waiting_.size() < 3) return std::nullopt;
    used = 3;
    return arrow(waiting_[2], false);
  }
  if (kind == '[') {
    std::size_t at = 2;
    if (at < waiting_.size() && waiting_[at] == '[') ++at;
    while (at < waiting_.size() && waiting_[at] >= ' ' && waiting_[at] < '@' && at < kLongestSequence) ++at;
    if (at == waiting_.size()) return std::nullopt;
    used = is_final(waiting_[at]) ? at + 1 : at;
    if (!is_final(waiting_[at]) || waiting_[2] == '[') return kNothing;
    const auto inside = std::string_view(waiting_).substr(2, at - 2);
    if (waiting_[at] == '~') return numbered(inside.substr(0, inside.find(';')));
    return arrow(waiting_[at], inside.find(';') != std::string_view::npos);
  }
  used = 2;
  switch (kind) {
    case 'b':
      return kKeyWordLeft;
    case 'f':
      return kKeyWordRight;
    case '\x7f':
    case '\b':
      return kKeyWordAway;
    default:
      break;
  }
  used = 1;  // the key Esc alone means nothing, and what follows stands for itself
  return kNothing;
}

std::optional<wchar_t> Keys::next() {
  while (!waiting_.empty()) {
    std::size_t used = 0;
    const bool escaped = waiting_.front() == kEscape;
    auto key = escaped ? sequence(used) : character(used);
    if (used == 0) return std::nullopt;
    const bool return_before = after_return_;
    after_return_ = waiting_.front() == '\r';
    const bool its_second = return_before && waiting_.front() == '\n';
    waiting_.erase(0, used);
    if (its_second) continue;
    if (after_return_) key = L'\n';
    // Typed codes between 0x80 and 0x9F are no characters, and would be taken for named keys.
    if (*key != kNothing && (escaped || *key < 0x80 || *key > 0x9F)) return key;
  }
  return std::nullopt;
}

bool Keys::more() const {
  return !waiting_.empty() && !(after_return_ && waiting_ == "\n");
}

std::string bytes_of(std::wstring_view keys) {
  std::string text;
  const auto put = [&](unsigned value) { text += static_cast<char>(static_cast<unsigned char>(value)); };
  for (const wchar_t key : keys) {
    const auto code = static_cast<unsigned>(key);  // NOLINT(bugprone-signed-char-misuse): a key, no byte
    if (code >= kStray + 0x80u && code <= kStray + 0xFFu) {
      put(code - kStray);
    } else if (code < 0x80) {
      put(code);
    } else if (code < 0x800) {
      put(0xC0 | (code >> 6));
      put(0x80 | (code & 0x3F));
    } else if (code < 0x10000) {
      put(0xE0 | (code >> 12));
      put(0x80 | ((code >> 6) & 0x3F));
      put(0x80 | (code & 0x3F));
    } else {
      put(0xF0 | (code >> 18));
      put(0x80 | ((code >> 12) & 0x3F));
      put(0x80 | ((code >> 6) & 0x3F));
      put(0x80 | (code & 0x3F));
    }
  }
  return text;
}

std::wstring keys_of(std::string_view bytes) {
  Keys keys;
  keys.take(bytes);
  std::wstring text;
  while (const auto key = keys.next()) text += *key;
  return text;
}

}  // namespace quarterturn::cli
