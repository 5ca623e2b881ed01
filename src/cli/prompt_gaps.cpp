// SPDX-License-Identifier: MIT
// A guided test that reads gaps: what it is, on which setup, and how it is done.
#include <fmt/format.h>

#include <algorithm>

#include "app/nominal.hpp"
#include "cli/gap_test_shown.hpp"
#include "cli/prompt_session.hpp"
#include "correct/setup_findings.hpp"
#include "files/dates.hpp"
#include "files/readings_file.hpp"
#include "report/amounts.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

/// Setups that the test can tell.
std::vector<std::string> setups_of(const check::Check& check, const station::Station& station) {
  std::vector<std::string> names;
  for (const auto& [name, setup] : station.setups) {
    try {
      check::Check tried = check;
      hold_to_setup(tried, setup);
      names.push_back(name);
    } catch (const units::InputError&) {
      // Another test's setup.
    }
  }
  return names;
}

/// So many pieces as close with the first mitre that the station has; 0: it has none.
int usual_pieces(const station::Station& station) {
  for (const auto& [name, setup] : station.setups) {
    if (const int pieces = app::pieces_that_close(setup)) return pieces;
  }
  return 0;
}

/// `mitre (4), wide (8)`
std::string mitres_of(const station::Station& station) {
  std::string text;
  for (const auto& [name, setup] : station.setups) {
    if (const int pieces = app::pieces_that_close(setup))
      text += fmt::format("{}{} ({})", text.empty() ? "" : ", ", units::inert(name), pieces);
  }
  return text;
}

}  // namespace

void Session::ask_pieces(check::Check& check) {
  const int usual = station_ ? usual_pieces(*station_) : 4;
  if (usual == 0) {
    throw units::InputError("station", station_->name, "one with a mitre setup for a frame", {},
                            "its setups cut other angles: a frame of four closes at 45 degrees");
  }
  const auto hold = [&](int pieces) {
    check.pieces = pieces;
    if (!station_ || !setups_of(check, *station_).empty()) return;
    throw units::InputError("pieces", std::to_string(pieces), "as many as close with a mitre of this station",
                            {}, mitres_of(*station_));
  };
  if (check.pieces > 0) {
    hold(check.pieces);
    return;
  }
  talk_.ask("number of pieces of the frame", std::to_string(usual), [&](const std::string& typed) {
    hold(units::parse_whole(typed, "pieces", check::kFewestPieces, check::kMostPieces));
  });
}

/// Only setups that the test can tell are offered.
void Session::ask_gap_setup(check::Check& check) {
  if (!station_) return;
  const auto names = setups_of(check, *station_);
  if (names.empty()) hold_to_setup(check, station_->setups.begin()->second);  // which says why
  check.setup = names.front();
  if (names.size() > 1) {
    const std::size_t chosen = talk_.choose("which setup: " + units::one_of(names), names.front(), names);
    check.setup = names[chosen];
  } else if (station_->setups.size() > 1) {
    talk_.say("  Setup " + units::inert(check.setup) + ".\n");
  }
  hold_to_setup(check, station_->setup(check.setup));
}

/// The request without readings. Two tests of a day may read the same gaps: the moment tells them apart.
app::CheckRequest Session::begun_gaps(GapTestNamed named) {
  app::CheckRequest request;
  request.confidence = confidence_of(confidence_);
  request.station = station_;
  auto& check = request.check;
  check.unit = talk_.options.unit;
  check.test = named.test;
  check.form = named.form;
  check.pieces = named.pieces;
  check.date = files::moment_text(context_.now_utc);
  if (station_) check.station = station_->name;
  if (named.test == check::TestKind::turn_over && named.form == check::Form::none) {
    check.form =
        talk_.choose("pair: two panels; halves: one board, cut once", "pair", {"pair", "halves"}) == 0
            ? check::Form::pair
            : check::Form::halves;
  }
  if (named.test == check::TestKind::frame) ask_pieces(check);
  ask_gap_setup(check);
  return request;
}

/// What is laid at the fence, where knowing its size tells more; it may be skipped.
void Session::ask_pieces_size(check::Check& check, const station::Setup* setup) {
  if (check.test != check::TestKind::turn_over) return;
  const auto unit = talk_.options.unit;
  const bool halves = check.form == check::Form::halves;
  talk_.ask(std::string(halves ? "How big is the board" : "How big is each panel") +
                ", along the fence x along the cut",
            "skip", [&](const std::string& typed) {
              check.panel_size.reset();
              if (units::lowered(typed) != "skip") check.panel_size = files::parse_panel_size(typed, unit);
            });
  if (!check.panel_size) return;
  const auto& size = *check.panel_size;
  talk_.say(fmt::format("  {} {} x {}\n", halves ? "board" : "panels", report::size_text(size.width_mm, unit),
                        report::size_text(size.depth_mm, unit)));
  if (setup == nullptr) return;
  for (const auto& finding : correct::piece_findings(*station_, *setup, check.panel_size, check.form))
    talk_.say("  " + report::finding_text(finding, unit) + "\n");
}

/// Cautions in full once, then the steps, and the drawing or its words.
void Session::show_gap_test(const check::Check& check, const station::Setup* setup) {
  const auto& options = talk_.options;
  const auto shown = gap_test_shown(check, setup, options.unit);
  const bool first = gaps_cared_.insert(shown.kind).second;
  talk_.say(first ? "Care.\n" + report::gap_test_cautions(shown) : care_line());
  const std::string drawn = options.plain ? "" : report::gap_test_drawing(shown, options.width);
  talk_.show(report::gap_test_steps(shown, options) +
             (drawn.empty() ? report::gap_test_spoken(shown) : drawn));
}

void Session::guided_gaps(const GapTestNamed& named) {
  checking_ = true;
  begin_draft(line_);
  auto request = begun_gaps(named);
  auto& check = request.check;
  const station::Setup* setup = station_ ? &station_->setup(check.setup) : nullptr;
  ask_pieces_size(check, setup);
  show_gap_test(check, setup);
  ask_joints(check);
  if (check.test != check::TestKind::rail) {
    find_pending(check.setup);
    if (check.strips.size() == 1) hold_against_move(request);
  }
  compute(std::move(request), "");
  checking_ = false;
}

}  // namespace quarterturn::cli
