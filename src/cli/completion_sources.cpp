// SPDX-License-Identifier: MIT
#include "cli/completion_sources.hpp"

#include <algorithm>
#include <filesystem>

namespace quarterturn::cli {
namespace {

std::vector<station::Station> stations_of(const Context& context,
                                          const std::optional<station::Station>& in_use) {
  if (in_use) return {*in_use};
  std::vector<station::Station> all;
  for (const auto& name : context.store->list()) all.push_back(context.store->find(name));
  return all;
}

std::vector<std::string> names_in(const station::Station& station, Known kind) {
  std::vector<std::string> names;
  if (kind == Known::setup) {
    for (const auto& [name, setup] : station.setups) names.push_back(name);
  } else if (kind == Known::dog) {
    for (const auto& [name, dog] : station.dogs) names.push_back(name);
  } else if (kind == Known::hole) {
    return holes_of(station.grid);
  } else if (kind == Known::shim) {
    for (const auto& shim : station.shims) names.push_back(shim.name);
  } else if (kind == Known::caliper) {
    for (const auto& caliper : station.calipers) names.push_back(caliper.name);
  }
  return names;
}

/// `dock/3`, the newest first; of several stations first their names, as if they were folders.
std::vector<std::string> checks_that_begin(const Context& context, const std::string& beginning) {
  const auto stations = context.log->stations();
  std::vector<std::string> names;
  for (const auto& kept : stations) {
    const std::string folder = kept.shown_name + "/";
    if (stations.size() > 1 && beginning.find('/') == std::string::npos) {
      names.push_back(folder);
      continue;
    }
    if (!beginning.starts_with(folder.substr(0, beginning.size()))) continue;
    const auto checks = context.log->checks(kept.made.id, logbook::Logbook::Fetch::results);
    for (auto check = checks.rbegin(); check != checks.rend(); ++check)
      names.push_back(folder + std::to_string(check->number));
  }
  return names;
}

}  // namespace

std::vector<std::string> holes_of(const station::Grid& grid) {
  std::vector<std::string> names;
  for (int column = 1; column <= grid.columns; ++column) {
    for (int row = 1; row <= grid.rows; ++row) {
      if (const station::Hole hole{column, row}; grid.has(hole)) names.push_back(hole.name());
    }
  }
  return names;
}

std::vector<std::string> paths_that_begin(const std::string& beginning) {
  namespace fs = std::filesystem;
  const auto slash = beginning.rfind('/');
  const std::string folder = slash == std::string::npos ? "" : beginning.substr(0, slash + 1);
  const std::string name = beginning.substr(folder.size());
  std::vector<std::string> paths;
  std::error_code fault;
  for (fs::directory_iterator at(folder.empty() ? "." : folder, fault), end; !fault && at != end;
       at.increment(fault)) {
    const std::string found = at->path().filename().string();
    if (!found.starts_with(name) || (found.front() == '.' && name.empty())) continue;
    std::error_code ignored;
    paths.push_back(folder + found + (at->is_directory(ignored) ? "/" : ""));
  }
  std::sort(paths.begin(), paths.end());
  return paths;
}

std::vector<std::string> known_things(const Context& context, const std::optional<station::Station>& in_use,
                                      Known kind, const std::string& beginning) {
  if (kind == Known::file) return paths_that_begin(beginning);
  if (kind == Known::station) return context.store->list();
  if (kind == Known::check) return checks_that_begin(context, beginning);
  std::vector<std::string> all;
  for (const auto& station : stations_of(context, in_use)) {
    for (auto& name : names_in(station, kind)) all.push_back(std::move(name));
  }
  return all;
}

}  // namespace quarterturn::cli
