// SPDX-License-Identifier: MIT
#include "report/amounts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace quarterturn::report {
namespace {

constexpr double kGrace = 0.05;  ///< share of a half-width that rounding may take off

double in_unit(double mm, units::Unit unit) {
  return unit == units::Unit::inch ? mm / units::kMmPerInch : mm;
}
const char* unit_word(units::Unit unit) {
  return unit == units::Unit::inch ? "in" : "mm";
}

std::string half_width(double value, int decimals) {
  const double step = std::pow(10.0, -decimals);
  double steps = std::round(value / step);
  if (steps * step < value * (1 - kGrace)) steps += 1;
  return fixed(std::max(steps, 1.0) * step, decimals);
}

}  // namespace

int decimals_for(double half_width_mm, units::Unit unit) {
  const int finest = unit == units::Unit::inch ? 3 : 2;
  const double width = in_unit(half_width_mm, unit);
  if (!(width > 0) || !std::isfinite(width)) return finest;
  // Two digits of the half-width are kept: 0.17 mm has two decimals, 1.7 mm one.
  const int wanted = 1 - static_cast<int>(std::floor(std::log10(width)));
  return std::clamp(wanted, 0, finest);
}

std::string fixed(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.front() == '-' && text.find_first_of("123456789") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string length_text(double mm, units::Unit unit, int mm_decimals) {
  const int decimals = unit == units::Unit::inch ? mm_decimals + 1 : mm_decimals;
  return fixed(in_unit(mm, unit), decimals) + " " + unit_word(unit);
}

int fine_decimals(double mm) {
  return std::fabs(mm * 100 - std::round(mm * 100)) > 0.05 ? 3 : 2;
}

std::string plus_minus_text(double mm, double half_width_mm, units::Unit unit) {
  const int decimals = decimals_for(half_width_mm, unit);
  return fmt::format("{} ± {} {}", fixed(in_unit(mm, unit), decimals),
                     half_width(in_unit(half_width_mm, unit), decimals), unit_word(unit));
}

std::string half_width_text(double half_width_mm, units::Unit unit) {
  const int decimals = decimals_for(half_width_mm, unit);
  return fmt::format("± {} {}", half_width(in_unit(half_width_mm, unit), decimals), unit_word(unit));
}

std::string size_text(double mm, units::Unit unit) {
  std::string text = fixed(in_unit(mm, unit), 1);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text + " " + unit_word(unit);
}

std::string size_range_text(double least_mm, double most_mm, units::Unit unit) {
  constexpr double kMetre = 1000, kFewest = 3000;  // from here on in metres, where they are whole
  if (unit == units::Unit::mm) {
    const bool metres = most_mm >= kFewest && std::fmod(most_mm, kMetre) == 0;
    return metres ? fmt::format("from {:g} mm to {:g} m", least_mm, most_mm / kMetre)
                  : fmt::format("from {:g} to {:g} mm", least_mm, most_mm);
  }
  /// To so many digits, up or down.
  const auto rounded = [unit](double mm, int digits, double (*round)(double)) {
    const double value = in_unit(mm, unit);
    if (value <= 0) return 0.0;
    const double step = std::pow(10.0, std::floor(std::log10(value)) - (digits - 1));
    return round(value / step) * step;
  };
  const auto up = [](double x) { return std::ceil(x); };
  const auto down = [](double x) { return std::floor(x); };
  return fmt::format("from {:g} to {:g} in", rounded(least_mm, 1, up), rounded(most_mm, 2, down));
}

std::string degrees_text(double rad, double half_width_rad) {
  const double to_deg = 180.0 / std::numbers::pi;
  const double width = half_width_rad * to_deg;
  int decimals = 3;
  if (width > 0 && std::isfinite(width))
    decimals = std::clamp(-static_cast<int>(std::floor(std::log10(width))), 2, 4);
  return fixed(rad * to_deg, decimals) + "°";
}

std::string percent_text(double probability) {
  if (probability < 0.005) return "under 1 %";
  if (probability > 0.995) return "over 99 %";
  return fixed(std::clamp(probability * 100, 1.0, 99.0), 0) + " %";
}

std::string minutes_text(int minutes) {
  return std::to_string(minutes) + " min";
}

std::string ascii(std::string_view text) {
  static const std::array<std::pair<std::string_view, std::string_view>, 25> spelled{
      {{"±", "+-"}, {"°", " deg"}, {"–", "-"},  {"…", "..."}, {"→", "->"}, {"←", "<-"}, {"▸", ">"},
       {"×", "x"},  {"●", "*"},    {"○", "o"},  {"─", "-"},   {"│", "|"},  {"┼", "+"},  {"├", "|"},
       {"┤", "|"},  {"┌", "+"},    {"┐", "+"},  {"└", "+"},   {"┘", "+"},  {"┊", ":"},  {"━", "="},
       {"═", "="},  {"║", "|"},    {"↶", "<-"}, {"≤", "<="}}};
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const auto rest = text.substr(i);
    if (static_cast<unsigned char>(rest.front()) < 0x80) {
      out += rest.front();
      ++i;
      continue;
    }
    const auto row = std::find_if(spelled.begin(), spelled.end(),
                                  [&](const auto& r) { return rest.starts_with(r.first); });
    if (row != spelled.end()) {
      out += row->second;
      i += row->first.size();
    } else {
      out += '?';
      ++i;
      while (i < text.size() && (static_cast<unsigned char>(text[i]) & 0xC0U) == 0x80U) ++i;
    }
  }
  return out;
}

