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

  TEST_CASE("strips and turn-over: what is said of them is what the exact pieces were") {
    struct Want {
      double h_mm, displaced_rad;
      bool rail;
      const char* words;
    };
    for (const auto& want :
         {Want{2, 0, true, "they differ, and the rail's bow explains it."}, Want{0, 0, true, "they agree."},
          Want{0, 1.5e-3, true, "and a bow of the rail does not explain it"},
          Want{0, 1.5e-3, false, "is the rail bowed? Try it end for end (rail test)."}}) {
      CAPTURE(want.words);
      const auto bench = test::bowed_bench(test::square_cases()[2], want.h_mm);
      const auto told = [&](const std::string& text) {
        app::CheckRequest request;
        request.check = files::parse_readings(files::text_of(text, "r.csv"));
        request.station = bench.setup.station;
        return request;
      };
      const auto pair = app::run_check(told(bench.pair("2026-05-01", want.displaced_rad, 2)));
      auto request = told(bench.strips("2026-05-02"));
      request.other = correct::OtherTest{"bench/1",   "2026-05-01",
                                         "turn-over", {pair.fit.eta.x, pair.fit.eta.u, pair.fit.eta.dof},
                                         {},          test::BowedBench::kDepthMm,
                                         {},          5};
      if (want.rail) request.rail = app::run_check(told(bench.rail("2026-04-30"))).bow;
      report::TextOptions options;
      options.plain = true;
      const auto text = report::check_text(app::run_check(request), options, {});
      CAPTURE(text);
      CHECK(holds(text, std::string("Held against the turn-over test bench/1 (2026-05-01), which told ") +
                            (bench.pairs_corner_rad() + want.displaced_rad / 2 < 0 ? "under" : "over") +
                            " 90° by "));
      CHECK(holds(text, want.words));
    }
  }
}
