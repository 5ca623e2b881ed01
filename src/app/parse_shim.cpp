// SPDX-License-Identifier: MIT
#include <algorithm>
#include <sstream>

#include "app/kept_things.hpp"
#include "units/input_error.hpp"

namespace quarterturn::app {
namespace {

using units::InputError;
using units::Length;

constexpr double kLayerShare = 0.05, kLeastUncertaintyMm = 0.005;  // common practice, no source
constexpr const char* kExample =
    "for example: foil tape 8 layers 0.56 (eight layers together measure 0.56 mm)";

std::vector<std::string> words_of(std::string_view text) {
  std::istringstream in{std::string(text)};
  std::vector<std::string> words;
  for (std::string word; in >> word;) words.push_back(word);
  return words;
}

bool starts_number(const std::string& word) {
  return word.front() == '.' || (word.front() >= '0' && word.front() <= '9');
}

std::string joined(const std::vector<std::string>& words, std::size_t from, std::size_t to) {
  std::string text;
  for (std::size_t i = from; i < to; ++i) text += (text.empty() ? "" : " ") + words[i];
  return text;
}

/// Takes `+- U` off the end.
std::optional<Length> take_uncertainty(std::vector<std::string>& words, units::Unit unit) {
  const auto mark =
      std::find_if(words.begin(), words.end(), [](const auto& w) { return w == "+-" || w == "±"; });
  if (mark == words.end()) return std::nullopt;
  const auto at = static_cast<std::size_t>(mark - words.begin());
  const auto stated =
      units::parse_length(joined(words, at + 1, words.size()), "uncertainty of a layer", unit);
  words.resize(at);
  return stated;
}

/// Takes the thickness, the last number with its unit, off the end.
Length take_thickness(std::vector<std::string>& words, units::Unit unit, std::string_view text) {
  std::size_t at = words.size();
  if (at > 0 && !starts_number(words[at - 1])) --at;  // a unit word stands behind the number
  if (at == 0 || !starts_number(words[at - 1])) {
    throw InputError("shim", std::string(text), "a name and a thickness", {}, kExample);
  }
  const auto thickness =
      units::parse_length(joined(words, at - 1, words.size()), "thickness of the shim", unit);
  words.resize(at - 1);
  return thickness;
}

/// Takes `N layers` off the end; one layer when it is not there.
int take_layers(std::vector<std::string>& words) {
  if (words.size() < 2 || (words.back() != "layers" && words.back() != "layer")) return 1;
  const int layers = units::parse_whole(words[words.size() - 2], "layers", 1, 99);
  words.resize(words.size() - 2);
  return layers;
}

}  // namespace

station::Shim parse_shim(std::string_view text, units::Unit unit) {
  auto words = words_of(text);
  station::Shim shim;
  if (!words.empty() && words.back() == "hard") {
    shim.hard = true;
    words.pop_back();
  }
  const auto stated = take_uncertainty(words, unit);
  const auto thickness = take_thickness(words, unit, text);
  shim.layers = take_layers(words);
  shim.name = joined(words, 0, words.size());
  if (shim.name.empty()) throw InputError("shim", std::string(text), "a name and a thickness", {}, kExample);
  shim.layer = thickness / static_cast<double>(shim.layers);
  if (!(shim.layer.mm() > 0.001 && shim.layer.mm() <= 10)) {
    throw InputError("thickness of the shim", std::string(text), "from 0.001 to 10 mm a layer", {}, kExample);
  }
  shim.uncertainty =
      stated ? *stated : Length::from_mm(std::max(kLayerShare * shim.layer.mm(), kLeastUncertaintyMm));
  if (!(shim.uncertainty.mm() >= 0 && shim.uncertainty.mm() < shim.layer.mm())) {
    throw InputError("uncertainty of a layer", std::string(text), "below the layer's thickness", {},
                     kExample);
  }
  return shim;
}

}  // namespace quarterturn::app
