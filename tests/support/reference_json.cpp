// SPDX-License-Identifier: MIT
#include "support/reference_json.hpp"

#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace quarterturn::test {
namespace {

nlohmann::json at(const std::string& path, const std::string& pointer) {
  std::ifstream in(std::string(QUARTERTURN_ROOT) + "/data/reference/" + path);
  if (!in) throw std::runtime_error("cannot open data/reference/" + path);
  return nlohmann::json::parse(in).at(nlohmann::json::json_pointer(pointer));
}

}  // namespace

double reference_number(const std::string& path, const std::string& pointer) {
  return at(path, pointer).get<double>();
}

std::vector<double> reference_numbers(const std::string& path, const std::string& pointer) {
  auto numbers = at(path, pointer).get<std::vector<double>>();
  if (numbers.empty()) throw std::runtime_error(path + pointer + ": no numbers");
  return numbers;
}

}  // namespace quarterturn::test
