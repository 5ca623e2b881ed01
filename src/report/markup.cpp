// SPDX-License-Identifier: MIT
#include "report/markup.hpp"

#include <fmt/format.h>

#include <limits>
#include <stdexcept>

#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

/// `12.5`, `3`: two decimals where they are needed, the same in every locale.
std::string short_number(double number) {
  std::string text = fmt::format("{:.2f}", number);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

/// Line ends and tabs are kept; all else that is no plain character is spelled.
std::string harmless(std::string_view text) {
  std::string out;
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t at = std::min(text.find_first_of("\n\t", from), text.size());
    out += units::inert(text.substr(from, at - from), std::numeric_limits<std::size_t>::max());
    if (at < text.size()) out += text[at];
    from = at + 1;
  }
  return out;
}

}  // namespace

Attribute::Attribute(Literal name_, double number) : name(name_), value(short_number(number)) {}

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : harmless(text)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

void Markup::tag(Literal element, const Attributes& attributes) {
  out_ += '<';
  out_ += element.view();
  for (const auto& attribute : attributes) {
    out_ += ' ';
    out_ += attribute.name.view();
    out_ += "=\"" + escaped(attribute.value) + '"';
  }
}

Markup& Markup::open(Literal element, const Attributes& attributes) {
  tag(element, attributes);
  out_ += '>';
  open_.push_back(element);
  return *this;
}

Markup& Markup::close() {
  if (open_.empty()) throw std::logic_error("markup is closed once too often");
  out_ += "</";
  out_ += open_.back().view();
  out_ += ">\n";
  open_.pop_back();
  return *this;
}

Markup& Markup::empty(Literal element, const Attributes& attributes) {
  tag(element, attributes);
  out_ += "/>\n";
  return *this;
}

Markup& Markup::text(std::string_view text) {
  out_ += escaped(text);
  return *this;
}

Markup& Markup::element(Literal name, std::string_view text_, const Attributes& attributes) {
  open(name, attributes);
  text(text_);
  return close();
}

Markup& Markup::add(const Markup& other) {
  out_ += other.whole();
  return *this;
}

Markup& Markup::style(const Sheet& sheet) {
  out_ += "<style>\n";
  for (const auto piece : sheet) out_ += piece.view();
  out_ += "</style>\n";
  return *this;
}

Markup& Markup::doctype() {
  out_ += "<!DOCTYPE html>\n";
  return *this;
}

const std::string& Markup::whole() const {
  if (!open_.empty()) throw std::logic_error("markup is left open: " + std::string(open_.back().view()));
  return out_;
}

}  // namespace quarterturn::report
