// SPDX-License-Identifier: MIT
#include "files/station_folder.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <system_error>
#include <utility>

#include "files/identity.hpp"
#include "files/placing.hpp"
#include "files/station_file.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::files {

using units::InputError;
namespace fs = std::filesystem;

namespace {

constexpr std::string_view kEnding = ".json";
constexpr std::size_t kMostCharacters = 40, kMostBytes = 160;

bool is_name(std::string_view name) {
  if (name.empty() || units::characters(name) > kMostCharacters || name.size() > kMostBytes) return false;
  if (units::inert(name, name.size()) != name) return false;
  return std::ranges::all_of(name,
                             [](char c) {
                               return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') ||
                                      (c >= '0' && c <= '9') || c == '-' || c == '_' ||
                                      static_cast<unsigned char>(c) >= 0x80u;
                             }) &&
         name[0] != '-' &&
         std::ranges::none_of(std::array{"\u00A0", "\u2009", "\u202F"},
                              [&](const char* blank) { return name.find(blank) != std::string_view::npos; });
}

fs::path path_of(const std::string& folder, const std::string& name) {
  return fs::path(folder) / (name + std::string(kEnding));
}

}  // namespace

void hold_to_station_name(const std::string& name) {
  if (is_name(name)) return;
  throw InputError("station name", name, "1 to 40 letters, digits, '-' and '_', not beginning with '-'", {},
                   "the name is a file's name too");
}

StationFolder::StationFolder(std::string folder) : folder_(std::move(folder)) {}

std::vector<std::string> StationFolder::list() const {
  std::vector<std::string> names;
  std::error_code error;
  if (!fs::exists(folder_, error)) return names;
  for (fs::directory_iterator at(folder_, error), end; !error && at != end; at.increment(error)) {
    const std::string file = at->path().filename().string();
    if (!file.ends_with(kEnding)) continue;
    std::string name = file.substr(0, file.size() - kEnding.size());
    if (is_name(name)) names.push_back(std::move(name));
  }
  if (error)
    throw FileTrouble{"cannot read the folder '" + units::inert(folder_, 4096) + "': " + error.message()};
  std::ranges::sort(names);
  return names;
}

station::Station StationFolder::find(const std::string& name) const {
  const std::vector<std::string> names = list();
  if (std::ranges::find(names, name) == names.end()) {
    if (names.empty())
      throw InputError("station", name, "described first: there is none yet", {}, "station add");
    throw InputError("station", name, units::one_of(names), {}, units::did_you_mean(name, names));
  }
  const std::string path = path_of(folder_, name).string();
  station::Station station = parse_station(read_text(path));
  if (station.name != name) {
    throw InputError("name", station.name, "'" + name + "' like its file", {path, 0, 0},
                     "rename the file, or the name inside it");
  }
  return station;
}

void StationFolder::save(const station::Station& station) {
  hold_to_station_name(station.name);
  station::Station kept = station;
  const std::string path = path_of(folder_, station.name).string();
  std::error_code error;
  if (kept.id.empty() && fs::exists(path, error)) kept.id = find(station.name).id;
  if (kept.id.empty()) kept.id = new_id();
  const std::string content = write_station(kept);
  // Read back before it is kept: what is in the folder can always be read.
  (void)parse_station(text_of(content, path));
  make_folders(folder_);
  write_text(path, content);
}

void StationFolder::rename(const std::string& from, const std::string& to) {
  hold_to_station_name(to);
  station::Station station = find(from);
  if (from == to) return;
  std::error_code error;
  if (fs::exists(path_of(folder_, to), error))
    throw InputError("station name", to, "one that is free", {}, "'station list' shows those that are taken");
  station.name = to;
  // The new file first: a stop in between leaves both, never none.
  save(station);
  fs::remove(path_of(folder_, from), error);
  if (error)
    throw FileTrouble{"cannot remove '" + units::inert(path_of(folder_, from).string(), 4096) +
                      "': " + error.message()};
}

}  // namespace quarterturn::files
