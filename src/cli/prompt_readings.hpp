// SPDX-License-Identifier: MIT
/// \file prompt_readings.hpp
/// The widths of one strip, asked for one after the other. Numbers are readings; `undo`, `redo N`, `keep N`,
/// `skip`, `done` steer.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "app/typed_readings.hpp"
#include "cli/dialogue.hpp"

namespace quarterturn::cli {

/// Collects the readings of one strip, in the order in which they come. While it lives, leaving asks first.
class StripReadings {
 public:
  /// \param strip_name  put before each question, such as `strip 2-6, `
  StripReadings(Dialogue& talk, std::string strip_name) : talk_(talk), name_(std::move(strip_name)) {}
  ~StripReadings() { talk_.at_stake = 0; }
  StripReadings(const StripReadings&) = delete;
  StripReadings& operator=(const StripReadings&) = delete;

  /// Asks for what is still missing. \throws Leave, never Back
  app::Ends ask();
  /// Takes the last reading back: `ask` then asks for it again.
  void undo();

 private:
  struct Slot {
    std::size_t place;
    check::Reading reading;
    bool kept = false;  ///< doubtful, and meant so
  };

  [[nodiscard]] std::size_t count(std::size_t place) const;
  [[nodiscard]] std::string question() const;
  [[nodiscard]] double off(std::size_t at) const;
  [[nodiscard]] bool doubtful(std::size_t at) const;
  [[nodiscard]] std::string reading_text(const check::Reading& reading) const;
  [[nodiscard]] std::size_t index_in(const std::string& typed) const;
  void echo(std::size_t at);
  void take(const std::string& typed);
  void next_place();
  void keep(std::size_t at);
  void end_of_place();
  void obey(const std::string& typed);
  void one_line();
  void settle();
  void ask_about(std::size_t at);
  void measure_again(std::size_t at);

  Dialogue& talk_;
  std::string name_;
  std::vector<Slot> slots_;
  std::size_t place_ = 0;
  std::optional<std::size_t> redo_;
};

}  // namespace quarterturn::cli
