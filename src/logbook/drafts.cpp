// SPDX-License-Identifier: MIT
// Unfinished conversations: the only rows of a log that are taken out again.
#include "files/draft.hpp"
#include "files/identity.hpp"
#include "logbook/inside.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::logbook {
namespace {

std::vector<files::DraftLine> lines_of(SQLite::Statement& select, const std::string& draft) {
  std::vector<files::DraftLine> lines;
  select.bind(1, draft);
  while (select.executeStep())
    lines.push_back({select.getColumn(0).getString(), select.getColumn(1).getString()});
  select.reset();
  return lines;
}

}  // namespace

std::vector<files::Draft> Logbook::drafts() const {
  std::vector<files::Draft> found;
  Inside* in = reading();
  if (in == nullptr) return found;
  return guarded(path_, [&] {
    for (auto& begun : in->get<files::DraftRecord>("drafts", "ORDER BY utc DESC, rowid DESC")) {
      auto& select =
          in->statement("SELECT question, answer FROM draft_lines WHERE draft = ?1 ORDER BY number");
      auto lines = lines_of(select, begun.id);
      found.push_back({std::move(begun), std::move(lines)});
    }
    return found;
  });
}

files::DraftRecord Logbook::keep(files::DraftRecord draft) {
  if (draft.id.empty()) draft.id = files::new_id();
  if (draft.recorded.empty()) draft.recorded = files::recorded_now();
  guarded(path_, [&] { return writing().put("drafts", draft); });
  return draft;
}

bool Logbook::add_to_draft(const std::string& draft, const std::string& holder,
                           const files::DraftLine& line) {
  return guarded(path_, [&] {
    auto& insert = writing().statement(
        "INSERT INTO draft_lines(draft, number, question, answer) SELECT ?1, (SELECT "
        "coalesce(max(number), 0) + 1 FROM draft_lines WHERE draft = ?1), ?3, ?4 FROM drafts WHERE id = ?1 "
        "AND holder = ?2");
    insert.bind(1, draft);
    insert.bind(2, holder);
    insert.bind(3, line.question);
    insert.bind(4, line.answer);
    return insert.exec() > 0;
  });
}

void Logbook::hold_draft(const std::string& draft, const std::string& holder) {
  guarded(path_, [&] {
    auto& update = writing().statement("UPDATE drafts SET holder = ?2 WHERE id = ?1");
    update.bind(1, draft);
    update.bind(2, holder);
    return update.exec();
  });
}

void Logbook::drop_draft(const std::string& draft) {
  together([&] {
    for (const char* from :
         {"DELETE FROM draft_lines WHERE draft = ?1", "DELETE FROM drafts WHERE id = ?1"}) {
      auto& erase = writing().statement(from);
      erase.bind(1, draft);
      erase.exec();
    }
  });
}

}  // namespace quarterturn::logbook
