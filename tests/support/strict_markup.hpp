// SPDX-License-Identifier: MIT
/// \file strict_markup.hpp
/// Reads markup as strictly as XML does and refuses what is not well-formed: every element closed in its
/// turn, attributes quoted and given once, no bare `<` or `&`, only the five entities and decimal references.
#pragma once

#include <map>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::test {

struct Element {
  std::string name;
  std::map<std::string, std::string> attributes;
  std::string text;  ///< its own, entities read, without that of elements in it
  int parent = -1;   ///< index
};

class StrictMarkup {
 public:
  /// \throws std::runtime_error naming what is wrong and where
  explicit StrictMarkup(std::string_view text);
  [[nodiscard]] const std::vector<Element>& elements() const { return elements_; }
  [[nodiscard]] std::vector<const Element*> named(const std::string& name) const;
  /// Those of a class.
  [[nodiscard]] std::vector<const Element*> of_class(const std::string& name) const;
  /// All text a person reads: not that of style, title and desc.
  [[nodiscard]] std::string read() const;

 private:
  [[noreturn]] void wrong(const std::string& what) const;
  void tag();
  void attributes_of(Element& element);
  std::string value_until(char end);
  std::string name();
  void blanks();
  std::string_view text_;
  std::size_t at_ = 0;
  std::vector<Element> elements_;
  std::vector<int> open_;
};

}  // namespace quarterturn::test
