// SPDX-License-Identifier: MIT
/// \file rows.hpp
/// Records to rows and back. The columns of a table are the fields of its record, in their order; a result
/// inside a record is laid flat.
#pragma once

#include <SQLiteCpp/SQLiteCpp.h>

#include <sstream>
#include <string>

#include "files/log_fields.hpp"

namespace quarterturn::logbook {

/// `id,station,recorded`
class ColumnNames {
 public:
  template <typename T>
  void operator()(const char* key, T& value) {
    if constexpr (requires { value.eta; }) {
      fields(*this, value);
    } else {
      names_ += (names_.empty() ? "\"" : ",\"") + std::string(key) + "\"";
      marks_ += marks_.empty() ? "?" : ",?";
    }
  }
  [[nodiscard]] const std::string& names() const { return names_; }
  [[nodiscard]] const std::string& marks() const { return marks_; }

 private:
  std::string names_, marks_;
};

template <typename Record>
ColumnNames columns() {
  ColumnNames walk;
  Record record;
  fields(walk, record);
  return walk;
}

class Binder {
 public:
  explicit Binder(SQLite::Statement& statement) : statement_(statement) {}
  void operator()(const char*, const std::string& value) { statement_.bind(++at_, value); }
  void operator()(const char*, double value) { statement_.bind(++at_, value); }
  void operator()(const char*, bool value) { statement_.bind(++at_, value ? 1 : 0); }
  void operator()(const char*, int value) { statement_.bind(++at_, value); }
  void operator()(const char*, std::int64_t value) { statement_.bind(++at_, value); }
  template <typename T>
  void operator()(const char*, const std::optional<T>& value) {
    ++at_;
    value ? statement_.bind(at_, *value) : statement_.bind(at_);
  }
  void operator()(const char*, const std::vector<std::string>& value) {
    std::string joined;
    for (const auto& part : value) joined += (joined.empty() ? "" : " ") + part;
    statement_.bind(++at_, joined);
  }
  void operator()(const char*, files::StoredResult& value) { fields(*this, value); }
  [[nodiscard]] int bound() const { return at_; }

 private:
  SQLite::Statement& statement_;
  int at_ = 0;
};

class Getter {
 public:
  Getter(SQLite::Statement& statement, int first) : statement_(statement), at_(first) {}
  void operator()(const char*, std::string& value) { value = statement_.getColumn(at_++).getString(); }
  void operator()(const char*, double& value) { value = statement_.getColumn(at_++).getDouble(); }
  void operator()(const char*, bool& value) { value = statement_.getColumn(at_++).getInt() != 0; }
  void operator()(const char*, int& value) { value = statement_.getColumn(at_++).getInt(); }
  void operator()(const char*, std::int64_t& value) { value = statement_.getColumn(at_++).getInt64(); }
  void operator()(const char*, std::optional<double>& value) {
    const auto column = statement_.getColumn(at_++);
    if (!column.isNull()) value = column.getDouble();
  }
  void operator()(const char*, std::optional<std::string>& value) {
    const auto column = statement_.getColumn(at_++);
    if (!column.isNull()) value = column.getString();
  }
  void operator()(const char*, std::vector<std::string>& value) {
    std::istringstream joined(statement_.getColumn(at_++).getString());
    for (std::string part; joined >> part;) value.push_back(part);
  }
  void operator()(const char*, files::StoredResult& value) { fields(*this, value); }

 private:
  SQLite::Statement& statement_;
  int at_;
};

template <typename Record>
Record record_of(SQLite::Statement& statement, int first = 0) {
  Record record;
  Getter walk(statement, first);
  fields(walk, record);
  return record;
}

}  // namespace quarterturn::logbook
