// SPDX-License-Identifier: MIT
/// \file keys.hpp
/// The bytes of a terminal as the keys that the line editor is given: characters, control characters, and the
/// few named keys below. No byte is lost: one that is no UTF-8 goes through as kStray + byte. A key that has
/// no meaning here leaves nothing on the line, least of all the digits of its sequence.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace quarterturn::cli {

/// Keys without a character of their own: codes that nobody can type, below 256 so that they can be bound.
enum NamedKey : wchar_t {
  kKeyDelete = 0x81,
  kKeyWordLeft,
  kKeyWordRight,
  kKeyWordAway,
  kKeyDropped,
  kKeyResized,
  kKeyResumed
};
constexpr wchar_t kStray = 0xDC00;

class Keys {
 public:
  void take(std::string_view bytes) { waiting_ += bytes; }
  /// The next key; nothing while its last byte has not come. Enter is '\n', whether CR, LF or both were sent.
  std::optional<wchar_t> next();
  /// Whether something was sent behind the key that was given last.
  [[nodiscard]] bool more() const;

 private:
  std::optional<wchar_t> sequence(std::size_t& used) const;
  std::optional<wchar_t> character(std::size_t& used) const;
  std::string waiting_;
  bool after_return_ = false;
};

/// UTF-8 of what the keys made, stray bytes as they came.
std::string bytes_of(std::wstring_view keys);
/// Text for the line editor to show.
std::wstring keys_of(std::string_view bytes);

}  // namespace quarterturn::cli
