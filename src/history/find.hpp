// SPDX-License-Identifier: MIT
/// \file find.hpp
/// What went wrong: causes by how well they explain the checks and the answers, and the one next test.
///
/// In       a Scene; answers to tests that were made
/// Out      causes with their probability and the effect each would have; the next test
/// Maths    METHOD.md (M80)–(M83), on (M79)
/// Assumes  one cause acts, or none; its weights beforehand are common practice, no source. A probability is
///          that of the table of causes: what is not in it cannot be found
/// Accuracy confusion table in DEVELOPERS.md (tests/history/find_confusion_test.cpp)
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "history/causes.hpp"
#include "history/scene.hpp"

namespace quarterturn::history {

/// A test that tells causes apart. A new one is one row.
struct TestRow {
  std::string_view code;
  std::string_view ask;       ///< the question; yes means something was found
  std::string_view positive;  ///< what 'found' is called: `it differs`
  std::string_view amount;    ///< asked after a yes: `thickest feeler that enters`; empty: no number
  int minutes, cuts;
  std::vector<std::string_view> shows;  ///< causes that it shows nine times in ten
  std::vector<std::string_view> may;    ///< causes that it shows every other time
  bool survey = false;                  ///< only after strip, rail and fence were looked at
  bool answered = true;                 ///< answered by yes or no; else by a further check
};
const std::vector<TestRow>& test_rows();
const TestRow* find_test_row(std::string_view code);

/// What a test found.
struct Answer {
  bool found = false;
  std::optional<double> mm = {};  ///< of a gap or a bow
  bool skipped = false;           ///< cannot be made here: tells nothing, and is not asked again
};
using Answers = std::map<std::string, Answer>;

/// So many of the newest checks are looked at; the time grows with the third power.
inline constexpr std::size_t kMostSeen = 60;

struct Suspect {
  const CauseRow* row = nullptr;
  double probability = 0;
  double effect = 0;            ///< on the newest check's eps [rad], of its likeliest hypothesis
  double size = 0;              ///< of that hypothesis, in its own unit (mm but for those without size words)
  std::string target;           ///< it is about
  std::size_t since = 0;        ///< first check it shows in
  std::string_view shown_by{};  ///< of the tests that may show it, the one for this place; empty: any
  /// A further target that explains it about as well, by a size of its own.
  struct Also {
    std::string target;
    double size = 0;
  };
  std::vector<Also> also;
  bool known_size = false;
  bool contradicted = false;  ///< an answer speaks against it
};

/// How a probability is told.
enum class Standing { best, fits, possible, unlikely, out };
Standing standing(const Suspect& suspect);

struct Found {
  double change = 0, change_u = 0;            ///< newest check against the good ones [rad]
  double change_dof = check::kUnbounded;      ///< of change_u
  bool changed = false;                       ///< at the 5 % level
  std::optional<std::size_t> good;            ///< index of the last good check
  std::vector<Suspect> suspects;              ///< by probability
  const TestRow* next = nullptr;              ///< nullptr: no test separates what is left
  std::vector<const TestRow*> not_needed;     ///< made none the wiser; what they would have cost
  std::vector<std::string_view> inseparable;  ///< sentences
  std::vector<const TestRow*> found_aside;  ///< found something that explains nothing of what the checks show
  [[nodiscard]] bool settled() const { return !suspects.empty() && suspects.front().probability >= kSettled; }
  static constexpr double kSettled = 0.9;
};

/// \throws std::domain_error on a scene without checks
Found find_cause(const Scene& scene, const Answers& answers = {});

}  // namespace quarterturn::history
