// SPDX-License-Identifier: MIT
#include "support/strict_markup.hpp"

#include <cctype>
#include <sstream>

namespace quarterturn::test {

StrictMarkup::StrictMarkup(std::string_view text) : text_(text) {
  if (text_.starts_with("<!DOCTYPE html>")) at_ = 15;
  while (at_ < text_.size()) {
    if (text_[at_] == '<') {
      tag();
      continue;
    }
    const std::string piece = value_until('<');
    if (!open_.empty())
      elements_[static_cast<std::size_t>(open_.back())].text += piece;
    else if (piece.find_first_not_of(" \n") != std::string::npos)
      wrong("text outside of any element");
  }
  if (!open_.empty()) wrong("left open: " + elements_[static_cast<std::size_t>(open_.back())].name);
}

void StrictMarkup::wrong(const std::string& what) const {
  throw std::runtime_error(what + " before: " + std::string(text_.substr(std::min(at_, text_.size()), 60)));
}

void StrictMarkup::blanks() {
  while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\n')) ++at_;
}

std::string StrictMarkup::name() {
  std::string found;
  while (at_ < text_.size() &&
         (std::isalnum(static_cast<unsigned char>(text_[at_])) != 0 || text_[at_] == '-'))
    found += text_[at_++];
  if (found.empty()) wrong("a name is missing");
  return found;
}

/// Text up to `end`, its references read.
std::string StrictMarkup::value_until(char end) {
  static const std::map<std::string, std::string> kEntities{
      {"amp", "&"}, {"lt", "<"}, {"gt", ">"}, {"quot", "\""}, {"#39", "'"}};
  std::string value;
  while (at_ < text_.size() && text_[at_] != end) {
    const char c = text_[at_];
    if (c == '<' || c == '>') wrong("a bare angle bracket");
    if (static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t') wrong("a control character");
    if (c != '&') {
      value += c;
      ++at_;
      continue;
    }
    const std::size_t close = text_.find(';', at_);
    const auto found = close == std::string_view::npos
                           ? kEntities.end()
                           : kEntities.find(std::string(text_.substr(at_ + 1, close - at_ - 1)));
    if (found == kEntities.end()) wrong("a bare ampersand or an unknown entity");
    value += found->second;
    at_ = close + 1;
  }
  return value;
}

void StrictMarkup::attributes_of(Element& element) {
  for (blanks(); at_ < text_.size() && text_[at_] != '>' && text_[at_] != '/'; blanks()) {
    const std::string attribute = name();
    if (at_ + 1 >= text_.size() || text_[at_] != '=' || text_[at_ + 1] != '"')
      wrong("an attribute without a quoted value");
    at_ += 2;
    if (!element.attributes.emplace(attribute, value_until('"')).second) wrong("an attribute given twice");
    if (at_ >= text_.size()) wrong("a quotation mark is missing");
    ++at_;
  }
}

void StrictMarkup::tag() {
  ++at_;
  if (at_ < text_.size() && text_[at_] == '/') {
    ++at_;
    const std::string closed = name();
    if (open_.empty() || elements_[static_cast<std::size_t>(open_.back())].name != closed)
      wrong("closed out of turn: " + closed);
    if (at_ >= text_.size() || text_[at_] != '>') wrong("a closing tag with something in it");
    ++at_;
    open_.pop_back();
    return;
  }
  Element element;
  element.name = name();
  element.parent = open_.empty() ? -1 : open_.back();
  attributes_of(element);
  const bool empty = at_ < text_.size() && text_[at_] == '/';
  if (empty) ++at_;
  if (at_ >= text_.size() || text_[at_] != '>') wrong("a tag that does not end");
  ++at_;
  elements_.push_back(std::move(element));
  if (empty) return;
  open_.push_back(static_cast<int>(elements_.size()) - 1);
  if (elements_.back().name != "style") return;
  const std::size_t end = text_.find("</style>", at_);
  if (end == std::string_view::npos) wrong("a style sheet that does not end");
  elements_.back().text = text_.substr(at_, end - at_);
  at_ = end;
}

std::vector<const Element*> StrictMarkup::named(const std::string& wanted) const {
  std::vector<const Element*> found;
  for (const auto& element : elements_) {
    if (element.name == wanted) found.push_back(&element);
  }
  return found;
}

std::vector<const Element*> StrictMarkup::of_class(const std::string& wanted) const {
  std::vector<const Element*> found;
  for (const auto& element : elements_) {
    const auto given = element.attributes.find("class");
    if (given == element.attributes.end()) continue;
    std::istringstream words(given->second);
    for (std::string word; words >> word;) {
      if (word == wanted) found.push_back(&element);
    }
  }
  return found;
}

std::string StrictMarkup::read() const {
  std::string all;
  for (const auto& element : elements_) {
    if (element.name != "style" && element.name != "title" && element.name != "desc")
      all += element.text + "\n";
  }
  // A space at which no line breaks is read as a space.
  constexpr std::string_view kUnbroken = "\u00A0";
  for (std::size_t at = 0; (at = all.find(kUnbroken, at)) != std::string::npos; ++at)
    all.replace(at, kUnbroken.size(), " ");
  return all;
}

}  // namespace quarterturn::test
