// SPDX-License-Identifier: MIT
/// \file json_text.hpp
/// JSON as people write it: parsed with a guard, and walked with a path for every fault.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::files {

/// Deeper nesting than any file of ours has; a parser that recurses must not meet more.
inline constexpr int kMostJsonDepth = 32;

/// \param what  names the file in the error: `station file`
/// \throws units::InputError with line and column on broken JSON or nesting above kMostJsonDepth; with the
/// path on a
///         key that an object holds twice
nlohmann::json parse_json(const Text& text, const std::string& what);

/// A value of a parsed file that knows its path, such as `setups.crosscut.rail.far.hole` or
/// `shims[0].layer_mm`. Each reader throws units::InputError when the value is not what it
/// must be.
class JsonValue {
 public:
  /// \param value  of `text`; both outlive this object
  JsonValue(const nlohmann::json& value, std::string path, const Text& text)
      : value_(&value), path_(std::move(path)), text_(&text) {}

  /// Holds an object to these keys; an unknown one is an error with the nearest of them.
  void hold_to_keys(const std::vector<std::string>& keys) const;
  [[nodiscard]] JsonValue at(const std::string& key) const;                   ///< required
  [[nodiscard]] std::optional<JsonValue> find(const std::string& key) const;  ///< optional
  [[nodiscard]] std::vector<std::pair<std::string, JsonValue>> members()
      const;                                           ///< of an object, names plain text
  [[nodiscard]] std::vector<JsonValue> items() const;  ///< of an array

  [[nodiscard]] double number() const;  ///< finite
  [[nodiscard]] int whole(int lowest, int highest) const;
  [[nodiscard]] bool flag() const;
  [[nodiscard]] std::string text() const;     ///< one line of plain text, not empty
  [[nodiscard]] std::string content() const;  ///< any text: a file inside of a file, or nothing
  /// The position of the text in `words`.
  [[nodiscard]] std::size_t word(const std::vector<std::string>& words) const;

  [[noreturn]] void fail(const std::string& must_be, const std::string& hint = {}) const;
  /// Runs `read(text())` and puts this value's path on its InputError.
  template <typename Read>
  auto parsed(Read read) const {
    const std::string typed = text();
    try {
      return read(typed);
    } catch (const units::InputError& error) {
      fail(error.must_be(), error.hint());
    }
  }

 private:
  [[nodiscard]] std::string path_of(const std::string& key) const;

  const nlohmann::json* value_;
  std::string path_;
  const Text* text_;
};

}  // namespace quarterturn::files
