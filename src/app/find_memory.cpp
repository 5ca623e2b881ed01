// SPDX-License-Identifier: MIT
#include "app/find_memory.hpp"

#include <algorithm>

#include "history/history.hpp"

namespace quarterturn::app {

using Kind = files::FindNote::Kind;

Remembered remembered_of(const logbook::Logbook& log, const std::string& check) {
  Remembered all;
  for (const auto& kept : log.notes(check)) {
    const auto note = files::parse_find_note(kept.text);
    if (!note) continue;
    switch (note->kind) {
      case Kind::answer:
      case Kind::taken_back:
        std::erase(all.order, note->code);
        all.answers.erase(note->code);
        if (note->kind == Kind::answer) {
          all.answers[note->code] = note->answer;
          all.order.push_back(note->code);
        }
        all.last_recorded = kept.recorded;
        break;
      case Kind::happened:
        all.what_happened = true;
        if (note->code.empty()) break;
        all.told.emplace_back();
        all.told.back().kind = note->code;
        break;
      case Kind::proved:
        all.proved = note->code;
        break;
    }
  }
  return all;
}

void remember(logbook::Logbook& log, const std::string& check, const files::FindNote& note) {
  files::NoteRecord record;
  record.about = check;
  record.text = files::find_note_text(note);
  log.keep(std::move(record));
}

std::optional<NotedBehind> cause_behind(const logbook::Logbook& log, const logbook::KeptCheck& check) {
  const auto then = files::order_of(check.latest.date, check.latest.utc, check.made.recorded);
  std::optional<NotedBehind> last;
  for (const auto& kept : log.events(check.made.station)) {
    const auto& event = kept.event;
    const bool counts = !kept.withdrawn && event.kind == history::kCauseNoted &&
                        (event.setup.empty() || event.setup == check.made.setup) &&
                        then < files::order_of(event.date, event.utc, event.recorded);
    if (!counts) continue;
    // `rail-off-dog: its words; the tests that were made`
    const std::string code = event.note.substr(0, event.note.find(':'));
    std::string words = event.note.substr(std::min(code.size() + 2, event.note.size()));
    words.resize(std::min(words.size(), words.find(';')));
    last = NotedBehind{event.id, code, std::move(words), event.date.substr(0, 10)};
  }
  return last;
}

}  // namespace quarterturn::app
