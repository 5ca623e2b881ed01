// SPDX-License-Identifier: MIT
/// The window is closed or the program killed at every question of a check, and the next one goes on there.
/// The figures are invented.
#include <doctest/doctest.h>

#include <csignal>

#include "support/at_dock.hpp"
#include "support/sanitized.hpp"
#include "support/talk.hpp"

using namespace quarterturn::test;

namespace {

struct Step {
  const char *typed, *then;
};

/// A check with one strip; behind each line the question that comes.
const std::vector<Step> kCheck{{"check", "How big is the panel ▸ "},
                               {"600 600", "F end, reading 1 of 3 ▸ "},
                               {"22.74", "F end, reading 2 of 3 ▸ "},
                               {"22.73 22.75", "free end, reading 1 of 3 ▸ "},
                               {"22.64", "free end, reading 2 of 3 ▸ "},
                               {"22.13", "free end, reading 3 of 3 ▸ "},
                               {"22.15", "middle [skip] ▸ "},
                               {"", "keep 4 or redo 4 [redo 4] ▸ "},
                               {"redo 4", "reading 4 again ▸ "},
                               {"22.14", "between the two measured places ▸ "},
                               {"525", "X up every time? [yes] ▸ "},
                               {"yes", "dock ▸ "}};

constexpr std::size_t kEach =
    quarterturn::test::kSanitized ? 3 : 1;  // of the questions, one is where it ends

void go(Pty& pty, std::size_t from, std::size_t to) {
  for (std::size_t i = from; i < to; ++i) pty.type(std::string(kCheck[i].typed) + "\r", kCheck[i].then);
}

}  // namespace

TEST_SUITE("terminal") {
  TEST_CASE(
      "killed at every question of a check, the next prompt offers to go on, and the check is the same") {
    for (const bool closed : {false, true}) {
      for (std::size_t done = 2; done < kCheck.size(); done += kEach) {
        CAPTURE(closed);
        CAPTURE(kCheck[done - 1].then);
        const AtDock at;
        {
          Pty pty(at.home);
          pty.expect(kDock);
          go(pty, 0, done);
          closed ? pty.hang_up() : pty.send(SIGKILL);
          pty.end();
        }
        Pty pty(at.home);
        pty.expect(kGoOn);
        pty.type("\r", kCheck[done - 1].then);
        go(pty, done, kCheck.size());
        CHECK(holds(pty.screen().text(), "over 90° by 0.17 ± 0.09 mm over 600 mm"));
        CHECK(holds(pty.screen().text(), "Saved as check dock/1."));
        pty.type("drafts\r", "Nothing is unfinished.");
      }
    }
  }
}
