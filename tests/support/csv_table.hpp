// SPDX-License-Identifier: MIT
/// \file csv_table.hpp
/// A tiny reader for tables of published data: lines of cells under one header line, `#` lines left out.
/// Numbers are read as long double: some certified sets lose digits as double. Anything missing is an
/// exception, so that a test never passes on no data.
#pragma once

#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace quarterturn::test {

class CsvTable {
 public:
  /// \param path  below the root of the project
  explicit CsvTable(const std::string& path) : path_(path) {
    std::ifstream in(std::string(QUARTERTURN_ROOT) + "/" + path);
    if (!in) throw std::runtime_error("cannot open " + path);
    std::string line;
    while (std::getline(in, line)) {
      if (line.empty() || line.front() == '#') continue;
      (header_.empty() ? header_ : rows_.emplace_back()) = cells_of(line);
      if (!rows_.empty() && rows_.back().size() != header_.size())
        throw std::runtime_error(path + ": a row of another length than the header: " + line);
    }
    if (rows_.empty()) throw std::runtime_error(path + ": no rows");
  }

  [[nodiscard]] std::size_t rows() const { return rows_.size(); }
  [[nodiscard]] const std::vector<std::string>& header() const { return header_; }

  [[nodiscard]] std::size_t column(const std::string& name) const {
    for (std::size_t i = 0; i < header_.size(); ++i)
      if (header_[i] == name) return i;
    throw std::runtime_error(path_ + ": no column " + name);
  }
  [[nodiscard]] const std::string& text(std::size_t row, const std::string& name) const {
    return rows_.at(row).at(column(name));
  }
  [[nodiscard]] long double number(std::size_t row, const std::string& name) const {
    return to_number(text(row, name));
  }
  [[nodiscard]] std::vector<long double> numbers(const std::string& name) const {
    std::vector<long double> out;
    for (std::size_t i = 0; i < rows(); ++i) out.push_back(number(i, name));
    return out;
  }
  [[nodiscard]] std::vector<std::string> texts(const std::string& name) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < rows(); ++i) out.push_back(text(i, name));
    return out;
  }

  static long double to_number(const std::string& text) {
    char* end = nullptr;
    const long double value = std::strtold(text.c_str(), &end);
    if (text.empty() || *end != '\0') throw std::runtime_error("not a number: '" + text + "'");
    return value;
  }

 private:
  static std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (char c : line) {
      if (c == '"')
        quoted = !quoted;
      else if (c == ',' && !quoted)
        cells.emplace_back();
      else if (c != '\r')
        cells.back() += c;
    }
    return cells;
  }

  std::string path_;
  std::vector<std::string> header_;
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace quarterturn::test
