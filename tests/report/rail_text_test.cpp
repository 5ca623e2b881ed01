// SPDX-License-Identifier: MIT
/// What is said of joints and of two kinds of tests held against each other. Readings are invented.
#include <doctest/doctest.h>

#include "app/run_check.hpp"
#include "files/readings_file.hpp"
#include "report/check_report.hpp"
#include "support/bowed_bench.hpp"

using namespace quarterturn;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_SUITE("report") {
  TEST_CASE("of halves a joint alone is no corner: its board's taper is in it") {
    app::CheckRequest request;
    request.check = files::parse_readings(
        files::text_of("# test: turn-over\n# form: "
                       "halves\npanel,position,gap\n1,20,0.55\n1,380,0.30\n2,20,0.35\n2,380,0.40\n",
                       "h"));
    const auto outcome = app::run_check(request);
    report::TextOptions options;
    options.plain = true;
    CHECK(holds(report::check_text(outcome, options, {}), "half of its board's own taper in it"));
    CHECK(holds(report::why_text(outcome, options), "2 times one corner and the board's own taper"));
    // A pair has none.
    request.check.form = check::Form::pair;
    CHECK(!holds(report::why_text(app::run_check(request), options), "board"));
  }
}