std::size_t columns_of(std::string_view text) {
  std::size_t columns = 0;
  bool escape = false;  // inside a colour code, which takes no room
  for (const char c : text) {
    if (c == '\x1b') escape = true;
    if (!escape && (static_cast<unsigned char>(c) & 0xC0U) != 0x80U) ++columns;
    if (c == 'm') escape = false;
  }
  return columns;
}

namespace {

void wrap_line(std::string_view line, std::size_t width, std::string& out) {
  const std::size_t blanks = std::min(line.find_first_not_of(' '), line.size());
  std::string indent(blanks, ' ');
  if (line.substr(blanks).starts_with("- ")) indent += "  ";
  const auto number = line.substr(blanks, line.find("  ", blanks) - blanks);
  if (!number.empty() && number.find_first_not_of("0123456789") == std::string_view::npos)
    indent += std::string(number.size() + 2, ' ');
  std::size_t column = 0;
  bool first = true;
  std::string_view rest = line.substr(blanks);
  out += std::string(blanks, ' ');
  column = blanks;
  while (!rest.empty()) {
    const std::size_t end = std::min(rest.find(' '), rest.size());
    const auto word = rest.substr(0, end);
    const std::size_t needs = columns_of(word) + (first ? 0 : 1);
    if (!first && column + needs > width) {
      while (out.ends_with(' ')) out.pop_back();  // where columns stood apart
      out += '\n' + indent;
      column = indent.size();
      first = true;
    }
    if (!first) out += ' ';
    out += word;
    column += columns_of(word) + (first ? 0 : 1);
    first = false;
    rest.remove_prefix(std::min(end + 1, rest.size()));
  }
}

}  // namespace

namespace {

/// A row of a drawing beside its labels, or of what stands below it.
bool is_drawn(std::string_view line) {
  constexpr std::string_view kMargin = "          ";
  return line.starts_with(kMargin) || line.find("│") != std::string_view::npos ||
         line.find(" |") != std::string_view::npos;
}

}  // namespace

std::string wrapped(std::string_view text, int width, int drawn) {
  const auto wide = static_cast<std::size_t>(std::max({width, drawn, 20}));
  const auto most = static_cast<std::size_t>(std::max(width, 20));
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const auto line = text.substr(0, end);
    if (columns_of(line) <= most || (columns_of(line) <= wide && is_drawn(line))) {
      out += line;
    } else {
      wrap_line(line, most, out);
    }
    if (end < text.size()) out += '\n';
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

}  // namespace quarterturn::report
