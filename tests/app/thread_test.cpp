// SPDX-License-Identifier: MIT
#include "app/thread.hpp"

#include <doctest/doctest.h>

using namespace quarterturn;
using app::Advised;
using app::Journey;
using app::Step;
using What = app::Step::What;

namespace {

Step checked(const char* verdict) {
  return {What::checked, "2026-03-14", verdict};
}
Step corrected() {
  return {What::corrected, "2026-03-14", "", false, "corrected"};
}
Step cause(const char* code) {
  return {What::cause, "2026-03-14", "", false, code};
}
Step happened(const char* kind) {
  return {What::happened, "2026-03-14", "", false, kind};
}
Step searched() {
  return {What::searched, "2026-03-14", "", false, {}, 2};
}

void stands(const std::vector<Step>& record, Journey journey, std::size_t steps, const std::string& next,
            Advised advised = Advised::nothing) {
  const auto thread = app::thread_of(record, advised);
  CAPTURE(record.size());
  CAPTURE(next);
  CHECK(thread.journey == journey);
  CHECK(thread.steps.size() == steps);
  CHECK(thread.next == next);
}

}  // namespace

TEST_SUITE("app") {
  TEST_CASE("thread: a new table, from its first check to the one that is within") {
    std::vector<Step> record;
    stands(record, Journey::new_table, 0, "check");
    record.push_back(checked("outside"));
    stands(record, Journey::new_table, 1, "correct");
    stands(record, Journey::new_table, 1, "more", Advised::more);
    stands(record, Journey::new_table, 1, "check", Advised::check);
    record.push_back(corrected());
    stands(record, Journey::new_table, 2, "check");
    stands(record, Journey::new_table, 2, "check", Advised::correct);  // it was done
    record.push_back(checked("cannot-tell"));
    stands(record, Journey::new_table, 3, "more");
    record.push_back(checked("within"));
    stands(record, Journey::new_table, 4, "");
    record.push_back(happened("cleaned"));
    stands(record, Journey::new_table, 5, "");
    record.push_back(happened("knocked"));
    stands(record, Journey::new_table, 6, "check");
  }

  TEST_CASE("thread: something is off, from the good check to the one that proves the cause") {
    std::vector<Step> record{checked("outside"), corrected(), checked("within"), happened("knocked"),
                             checked("outside")};
    stands(record, Journey::something_wrong, 3, "find");
    stands(record, Journey::something_wrong, 3, "correct", Advised::correct);
    record.push_back(searched());
    stands(record, Journey::something_wrong, 4, "find");
    auto by_a_move = record;
    record.push_back(cause("rail-off-dog"));
    stands(record, Journey::something_wrong, 5, "check");
    auto not_put_right = record;
    record.push_back(checked("within"));
    stands(record, Journey::something_wrong, 6, "");
    record.push_back(checked("within"));
    stands(record, Journey::in_use, 1, "");

    not_put_right.push_back(checked("outside"));
    stands(not_put_right, Journey::something_wrong, 6, "find");

    by_a_move.push_back(cause("shifted-dog"));
    stands(by_a_move, Journey::something_wrong, 5, "correct");
    by_a_move.push_back(corrected());
    stands(by_a_move, Journey::something_wrong, 6, "check");
  }
}
