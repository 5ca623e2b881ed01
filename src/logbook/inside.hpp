// SPDX-License-Identifier: MIT
/// \file inside.hpp
/// An open log: statements prepared once, records put and got by their table.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "logbook/logbook.hpp"
#include "logbook/rows.hpp"
#include "logbook/schema.hpp"

namespace quarterturn::logbook {

struct Logbook::Inside {
  std::unique_ptr<SQLite::Database> db;
  Access access = Access::read;
  bool in_transaction = false;
  bool at_one_moment = false;  ///< what is read is of one moment, and cannot be opened anew
  std::string moment;          ///< of the transaction: when its first record was recorded
  std::map<std::string, std::unique_ptr<SQLite::Statement>> prepared;
  /// The version of a station that was asked for last, with its id: many checks in a row stand on one.
  std::optional<std::pair<std::string, station::Station>> described;

  /// When those that came in last were recorded; empty: none did.
  std::string last_recorded();
  /// When the next record is recorded: after those that came in last, whatever the clock was set to
  /// meanwhile. \param of  the records of this table that belong to `owner` as well; may be empty
  std::string recorded(const std::string& of = {}, const std::string& owner = {});

  SQLite::Statement& statement(const std::string& sql) {
    auto& slot = prepared[sql];
    if (!slot) slot = std::make_unique<SQLite::Statement>(*db, sql);
    slot->reset();
    slot->clearBindings();
    return *slot;
  }

  /// \returns whether it was not there yet. A record that is there stays as it is.
  template <typename Record>
  bool put(const char* table, Record record) {
    static const auto names = columns<Record>();
    auto& insert = statement(std::string("INSERT INTO ") + table + "(" + names.names() + ") VALUES(" +
                             names.marks() + ") ON CONFLICT DO NOTHING");
    Binder bind(insert);
    fields(bind, record);
    return insert.exec() > 0;
  }

  /// \param rest  `WHERE station = ?1 ORDER BY utc`; ?1 is bound to `value` when it is there
  template <typename Record>
  std::vector<Record> get(const char* table, const std::string& rest, const std::string& value = {}) {
    static const auto names = columns<Record>();
    auto& select = statement("SELECT " + names.names() + " FROM " + table + " " + rest);
    if (rest.find('?') != std::string::npos) select.bind(1, value);
    std::vector<Record> found;
    while (select.executeStep()) found.push_back(record_of<Record>(select));
    select.reset();
    return found;
  }
};

/// Runs `work`; trouble of SQLite comes out as a sentence.
template <typename Work>
auto guarded(const std::string& path, Work work) {
  try {
    return work();
  } catch (const SQLite::Exception& trouble) {
    tell(path, trouble);
  }
}

}  // namespace quarterturn::logbook
