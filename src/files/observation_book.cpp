// SPDX-License-Identifier: MIT
#include "files/observation_book.hpp"

#include <algorithm>
#include <filesystem>
#include <utility>

namespace quarterturn::files {

using units::InputError;

bool same_measurement(const survey::Observation& a, const survey::Observation& b) {
  if (a.kind != b.kind) return false;
  const bool same_way = a.from == b.from && a.to == b.to;
  if (a.kind == survey::Kind::distance) {
    const bool turned = a.from == b.to && a.to == b.from;
    const bool dogs = (a.dog_from == b.dog_from && a.dog_to == b.dog_to) ||
                      (a.dog_from == b.dog_to && a.dog_to == b.dog_from);
    return a.taken == b.taken && dogs && (same_way || turned);
  }
  if (a.kind == survey::Kind::compare) return same_way && a.via == b.via;
  return same_way && a.via == b.via && a.dogs() == b.dogs() && a.side == b.side &&
         (a.kind == survey::Kind::offset || a.panel_side == b.panel_side);
}

ObservationBook::ObservationBook(const std::string& path) : path_(path) {
  Text text = read_text(path);
  content_ = text.content;
  file_ = parse_observations(text);
}

ObservationBook::ObservationBook(const std::string& path, ObservationFile begun) : path_(path) {
  std::error_code ignored;
  if (std::filesystem::exists(path, ignored))
    throw InputError("file", path, "one that is not there yet", {}, "nothing is written over");
  begun.source = path;
  content_ = write_observations(begun);
  write_text(path_, content_);
  file_ = std::move(begun);
}

std::vector<ObservationRow> ObservationBook::waiting() const {
  std::vector<ObservationRow> rows;
  std::copy_if(file_.unmeasured.begin(), file_.unmeasured.end(), std::back_inserter(rows),
               [](const ObservationRow& row) { return !row.note.starts_with(kSkipped); });
  return rows;
}

void ObservationBook::write(ObservationFile next) {
  if (read_text(path_).content != content_)
    throw InputError("file", path_, "as it was left here", {},
                     "somebody wrote it meanwhile: 'later', then 'survey' goes on from what stands in it");
  std::string content = write_observations(next);
  write_text(path_, content);
  content_ = std::move(content);
  file_ = std::move(next);
}

void ObservationBook::put(ObservationFile next) {
  ObservationFile before = file_;
  write(std::move(next));
  before_.push_back(std::move(before));
}

void ObservationBook::add(ObservationRow row) {
  ObservationFile next = file_;
  std::erase_if(next.unmeasured,
                [&](const auto& waits) { return same_measurement(waits.observation, row.observation); });
  row.measured = true;
  next.rows.push_back(std::move(row));
  put(std::move(next));
}

void ObservationBook::replace(std::size_t at, ObservationRow row) {
  ObservationFile next = file_;
  row.measured = true;
  next.rows.at(at) = std::move(row);
  put(std::move(next));
}

void ObservationBook::settle(std::size_t at, ObservationRow row) {
  ObservationFile next = file_;
  row.measured = true;
  next.rows.at(at) = std::move(row);
  write(std::move(next));
}

void ObservationBook::ask_again(std::size_t at) {
  ObservationFile next = file_;
  ObservationRow row = next.rows.at(at);
  next.rows.erase(next.rows.begin() + static_cast<std::ptrdiff_t>(at));
  row.measured = false;
  row.observation.value = 0;
  row.note.clear();
  next.unmeasured.insert(next.unmeasured.begin(), std::move(row));
  put(std::move(next));
}

void ObservationBook::skip(const std::vector<ObservationRow>& rows) {
  ObservationFile next = file_;
  for (ObservationRow& waits : next.unmeasured) {
    const bool named = std::any_of(rows.begin(), rows.end(), [&](const ObservationRow& row) {
      return same_measurement(waits.observation, row.observation);
    });
    if (named) waits.note = std::string(kSkipped) + ": not to be had";
  }
  put(std::move(next));
}

void ObservationBook::plan(const std::vector<ObservationRow>& rows) {
  ObservationFile next = file_;
  for (const ObservationRow& row : rows) {
    // What waits already, or could not be had, is not asked for a second time.
    const bool there = std::any_of(next.unmeasured.begin(), next.unmeasured.end(), [&](const auto& waits) {
      return same_measurement(waits.observation, row.observation);
    });
    if (!there) next.unmeasured.push_back(row);
  }
  put(std::move(next));
}

bool ObservationBook::undo() {
  if (before_.empty()) return false;
  write(before_.back());
  before_.pop_back();
  return true;
}

}  // namespace quarterturn::files
