// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "check/test_cost.hpp"
#include "cli/prompt_session.hpp"
#include "correct/setup_findings.hpp"
#include "files/readings_file.hpp"
#include "report/amounts.hpp"
#include "report/care.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

std::string panel_words(const check::PanelSize& panel, units::Unit unit) {
  return report::size_text(panel.width_mm, unit) + " x " + report::size_text(panel.depth_mm, unit);
}

/// In the word of the question.
check::PanelSize panel_of(const std::string& typed, units::Unit unit) {
  try {
    return files::parse_panel_size(typed, unit);
  } catch (const units::InputError& fault) {
    const bool none = fault.value().empty();
    throw units::InputError("panel", none ? std::string(units::kMissing) : fault.value(), fault.must_be(), {},
                            fault.hint());
  }
}

}  // namespace

/// What the cuts left of the panel in hand, to the whole mm; nothing when none is in hand.
std::optional<check::PanelSize> Session::panel_left() const {
  if (!panel_ || cuts_ == 0) return panel_;
  auto left = *panel_;
  double& shorter = left.width_mm <= left.depth_mm ? left.width_mm : left.depth_mm;
  double& longer = left.width_mm <= left.depth_mm ? left.depth_mm : left.width_mm;
  const int off_the_longer = cuts_ / 2;  // every other cut
  longer = std::floor(longer - off_the_longer * (strip_mm_ + check::kKerfMm));
  shorter = std::floor(check::shorter_side_after(*panel_, cuts_, strip_mm_));
  return left;
}

/// False: the panel would come out too small to be held, and the person does not go on.
bool Session::stays_large_enough(const check::PanelSize& panel, int cuts, double strip_mm) {
  const double left = check::shorter_side_after(panel, cuts, strip_mm);
  if (left >= check::kSmallestPanelMm) return true;
  const auto unit = talk_.options.unit;
  talk_.say(report::wrapped(
      fmt::format("  After cut {} about {} of its shorter side are left. Under {} a panel cannot be held "
                  "safely.\n",
                  cuts, report::size_text(std::floor(left), unit),
                  report::size_text(check::kSmallestPanelMm, unit)),
      talk_.options.width));
  return talk_.yes("Go on with this panel all the same?", false);
}

/// \param cuts  that are to be made of it
check::PanelSize Session::ask_panel_size(int cuts) {
  auto offered = panel_left();
  if (offered && cuts_ > 0) {
    const bool too_small =
        check::shorter_side_after(*offered, cuts, check::kStripMm) < check::kSmallestPanelMm;
    talk_.say(fmt::format("  The {} cuts left about {} of the last panel{}.\n", cuts_,
                          panel_words(*offered, talk_.options.unit),
                          too_small ? ": too small for this test. Take a new one" : ""));
    if (too_small) offered.reset();
  }
  const auto fallback =
      offered ? std::optional<std::string>(panel_words(*offered, talk_.options.unit)) : std::nullopt;
  check::PanelSize size;
  talk_.ask("How big is the panel", fallback, [&](const std::string& typed) {
    // What stands in brackets is rounded.
    const auto given = typed == fallback ? *offered : panel_of(typed, talk_.options.unit);
    if (std::min(given.width_mm, given.depth_mm) < check::kSmallestPanelMm) {
      throw units::InputError(
          "panel", typed,
          std::string("at least ") + report::least_panel_words(talk_.options.unit) + " each way", {},
          "a smaller one cannot be held safely, and each cut takes off more");
    }
    size = given;
  });
  talk_.say("  panel " + panel_words(size, talk_.options.unit) + "\n");
  return size;
}

void Session::ask_panel(check::Check& check, const station::Setup* setup, int cuts) {
  for (bool settled = false; !settled;) {
    const auto size = ask_panel_size(cuts);
    try {
      settled = stays_large_enough(size, cuts, check::kStripMm);
    } catch (const Back&) {
      // Back to the panel.
    }
    if (settled) panel_ = size;
  }
  cuts_ = 0;
  check.panel_size = panel_;
  if (setup == nullptr) return;
  const auto findings = correct::panel_findings(*station_, *setup, panel_);
  for (const auto& finding : findings)
    talk_.say("  " + report::finding_text(finding, talk_.options.unit) + "\n");
  const auto room = station::room_of(*station_, *setup);
  const bool tight =
      std::any_of(findings.begin(), findings.end(), [](const auto& f) { return f.code == "panel-too-long"; });
  if (room && std::isinf(room->between_near_dog_and_fence_mm)) {
    talk_.say("  It fits: no rail dog stands in its way.\n");
  } else if (room && !tight) {
    talk_.say(fmt::format("  It fits: {} free between near rail dog and fence.\n",
                          report::size_text(room->between_near_dog_and_fence_mm, talk_.options.unit)));
  }
}

}  // namespace quarterturn::cli
