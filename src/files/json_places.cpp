// SPDX-License-Identifier: MIT
#include "files/json_places.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "units/text.hpp"

namespace quarterturn::files {
namespace {

constexpr std::string_view kBlank = " \t\r\n";

/// Walks the values of a text in their order, with the path of each.
class Walk {
 public:
  Walk(std::string_view content, std::string_view wanted) : content_(content), wanted_(wanted) {}

  struct Found {
    std::size_t key = 0, value = 0, length = 0;
  };
  Found find() {
    value("", 0);
    return found_;
  }

 private:
  /// Whether what is wanted stands at this path or inside of it.
  [[nodiscard]] bool leads_to_wanted(std::string_view path) const {
    if (path.empty() || path == wanted_) return true;
    return wanted_.starts_with(path) && (wanted_[path.size()] == '.' || wanted_[path.size()] == '[');
  }
  void skip_blank() { at_ = std::min(content_.find_first_not_of(kBlank, at_), content_.size()); }
  [[nodiscard]] char here() const { return at_ < content_.size() ? content_[at_] : '\0'; }
  bool take(char mark) {
    skip_blank();
    if (here() != mark) return false;
    ++at_;
    return true;
  }
  /// The string that begins here, as it stands, quotes included.
  std::string_view quoted() {
    const std::size_t start = at_++;
    while (at_ < content_.size() && content_[at_] != '"') at_ += content_[at_] == '\\' ? 2 : 1;
    at_ = std::min(at_ + 1, content_.size());
    return content_.substr(start, at_ - start);
  }

  void value(const std::string& path, std::size_t key_at) {
    skip_blank();
    if (leads_to_wanted(path) && path.size() >= found_.length) found_ = {key_at, at_, path.size()};
    if (here() == '{') {
      object(path);
    } else if (here() == '[') {
      list(path);
    } else if (here() == '"') {
      (void)quoted();
    } else {
      at_ = std::min(content_.find_first_of(" \t\r\n,:{}[]\"", at_), content_.size());
    }
  }
  void object(const std::string& path) {
    ++at_;
    do {
      skip_blank();
      if (here() != '"') break;
      const std::size_t key_at = at_;
      const auto key = nlohmann::json::parse(quoted(), nullptr, false);
      if (!key.is_string() || !take(':')) break;
      value(path.empty() ? key.get<std::string>() : path + "." + key.get<std::string>(), key_at);
    } while (take(','));
    take('}');
  }
  void list(const std::string& path) {
    ++at_;
    if (take(']')) return;
    std::size_t index = 0;
    do {
      value(path + "[" + std::to_string(index++) + "]", at_);
    } while (take(','));
    take(']');
  }

  std::string_view content_, wanted_;
  std::size_t at_ = 0;
  Found found_;
};

}  // namespace

units::Place place_of_byte(const Text& text, std::size_t at) {
  const std::string_view before = std::string_view(text.content).substr(0, at);
  const std::size_t end = before.rfind('\n');
  const std::string_view line = end == std::string_view::npos ? before : before.substr(end + 1);
  return {text.source, static_cast<int>(std::ranges::count(before, '\n')) + 1,
          static_cast<int>(units::characters(line)) + 1};
}

units::Place place_of_path(const Text& text, std::string_view path, JsonPart part) {
  const auto found = Walk(text.content, path).find();
  return place_of_byte(text, part == JsonPart::key && found.length == path.size() ? found.key : found.value);
}

}  // namespace quarterturn::files
