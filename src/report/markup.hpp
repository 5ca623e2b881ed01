// SPDX-License-Identifier: MIT
/// \file markup.hpp
/// Writes HTML and SVG. Whatever comes from outside can only become text or the value of an attribute, and
/// both are escaped; names of elements and attributes are literals of this program.
///
/// In       elements in the order in which they stand, texts as people wrote them
/// Out      markup that is well-formed as XML, and the same as HTML
/// Assumes  texts may hold anything: tags, quotes, control characters, bidirectional marks, bytes that are no
///          UTF-8. Control characters and bidirectional marks are spelled out, as on the terminal
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::report {

/// A name or a piece of style: a literal, checked while compiling, so that none can come from a file.
class Literal {
 public:
  // NOLINTNEXTLINE(google-explicit-constructor): written as plain literals
  consteval Literal(const char* text) : text_(text) {}
  [[nodiscard]] constexpr std::string_view view() const { return text_; }

 private:
  std::string_view text_;
};

/// The value of an attribute: a text, escaped where it is written, or a number with two decimals at most.
struct Attribute {
  Attribute(Literal name_, std::string value_) : name(name_), value(std::move(value_)) {}
  Attribute(Literal name_, std::string_view value_) : name(name_), value(value_) {}
  Attribute(Literal name_, const char* value_) : name(name_), value(value_) {}
  Attribute(Literal name_, double number);
  Literal name;
  std::string value;
};
using Attributes = std::vector<Attribute>;

/// `text` with everything that markup could take for its own spelled out, and nothing that a screen would
/// obey.
std::string escaped(std::string_view text);

using Sheet = std::vector<Literal>;

class Markup {
 public:
  Markup& open(Literal element, const Attributes& attributes = {});
  /// Closes the innermost element.
  Markup& close();
  /// An element without content: `<br/>`.
  Markup& empty(Literal element, const Attributes& attributes = {});
  Markup& text(std::string_view text);
  /// An element with nothing but text in it.
  Markup& element(Literal name, std::string_view text, const Attributes& attributes = {});
  /// Another piece, which is whole in itself.
  Markup& add(const Markup& other);
  /// A style sheet of our own, as it stands.
  Markup& style(const Sheet& sheet);
  /// The line that says that what follows is HTML.
  Markup& doctype();
  /// \throws std::logic_error when an element is still open
  [[nodiscard]] const std::string& whole() const;

 private:
  void tag(Literal element, const Attributes& attributes);
  std::string out_;
  std::vector<Literal> open_;
};

}  // namespace quarterturn::report
