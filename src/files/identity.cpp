// SPDX-License-Identifier: MIT
#include "files/identity.hpp"

#include <array>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <ctime>
#include <optional>
#include <random>

namespace quarterturn::files {

std::string new_id() {
  std::random_device random;
  constexpr int kDigitsADraw = 8;
  std::string id = "xxxxxxxx-xxxx-4xxx-yxxx-xxxxxxxxxxxx";
  unsigned bits = 0;
  int left = 0;
  for (char& c : id) {
    if (c != 'x' && c != 'y') continue;
    if (left == 0) {
      bits = random();
      left = kDigitsADraw;
    }
    const unsigned nibble = bits & 0xFU;
    bits >>= 4U;
    --left;
    c = c == 'x' ? "0123456789abcdef"[nibble] : "89ab"[nibble % 4];
  }
  return id;
}

namespace {

std::string recorded_at(std::int64_t ms) {
  const std::time_t seconds = ms / 1000;
  std::tm utc{};
  ::gmtime_r(&seconds, &utc);
  std::array<char, 40> text{};
  const auto length = std::strftime(text.data(), text.size(), "%Y-%m-%dT%H:%M:%S", &utc);
  std::array<char, 8> fraction{};
  std::snprintf(fraction.data(), fraction.size(), ".%03dZ", static_cast<int>(ms % 1000));
  return std::string(text.data(), length) + fraction.data();
}

/// Milliseconds from 1970 of what recorded_at writes; of other texts nothing, or what stands in their
/// beginning.
std::optional<std::int64_t> ms_of(const std::string& text) {
  std::tm utc{};
  int ms = 0;
  const int found = std::sscanf(text.c_str(), "%4d-%2d-%2dT%2d:%2d:%2d.%3dZ", &utc.tm_year, &utc.tm_mon,
                                &utc.tm_mday, &utc.tm_hour, &utc.tm_min, &utc.tm_sec, &ms);
  constexpr int kFields = 7, kFirstYear = 1900;
  if (found != kFields) return std::nullopt;
  utc.tm_year -= kFirstYear;
  utc.tm_mon -= 1;
  return static_cast<std::int64_t>(::timegm(&utc)) * 1000 + ms;
}

}  // namespace

std::string recorded_now() {
  const auto now = std::chrono::system_clock::now().time_since_epoch();
  return recorded_at(std::chrono::duration_cast<std::chrono::milliseconds>(now).count());
}

std::string recorded_after(const std::string& last) {
  std::string now = recorded_now();
  if (last < now) return now;
  const auto ms = ms_of(last);
  return ms ? recorded_at(*ms + 1) : now;  // not of ours: nothing follows from it
}

bool is_recorded(const std::string& text) {
  const auto ms = ms_of(text);
  return ms && recorded_at(*ms) == text;
}

}  // namespace quarterturn::files
