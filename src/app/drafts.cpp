// SPDX-License-Identifier: MIT
#include "app/drafts.hpp"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <sstream>
#include <utility>

#include "files/text_file.hpp"

namespace quarterturn::app {
namespace {

std::string host() {
  std::array<char, 256> name{};
  return ::gethostname(name.data(), name.size() - 1) == 0 ? name.data() : "";
}

/// When a process began, as the system counts it; empty when there is none of that number, or it has ended
/// and only waits to be taken away.
std::string start_of(const std::string& pid) {
  std::ifstream in("/proc/" + pid + "/stat");
  std::string line;
  if (!std::getline(in, line)) return "";
  std::istringstream behind_name(line.substr(std::min(line.rfind(')') + 1, line.size())));
  std::string state, start;
  behind_name >> state;
  for (int field = 4; field <= 22; ++field) behind_name >> start;
  return state == "Z" || state == "X" ? "" : start;
}

/// `bench:1234:567890`: the machine, the process, and when it began, since numbers come again.
std::string this_holder() {
  const std::string pid = std::to_string(::getpid());
  return host() + ":" + pid + ":" + start_of(pid);
}

/// Whether another process that is alive has it. One of another machine cannot be seen: it counts as gone.
bool is_held(const std::string& holder) {
  const std::string here = host() + ":";
  if (!holder.starts_with(here) || holder == this_holder()) return false;
  const auto colon = holder.find(':', here.size());
  if (colon == std::string::npos) return false;
  const std::string start = start_of(holder.substr(here.size(), colon - here.size()));
  return !start.empty() && start == holder.substr(colon + 1);
}

}  // namespace

Drafts::Drafts(logbook::Logbook& log, std::string spare_path) : log_(log), spare_(std::move(spare_path)) {}

namespace {

/// A draft that could not be taken out of the log, since it was locked: a row of the spare file that names
/// it in the place of a check, and is begun by no words.
bool is_left_behind(const files::Draft& draft) {
  return draft.begun.words.empty();
}

}  // namespace

std::vector<KeptDraft> Drafts::list() const {
  std::vector<KeptDraft> found;
  std::vector<std::string> gone = displaced_;
  for (const logbook::Logbook* book : {&std::as_const(log_), &spare_}) {
    try {
      for (auto& draft : book->drafts()) {
        if (open_ && draft.begun.id == open_->id) continue;
        const bool in_use = is_held(draft.begun.holder);
        found.push_back({std::move(draft), book == &spare_, in_use});
      }
    } catch (const files::FileTrouble&) {
      // What cannot be read offers nothing; whoever writes to it is told.
    }
  }
  for (const auto& kept : found) {
    if (is_left_behind(kept.draft)) gone.push_back(kept.draft.begun.check);
  }
  std::erase_if(found, [&](const KeptDraft& kept) {
    return is_left_behind(kept.draft) || std::ranges::find(gone, kept.draft.begun.id) != gone.end();
  });
  try {
    for (auto& kept : found) kept.draft.begun.station = log_.renamed(kept.draft.begun.station);
  } catch (const files::FileTrouble&) {
    // Under the name that it had.
  }
  std::ranges::stable_sort(found, std::ranges::greater{},
                           [](const KeptDraft& kept) { return kept.draft.begun.utc; });
  return found;
}

void Drafts::begin(files::DraftRecord begun) {
  open_ = std::move(begun);
  open_->holder = this_holder();
  lines_.clear();
  place_ = Place::log;
  drop_displaced();
}

void Drafts::take_up(const KeptDraft& kept) {
  open_ = kept.draft.begun;
  open_->holder = this_holder();
  lines_ = kept.draft.lines;
  place_ = kept.in_spare ? Place::spare : Place::log;
  try {
    book().hold_draft(open_->id, open_->holder);
  } catch (const files::FileTrouble&) {
    // `add` finds that it is not held, and keeps it anew.
  }
}

/// All lines, in the log, else in the spare file. A fresh id: the old one may be held by somebody.
Drafts::Place Drafts::put_anew() {
  const std::string before = place_ == Place::log ? open_->id : "";
  if (!before.empty()) displaced_.push_back(before);
  for (const Place place : {Place::log, Place::spare}) {
    place_ = place;
    try {
      book().together([&] {
        auto begun = *open_;
        begun.id.clear();
        open_ = book().keep(std::move(begun));
        for (const auto& line : lines_) (void)book().add_to_draft(open_->id, open_->holder, line);
        if (place == Place::spare && !before.empty()) leave_behind(before);
      });
      return place_;
    } catch (const files::FileTrouble& trouble) {
      if (place == Place::log) trouble_ = trouble.message;
      open_->id.clear();
    }
  }
  return place_ = Place::nowhere;
}

Drafts::Place Drafts::add(const files::DraftLine& line) {
  if (!open_) return Place::nowhere;
  lines_.push_back(line);
  try {
    if (place_ != Place::nowhere && !open_->id.empty() && book().add_to_draft(open_->id, open_->holder, line))
      return place_;
  } catch (const files::FileTrouble&) {
    // Kept anew where it can be.
  }
  return put_anew();
}

void Drafts::part_from(std::size_t lines) {
  if (!open_ || lines >= lines_.size()) return;
  try {
    if (!open_->id.empty()) book().hold_draft(open_->id, "");
  } catch (const files::FileTrouble&) {
    // It stays as it is.
  }
  open_->id.clear();
  open_->recorded.clear();
  lines_.resize(lines);
}

/// In the spare file, so that a later run, too, knows that the log's own is not to be gone on with.
void Drafts::leave_behind(const std::string& id) {
  files::DraftRecord row;
  row.check = id;
  (void)spare_.keep(std::move(row));
}

/// Rows of what came to be kept elsewhere, once the log can be written again.
void Drafts::drop_displaced() {
  try {
    for (const auto& draft : spare_.drafts()) {
      if (!is_left_behind(draft)) continue;
      log_.drop_draft(draft.begun.check);
      spare_.drop_draft(draft.begun.id);
    }
    for (; !displaced_.empty(); displaced_.pop_back()) log_.drop_draft(displaced_.back());
  } catch (const files::FileTrouble&) {
    // The next time.
  }
}

void Drafts::take_out() {
  if (!open_ || open_->id.empty() || place_ != Place::log) return;
  log_.drop_draft(open_->id);
  taken_out_ = true;
}

void Drafts::finish() {
  if (open_ && !open_->id.empty() && place_ != Place::nowhere && !taken_out_) book().drop_draft(open_->id);
  taken_out_ = false;
  open_.reset();
  lines_.clear();
  drop_displaced();
}

void Drafts::leave() {
  if (open_ && !open_->id.empty() && place_ != Place::nowhere) {
    try {
      book().hold_draft(open_->id, "");
    } catch (const files::FileTrouble&) {
      // Whoever held it is gone when this process is.
    }
  }
  taken_out_ = false;
  open_.reset();
  lines_.clear();
}

void Drafts::drop(const KeptDraft& kept) {
  (kept.in_spare ? spare_ : log_).drop_draft(kept.draft.begun.id);
}

}  // namespace quarterturn::app
