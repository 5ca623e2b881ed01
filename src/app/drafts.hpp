// SPDX-License-Identifier: MIT
/// \file drafts.hpp
/// What is typed at the prompt before it has become a check: on disk line by line, so that it can be taken up
/// again.
///
/// In       the log, and a file that takes its place while the log cannot be written
/// Out      the drafts of both; a line is on disk when `add` returns
/// Assumes  one conversation is open at a time in a process; a draft is held by one process at a time
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "files/draft.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

struct KeptDraft {
  files::Draft draft;
  bool in_spare = false;  ///< not in the log
  bool in_use = false;    ///< open in another window
};

class Drafts {
 public:
  /// \param spare_path  a file of this log's own, made when the log cannot be written
  Drafts(logbook::Logbook& log, std::string spare_path);

  /// Those that are not open here, the one begun last first, of stations by the name that they have now.
  /// Where a file cannot be read, without its own.
  [[nodiscard]] std::vector<KeptDraft> list() const;

  /// What is added from now on is of this conversation. Nothing is kept before its first line.
  void begin(files::DraftRecord begun);
  /// Goes on with one that was left.
  void take_up(const KeptDraft& kept);
  /// Where the lines of the open one are kept now.
  enum class Place { log, spare, nowhere };
  /// One more line. Tries the log, then the spare file.
  Place add(const files::DraftLine& line);
  /// The open one has lines that are on disk.
  [[nodiscard]] bool on_disk() const { return open_ && !lines_.empty() && place_ != Place::nowhere; }
  [[nodiscard]] bool is_open() const { return open_.has_value(); }
  /// Why it is not the log that keeps it.
  [[nodiscard]] const std::string& trouble() const { return trouble_; }
  [[nodiscard]] const std::string& spare_path() const { return spare_.path(); }

  /// The open one goes on from its first `lines`, as another draft; the old one stays with all of them.
  void part_from(std::size_t lines);
  /// Within the transaction that keeps what the open one has become: its rows go with it or stay with it.
  void take_out();
  /// The open one is over.
  void finish();
  /// The open one stays where it is, for later.
  void leave();
  /// Takes out one that is not open here.
  void drop(const KeptDraft& kept);

 private:
  Place put_anew();
  void leave_behind(const std::string& id);
  void drop_displaced();
  [[nodiscard]] logbook::Logbook& book() { return place_ == Place::spare ? spare_ : log_; }

  logbook::Logbook& log_;
  logbook::Logbook spare_;
  std::optional<files::DraftRecord> open_;
  std::vector<files::DraftLine> lines_;
  Place place_ = Place::log;
  std::vector<std::string> displaced_;  ///< ids in the log of what is kept elsewhere by now
  bool taken_out_ = false;
  std::string trouble_;
};

}  // namespace quarterturn::app
