// SPDX-License-Identifier: MIT
#include "correct/setup_findings.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <stdexcept>
#include <string>

#include "support/near.hpp"
#include "support/oracle.hpp"
#include "support/tables.hpp"

using namespace quarterturn;
using test::near;

namespace {

std::vector<std::string> codes(const std::vector<check::Finding>& findings) {
  std::vector<std::string> found;
  for (const auto& finding : findings) found.push_back(finding.code);
  return found;
}
using Codes = std::vector<std::string>;

/// Whether some cut of the test leaves a kept part that no longer lies at the outer fence dog.
bool leaves_outer_dog(const test::Table& table, double side_mm, int cuts) {
  const double outer_mm = test::contacts_from_cut(table)[1];
  test::Panel panel = test::raw_panel({test::Point{0, 0}, {side_mm, 0}, {side_mm, side_mm}, {0, side_mm}});
  for (int cut = 1; cut <= cuts; ++cut) {
    try {
      panel = test::saw(table, panel, cut - 1, cut).kept;
    } catch (const std::runtime_error&) {
      return true;
    }
    for (std::size_t i = 0; i < panel.corners.size(); ++i) {
      const auto &p = panel.corners[i], &next = panel.corners[(i + 1) % panel.corners.size()];
      if (panel.labels[i] == cut - 1 && std::hypot(next.x - p.x, next.y - p.y) < outer_mm) return true;
    }
  }
  return false;
}

}  // namespace

TEST_SUITE("correct") {
  TEST_CASE("a panel that suits its setup brings no finding, in every quadrant") {
    for (const auto& c : test::square_cases()) {
      CHECK(correct::panel_findings(c.station, c.setup, check::PanelSize{600, 600, {}}).empty());
      CHECK(correct::panel_findings(c.station, c.setup, std::nullopt).empty());
    }
  }

  TEST_CASE("a fence pair under 250 mm, whatever the panel") {
    auto c = test::square_cases()[1];
    c.setup.fence.second.hole.column -= 1;
    const auto findings = correct::panel_findings(c.station, c.setup, std::nullopt);
    REQUIRE(codes(findings) == Codes{"short-fence"});
    CHECK(near(findings[0].numbers.at("span_mm"), 192, 1e-15, 0));
  }

  TEST_CASE("a panel longer than the room between rail dog and fence") {
    const auto c = test::square_cases()[1];
    const auto findings = correct::panel_findings(c.station, c.setup, check::PanelSize{500, 653, {}});
    REQUIRE(codes(findings) == Codes{"panel-too-long"});
    CHECK(near(findings[0].numbers.at("room_mm"), 652, 1e-15, 0));
    CHECK(near(findings[0].numbers.at("panel_mm"), 653, 1e-15, 0));
    CHECK(correct::panel_findings(c.station, c.setup, check::PanelSize{651, 651, {}}).empty());
  }

  TEST_CASE("a panel that shrinks off the outer fence dog, as the sawn one does") {
    const auto c = test::square_cases()[1];  // outer contact 394 mm from the cut
    for (const double side_mm : {470.0, 490.0, 520.0}) {
      for (const int cuts : {4, 5, 8}) {
        CAPTURE(side_mm);
        CAPTURE(cuts);
        const auto findings =
            correct::panel_findings(c.station, c.setup, check::PanelSize{side_mm, side_mm, {}}, cuts);
        const bool left = leaves_outer_dog(test::table_of(c.station, c.setup), side_mm, cuts);
        CHECK(codes(findings) == (left ? Codes{"panel-leaves-outer-dog"} : Codes{}));
        if (left) {
          CHECK(near(findings[0].numbers.at("outer_mm"), 394, 1e-12, 0));
          CHECK(near(findings[0].numbers.at("after_mm"), side_mm - (cuts + 1) / 2 * 28, 1e-12, 0));
        }
      }
    }
  }

  TEST_CASE("a bar holds a panel of any size; a mitre has no such room") {
    auto c = test::square_cases()[1];
    c.setup.bar = station::Bar{units::Length::from_mm(600), {}, {}};
    CHECK(correct::panel_findings(c.station, c.setup, check::PanelSize{420, 420, {}}).empty());
    auto mitre = test::mitre_cases()[0];
    CHECK(codes(correct::panel_findings(mitre.station, mitre.setup, check::PanelSize{2000, 420, {}})) ==
          Codes{"short-fence"});
  }
}
