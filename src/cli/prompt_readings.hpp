// SPDX-License-Identifier: MIT
/// \file prompt_readings.hpp
/// The readings of one strip, joint or rail, asked for one after the other. Numbers are readings; `undo`,
/// `redo N`, `keep N`, `note N`, `skip`, `done`, `so far` and the name of a place steer.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <vector>

#include "check/check.hpp"
#include "cli/dialogue.hpp"

namespace quarterturn::cli {

/// A place at which is read; one that is not needed may be skipped.
struct ReadingPlace {
  std::string name;
  bool needed;
};

/// What is read, where, and what a reading of it can be.
struct ReadingsAsked {
  std::vector<ReadingPlace> places;
  std::size_t wanted;   ///< readings that are asked for at a place
  std::size_t most;     ///< taken at it; further ones of a line are those of the next place
  const char* what;     ///< `a strip's width`
  const char* there;    ///< `the strip's width there`
  const char* of_what;  ///< what leaving loses the readings of: `strip`
  double least_mm, most_mm;
  double doubtful_mm;     ///< off the others of its place
  double other_place_mm;  ///< off the other places, where it is alone
  double off_line_mm;     ///< of the middle off the line between the ends; 0: they need not lie on one
  const char *such_as_mm, *such_as_inch;
  const char* quantity;  ///< width or gap, in what is said of one that cannot be read
};
/// Three widths at each place of a strip.
const ReadingsAsked& strip_widths();
/// The same of several strips, `strip 1-5 F end` and so on: in any order.
ReadingsAsked widths_of_strips(int strips);
/// The thickest feeler at each place of a joint, of a ring's last joint, of the rail's edge; F end first.
const ReadingsAsked& joint_gaps();
const ReadingsAsked& ring_gaps();
const ReadingsAsked& rail_gaps();

/// Collects readings in the order in which they come. While it lives, leaving asks first.
class PlaceReadings {
 public:
  /// \param name  put before each question, such as `strip 2-6, `
  /// \param check  whose strips or joints are measured so far: their readings are numbered first, and `redo`
  /// and `note` reach them
  /// \param at_stake  leaving would lose those too
  PlaceReadings(Dialogue& talk, const ReadingsAsked& asked, std::string name, check::Check& check,
                bool at_stake);
  ~PlaceReadings() { talk_.at_stake = 0; }
  PlaceReadings(const PlaceReadings&) = delete;
  PlaceReadings& operator=(const PlaceReadings&) = delete;

  /// Asks for what is still missing; gives the readings by place. \throws Leave, never Back
  std::vector<std::vector<check::Reading>> ask();
  /// Takes the last reading back: `ask` then asks for it again.
  void undo();

 private:
  /// Where a reading of an earlier strip stands, in the order in which its places were asked for.
  struct Earlier {
    std::size_t strip, place;
    check::Reading* reading;
  };
  struct Slot {
    std::size_t place;
    check::Reading reading;
    bool kept = false;  ///< doubtful, and meant so
  };

  [[nodiscard]] std::size_t count(std::size_t place) const;
  [[nodiscard]] std::size_t room() const;
  void hold_to_limits(const std::vector<check::Reading>& readings) const;
  void hold_to_unit(const std::vector<check::Reading>& readings);
  [[nodiscard]] std::string question() const;
  [[nodiscard]] double off(std::size_t at) const;
  [[nodiscard]] bool doubtful(std::size_t at) const;
  [[nodiscard]] std::string reading_text(const check::Reading& reading) const;
  [[nodiscard]] std::size_t number(std::size_t at) const { return earlier_.size() + at + 1; }
  [[nodiscard]] std::size_t numbered(std::string_view typed) const;
  [[nodiscard]] std::size_t index_in(const std::string& typed) const;
  [[nodiscard]] std::string earlier_words(std::size_t at) const;
  void so_far();
  void redo(const std::string& typed);
  void take_earlier(const check::Reading& reading);
  void note(const std::string& typed);
  bool named_place(const std::string& typed);
  void echo(std::size_t at);
  void take(const std::string& typed);
  bool was_other_unit(const check::Reading& first);
  void next_place();
  void keep(std::size_t at);
  void end_of_place();
  void obey(const std::string& typed);
  void one_line();
  void settle();
  void ask_about(std::size_t at);
  void measure_again(std::size_t at);
  [[nodiscard]] double mean_of(std::size_t place) const;
  bool ask_middles();
  bool ask_middle(std::size_t of_f_end);

  Dialogue& talk_;
  const ReadingsAsked& asked_;
  std::string name_;
  check::Check& check_;
  std::vector<Earlier> earlier_;
  std::size_t stake_;  ///< readings of before that leaving would lose
  std::vector<Slot> slots_;
  std::vector<bool> passed_;  ///< places that are done with
  std::size_t place_ = 0;
  std::set<std::size_t> middle_kept_;  ///< places off the line, and meant so
  bool unit_asked_ = false;
  std::optional<std::size_t> redo_;          ///< of this strip
  std::optional<std::size_t> redo_earlier_;  ///< of one before
};

}  // namespace quarterturn::cli
