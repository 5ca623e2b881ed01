// SPDX-License-Identifier: MIT
#include "units/nearest.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "units/text.hpp"

using namespace quarterturn::units;

namespace {

/// The definition itself, by trying every last step: the oracle of edit_distance.
std::size_t naive(std::string_view a, std::string_view b) {
  if (a.empty() || b.empty()) return a.size() + b.size();
  const auto cut = [](std::string_view s, std::size_t n) { return s.substr(0, s.size() - n); };
  std::size_t best = std::min({naive(cut(a, 1), b) + 1, naive(a, cut(b, 1)) + 1,
                               naive(cut(a, 1), cut(b, 1)) + (a.back() == b.back() ? 0 : 1)});
  if (a.size() > 1 && b.size() > 1 && a.back() == b[b.size() - 2] && a[a.size() - 2] == b.back()) {
    best = std::min(best, naive(cut(a, 2), cut(b, 2)) + 1);
  }
  return best;
}

}  // namespace

TEST_SUITE("units") {
  TEST_CASE("edit distance against its definition") {
    const std::vector<std::string> words{"",    "a",     "ab",    "ba",    "abc", "acb",
                                         "cab", "width", "widht", "wdith", "with"};
    for (const std::string& a : words) {
      for (const std::string& b : words) {
        CAPTURE(a);
        CAPTURE(b);
        CHECK(edit_distance(a, b) == naive(a, b));
      }
    }
    CHECK(edit_distance("Width", "wIDTH") == 0);
  }

  TEST_CASE("the nearest word, or none") {
    const std::vector<std::string> words{"dock", "loft", "tour", "tolerance"};
    CHECK(nearest("dokc", words) == "dock");
    CHECK(nearest("Dock", words) == "dock");
    CHECK(nearest("tolerence", words) == "tolerance");
    CHECK_FALSE(nearest("paint", words));
    CHECK_FALSE(nearest("", words));
    CHECK_FALSE(nearest(std::string(5000, 'x'), words));
    CHECK_FALSE(nearest("x", std::vector<std::string>{"y"}));
    CHECK(did_you_mean("lofft", words) == "did you mean 'loft'?");
    CHECK(did_you_mean("paint", words).empty());
    CHECK(by_nearness("tuor", words).front() == "tour");
    CHECK(by_nearness("tuor", words).size() == 4);
    CHECK(one_of(words) == "dock, loft, tour or tolerance");
    CHECK(one_of(std::vector<std::string>{"dock"}) == "dock");
  }

  TEST_CASE("small things about text") {
    CHECK(trimmed(" \t\u00A0x y\u202F ") == "x y");
    CHECK(trimmed("  ").empty());
    CHECK(characters("½ in") == 4);
    CHECK(shortest(0.1) == "0.1");
    CHECK(shortest(600) == "600");
    CHECK(utf8_length("€") == 3);
    CHECK(utf8_length("\xF4\x90\x80\x80") == 0);
    CHECK(utf8_length("\xE2\x82") == 0);
  }
}
