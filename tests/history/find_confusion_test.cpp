// SPDX-License-Identifier: MIT
// Each cause acts in simulated logs, by exact geometry; is it found, and how often is another told with
// confidence? The table of a long run stands in DEVELOPERS.md.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <map>
#include <random>
#include <string>

#include "history/find.hpp"
#include "support/fault_bench.hpp"
#include "support/fault_logs.hpp"
#include "support/trials.hpp"

namespace {

using namespace quarterturn;

constexpr std::uint64_t kSeed = 20260301;  // fixed once

/// Causes that no check of such a log can tell apart (never_separable()) count as one.
bool same(std::string_view truth, std::string_view told, const history::Scene& scene) {
  if (truth == told) return true;
  const double days = scene.checks.back().date - scene.checks.front().date;
  const auto pair = [&](std::string_view a, std::string_view b) {
    return (truth == a && told == b) || (truth == b && told == a);
  };
  return pair("wear", "moisture") && days < 365.25;
}

struct Row {
  int logs = 0, first = 0, second = 0, wrong = 0, unsettled = 0;
  std::map<std::string, int> instead;  ///< what stood first in its place

  [[nodiscard]] std::string words(const std::string& cause) const {
    char text[200];
    std::snprintf(text, sizeof text, "| %-12s | %5.1f | %5.1f | %4.1f |", cause.c_str(), 100.0 * first / logs,
                  100.0 * second / logs, 100.0 * wrong / logs);
    std::string line = text;
    std::vector<std::pair<int, std::string>> most;
    for (const auto& [code, times] : instead) most.emplace_back(times, code);
    std::ranges::sort(most, std::greater<>{});
    for (std::size_t k = 0; k < std::min<std::size_t>(3, most.size()); ++k)
      line += (k == 0 ? " " : ", ") + most[k].second + " " +
              std::to_string((100 * most[k].first + logs / 2) / logs);
    return line + " |";
  }
};

/// Goes on by the tests without a cut that are proposed, six at most. Answers are wrong in one of twenty; a
/// test that may show the cause, and is not answered in the log, shows it every other time.
history::Found talk(const std::string& cause, const test::FaultLog& log, std::mt19937_64& random) {
  auto answers = log.answers;
  auto found = history::find_cause(log.scene, answers);
  for (int i = 0; i < 6 && !found.settled() && found.next != nullptr && found.next->cuts == 0; ++i) {
    const auto names = [&](const auto& list) { return std::ranges::find(list, cause) != list.end(); };
    const bool truth = names(found.next->shows) || (names(found.next->may) && test::chance(random, 0.5));
    answers[std::string(found.next->code)] = {test::chance(random, 0.05) ? !truth : truth, {}};
    found = history::find_cause(log.scene, answers);
  }
  return found;
}

enum class Asked { its_test, on_and_on };

Row row_of(const std::string& cause, std::uint64_t seed, int logs, Asked asked) {
  std::mt19937_64 random(seed);
  Row row;
  for (row.logs = 0; row.logs < logs; ++row.logs) {
    const auto log = test::fault_log(cause, random);
    const auto found =
        asked == Asked::its_test ? history::find_cause(log.scene, log.answers) : talk(cause, log, random);
    const auto is = [&](std::size_t k) {
      return k < found.suspects.size() && same(cause, found.suspects[k].row->code, log.scene);
    };
    row.first += is(0);
    row.second += !is(0) && is(1);
    row.wrong += !is(0) && found.settled();
    if (!is(0)) ++row.instead[std::string(found.suspects.front().row->code)];
  }
  return row;
}

}  // namespace

TEST_SUITE("coverage") {
  TEST_CASE("each cause is found in the logs it makes, and no other is told with confidence") {
    const int logs = std::min(test::trials(12), 1000);  // a thousand a cause take a quarter of an hour
    std::string table = "\n| true cause | first | second | wrong |\n";
    std::uint64_t seed = kSeed;
    for (const auto& cause : history::cause_rows()) {
      const std::string code(cause.code);
      const Row row = row_of(code, seed++, logs, Asked::its_test);
      table += row.words(code) + "\n";
      INFO(row.words(code));
      // 2.6 standard errors of a share that lies at its limit
      const auto slack = [&](double share) { return 2.6 * std::sqrt(share * (1 - share) * logs); };
      CHECK(row.first + row.second >= 0.85 * logs - slack(0.85));
      CHECK(row.wrong <= 0.05 * logs + slack(0.05));
      if (code == "chance") CHECK(row.first >= 0.95 * logs - slack(0.95));
    }
    MESSAGE(table);
  }

  TEST_CASE(
      "asked on and on, with answers to tests that are about something else, nothing is told wrong more "
      "often") {
    const int logs = std::min(test::trials(6), 200);
    std::string table = "\n| true cause | first | second | wrong |\n";
    std::uint64_t seed = kSeed + 100;
    int first_or_second = 0, wrong = 0, all = 0;
    for (const auto& cause : history::cause_rows()) {
      const std::string code(cause.code);
      const Row row = row_of(code, seed++, logs, Asked::on_and_on);
      table += row.words(code) + "\n";
      first_or_second += row.first + row.second;
      wrong += row.wrong;
      all += logs;
    }
    MESSAGE(table);
    CHECK(first_or_second >= 0.85 * all);
    CHECK(wrong <= 0.05 * all + 2.6 * std::sqrt(0.05 * 0.95 * all));
  }
}
