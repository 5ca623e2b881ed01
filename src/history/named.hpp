// SPDX-License-Identifier: MIT
/// \file named.hpp
/// How a check, an event or an old result is called where a person reads of it.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <deque>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace quarterturn::history {

struct Named {
  std::string name, date;  ///< `dock/3`, `2026-08-09`
};

/// The names of the entries of a record. There may be a hundred thousand of which ten are told: a check's is
/// put together when it is asked for, and its id stays where it was read.
class EntryNames {
 public:
  /// \param station  whose checks are numbered
  /// \param text     what holds the ids of checks that are added; lives as long as the names
  void begin(std::string station, std::shared_ptr<const void> text, std::size_t count);
  void add_check(int number, std::string_view day, std::string_view id);
  /// One of any name. \param id  of the check; empty: an old result
  void push_back(Named named, std::string id = {});
  void pop_back() { short_.pop_back(); }

  [[nodiscard]] std::size_t size() const { return short_.size(); }
  [[nodiscard]] Named operator[](std::size_t at) const;
  [[nodiscard]] Named front() const { return (*this)[0]; }
  [[nodiscard]] Named back() const { return (*this)[size() - 1]; }
  [[nodiscard]] std::string_view id(std::size_t at) const;

  /// Put in another order: first the one that stood at `order[0]`.
  void put_in(const std::vector<std::size_t>& order);

 private:
  struct Long {
    Named named;
    std::string id;
  };
  struct Short {
    std::string_view id;
    int number = 0;  ///< of the check; of one of any name its place in `long_`
    std::array<char, 10> day{};
    std::uint8_t day_size = 0;
    bool is_long = false;
  };
  std::string station_;
  std::shared_ptr<const void> text_;
  std::vector<Short> short_;
  std::deque<Long> long_;
};

}  // namespace quarterturn::history
