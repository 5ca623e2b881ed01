// SPDX-License-Identifier: MIT
#include "history/named.hpp"

#include <utility>

namespace quarterturn::history {

void EntryNames::begin(std::string station, std::shared_ptr<const void> text, std::size_t count) {
  station_ = std::move(station);
  text_ = std::move(text);
  short_.reserve(count);
}

void EntryNames::add_check(int number, std::string_view day, std::string_view id) {
  Short& added = short_.emplace_back();
  added.id = id;
  added.number = number;
  added.day_size = static_cast<std::uint8_t>(day.copy(added.day.data(), added.day.size()));
}

void EntryNames::push_back(Named named, std::string id) {
  Short& added = short_.emplace_back();
  added.number = static_cast<int>(long_.size());
  added.is_long = true;
  long_.push_back({std::move(named), std::move(id)});
}

Named EntryNames::operator[](std::size_t at) const {
  const Short& one = short_[at];
  if (one.is_long) return long_[static_cast<std::size_t>(one.number)].named;
  return {station_ + "/" + std::to_string(one.number), std::string(one.day.data(), one.day_size)};
}

std::string_view EntryNames::id(std::size_t at) const {
  const Short& one = short_[at];
  return one.is_long ? std::string_view(long_[static_cast<std::size_t>(one.number)].id) : one.id;
}

void EntryNames::put_in(const std::vector<std::size_t>& order) {
  std::vector<Short> sorted;
  sorted.reserve(order.size());
  for (const std::size_t i : order) sorted.push_back(short_[i]);
  short_ = std::move(sorted);
}

}  // namespace quarterturn::history
