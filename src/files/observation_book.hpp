// SPDX-License-Identifier: MIT
/// \file observation_book.hpp
/// An observation file that grows while somebody measures: what was accepted is on disk before anything else
/// happens.
///
/// The file is written whole beside the old one, synced and put in its place (write_text), so that a fall at
/// any moment leaves the file with or without the last row, never with half of it.
#pragma once

#include <string>
#include <vector>

#include "files/observation_file.hpp"

namespace quarterturn::files {

class ObservationBook {
 public:
  /// Reads one that is there. \throws units::InputError, FileTrouble
  explicit ObservationBook(const std::string& path);
  /// Begins a new one. \throws FileTrouble; units::InputError when something is there already
  ObservationBook(const std::string& path, ObservationFile begun);

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] const ObservationFile& file() const { return file_; }
  /// Rows that wait for their value and are not skipped, in their order.
  [[nodiscard]] std::vector<ObservationRow> waiting() const;

  /// Behind what was measured; the row that waits for the same goes. Each of these \throws FileTrouble, and
  /// units::InputError when somebody else wrote the file meanwhile; it then stays as it is.
  void add(ObservationRow row);
  /// Another value for a row of file().rows.
  void replace(std::size_t at, ObservationRow row);
  /// The same, without a step that `undo` takes back: an answer to what was asked about that row.
  void settle(std::size_t at, ObservationRow row);
  /// A row of file().rows waits again, before all others.
  void ask_again(std::size_t at);
  /// Not to be asked for again. \param rows  of those that wait
  void skip(const std::vector<ObservationRow>& rows);
  /// More rows that wait.
  void plan(const std::vector<ObservationRow>& rows);
  /// Takes back the last of these; false: none is left.
  bool undo();

 private:
  void put(ObservationFile next);
  void write(ObservationFile next);

  std::string path_, content_;
  ObservationFile file_;
  std::vector<ObservationFile> before_;
};

/// Whether two rows ask for the same: a length whichever of its dogs stands in which hole.
bool same_measurement(const survey::Observation& a, const survey::Observation& b);

}  // namespace quarterturn::files
