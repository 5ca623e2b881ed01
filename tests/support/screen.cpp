// SPDX-License-Identifier: MIT
#include "support/screen.hpp"

#include <algorithm>
#include <cstdlib>

namespace quarterturn::test {
namespace {

std::string as_text(const std::vector<std::string>& line) {
  std::string text;
  for (const auto& character : line) text += character.empty() ? " " : character;
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

std::size_t length_of(char first) {
  const auto byte = static_cast<unsigned char>(first);
  return byte < 0xC0 ? 1 : byte < 0xE0 ? 2 : byte < 0xF0 ? 3 : 4;
}

}  // namespace

std::size_t Screen::top() const {
  const auto rows = static_cast<std::size_t>(rows_);
  return lines_.size() > rows ? lines_.size() - rows : 0;
}

Screen::Line& Screen::here() {
  auto& line = lines_[row_];
  if (line.size() <= column_) line.resize(column_ + 1);
  return line;
}

void Screen::line_feed() {
  if (++row_ >= lines_.size()) lines_.emplace_back();
  at_margin_ = false;
}

void Screen::put(const std::string& character) {
  if (at_margin_) {
    ++wraps_;
    line_feed();
    column_ = 0;
  }
  here()[column_] = character;
  if (column_ + 1 >= static_cast<std::size_t>(columns_))
    at_margin_ = true;
  else
    ++column_;
}

void Screen::obey(const std::string& numbers, char letter) {
  ++escapes_;
  const int given = numbers.empty() ? 0 : std::atoi(numbers.c_str());
  const auto count = static_cast<std::size_t>(std::max(given, 1));
  const auto last = static_cast<std::size_t>(columns_ - 1);
  auto& line = here();
  const auto at = line.begin() + static_cast<std::ptrdiff_t>(column_);
  if (letter != 'm') at_margin_ = false;
  switch (letter) {
    case 'A':
      row_ = std::max(top(), row_ - std::min(count, row_));
      break;
    case 'B':
      row_ = std::min(lines_.size() - 1, row_ + count);
      break;
    case 'C':
      column_ = std::min(last, column_ + count);
      break;
    case 'D':
      column_ -= std::min(count, column_);
      break;
    case 'G':
      column_ = std::min(last, count - 1);
      break;
    case 'K':
      if (given == 0)
        line.resize(column_);
      else if (given == 2)
        line.clear();
      else
        unknown_ += "[" + numbers + letter;
      break;
    case 'J':
      if (given == 0) {
        line.resize(column_);
        lines_.resize(row_ + 1);
      } else {
        unknown_ += "[" + numbers + letter;
      }
      break;
    case 'P':
      line.erase(at, at + static_cast<std::ptrdiff_t>(std::min(count, line.size() - column_)));
      break;
    case '@':
      line.insert(at, count, " ");
      if (line.size() > last + 1) line.resize(last + 1);
      break;
    case 'X':
      for (std::size_t i = 0; i < count && column_ + i < line.size(); ++i) line[column_ + i] = " ";
      break;
    case 'm':
      ++colours_;
      break;
    default:
      unknown_ += "[" + numbers + letter;
  }
}

/// One sequence at `at`. Gives its length; 0: its end has not come.
std::size_t Screen::escape(std::size_t at) {
  if (waiting_.size() < at + 2) return 0;
  if (waiting_[at + 1] != '[') {
    unknown_ += waiting_[at + 1];
    return 2;
  }
  const auto end = waiting_.find_first_not_of("0123456789;?", at + 2);
  if (end == std::string::npos) return 0;
  obey(waiting_.substr(at + 2, end - at - 2), waiting_[end]);
  return end + 1 - at;
}

void Screen::one(const std::string& character) {
  switch (character.front()) {
    case '\r':
      column_ = 0;
      at_margin_ = false;
      break;
    case '\n':
      line_feed();
      break;
    case '\b':
      if (column_ > 0 && !at_margin_) --column_;
      at_margin_ = false;
      break;
    case '\a':
      ++bells_;
      break;
    case '\t':
      column_ = std::min(static_cast<std::size_t>(columns_ - 1), (column_ / 8 + 1) * 8);
      break;
    default:
      put(character);
  }
}

void Screen::take(std::string_view bytes) {
  waiting_ += bytes;
  std::size_t at = 0;
  while (at < waiting_.size()) {
    std::size_t length = 0;
    if (waiting_[at] == '\x1b') {
      length = escape(at);
      if (length == 0) break;
    } else {
      length = length_of(waiting_[at]);
      if (at + length > waiting_.size()) break;
      one(waiting_.substr(at, length));
    }
    at += length;
  }
  waiting_.erase(0, at);
}

std::string Screen::text() const {
  std::string text;
  for (const auto& line : lines_) text += as_text(line) + "\n";
  return text;
}

std::string Screen::line() const {
  return as_text(lines_[row_]);
}

}  // namespace quarterturn::test
