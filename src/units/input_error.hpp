// SPDX-License-Identifier: MIT
/// \file input_error.hpp
/// The one exception for a fault in what a person typed or a file holds. Reads:
///   what is VALUE, but must be CONDITION; where; hint
/// e.g. `width is '14.8x', but must be a length such as 14.83 (readings.csv:12:5). Hint: …`
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

namespace quarterturn::units {

/// Where a value stood: a file (or `<stdin>`, an option's name), line and column counted from 1; 0 is
/// unknown.
struct Place {
  std::string source;
  int line = 0;
  int column = 0;

  /// `readings.csv:12:5`, `readings.csv:12`, `readings.csv`, or empty.
  [[nodiscard]] std::string text() const;
};

/// The value of something that was not given at all: shown without quotes, `width is missing, but must be …`.
inline constexpr std::string_view kMissing = "missing";

class InputError : public std::runtime_error {
 public:
  /// \param what     the thing, with its index where there are several: `width[3]`
  /// \param value    what stood there, as typed; shown inert (control characters escaped, cut at 60
  /// characters);
  ///                 empty reads `is empty`, kMissing reads `is missing`
  /// \param must_be  the condition it fails, e.g. `a length above 0`
  /// \param where    file:line:column
  /// \param hint     what to do about it; may be empty
  InputError(std::string what, std::string value, std::string must_be, Place where = {},
             std::string hint = {});

  [[nodiscard]] const std::string& subject() const { return subject_; }
  [[nodiscard]] const std::string& value() const { return value_; }
  [[nodiscard]] const std::string& must_be() const { return must_be_; }
  [[nodiscard]] const Place& where() const { return where_; }
  [[nodiscard]] const std::string& hint() const { return hint_; }

  /// The same fault at a place that only the caller knows.
  [[nodiscard]] InputError at(Place where) const;

 private:
  std::string subject_, value_, must_be_;
  Place where_;
  std::string hint_;
};

/// Text from outside made safe for a terminal: control characters, bidirectional marks and invalid UTF-8
/// escaped, cut to `most` characters with an ellipsis.
std::string inert(std::string_view text, std::size_t most = 60);

}  // namespace quarterturn::units
