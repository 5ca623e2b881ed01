// SPDX-License-Identifier: MIT
// The gaps of one joint after the other, in a new test or added to the last one.
#include <fmt/format.h>

#include "app/typed_readings.hpp"
#include "check/test_cost.hpp"
#include "cli/gap_test_shown.hpp"
#include "cli/prompt_readings.hpp"
#include "cli/prompt_session.hpp"
#include "report/amounts.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr double kLeastJointMm = 50, kLeastRingMm = 20, kLeastRailMm = 200;

const ReadingsAsked& asked_of(const check::Check& check) {
  if (check.test == check::TestKind::rail) return rail_gaps();
  return check.test == check::TestKind::frame ? ring_gaps() : joint_gaps();
}

double least_apart(const check::Check& check) {
  if (check.test == check::TestKind::rail) return kLeastRailMm;
  return check.test == check::TestKind::frame ? kLeastRingMm : kLeastJointMm;
}

/// By place, in the order in which they were asked.
app::Ends ends_of(const check::Check& check, std::vector<std::vector<check::Reading>> places) {
  const bool rail = check.test == check::TestKind::rail;
  app::Ends ends;
  ends.fence_end = std::move(places[0]);
  ends.middle = std::move(places[rail ? 1 : 2]);
  ends.free_end = std::move(places[rail ? 2 : 1]);
  return ends;
}

/// A board turned end for end is the other half of its test.
bool is_first_of_board(const check::Check& check, int joint) {
  return check.form == check::Form::halves && joint % 2 == 1;
}

const char* next_joint_words(const check::Check& check, int joint) {
  if (check.test == check::TestKind::frame) return "Another ring: new pieces, cut and laid as before.\n";
  if (check.form == check::Form::pair) return "Two more panels, cut and laid as before.\n";
  return is_first_of_board(check, joint)
             ? "Another board, cut and laid as the first one.\n"
             : "The board turned end for end: rail back against both its dogs, old letters struck out, X up, "
               "the other long edge at the fence. Again from step 2.\n";
}

}  // namespace

/// Where the places usually lie; 0: nothing is known.
double Session::offered_apart(const check::Check& check) const {
  if (!check.strips.empty()) return check.strips.back().spots.back().position_mm;
  if (check.test == check::TestKind::rail) {
    const double length_mm = rail_length_mm(check.setup);
    return length_mm > 0 ? length_mm - 2 * check::kFromEndMm : 0;
  }
  return check.panel_size ? check.panel_size->depth_mm - 2 * check::kFromEndMm : 0;
}

/// The gaps of one joint; `undo` goes back over all of it. True: another one is to follow.
bool Session::ask_joint(check::Check& check) {
  const int joint = static_cast<int>(check.strips.size()) + 1;
  const bool pair = check.form == check::Form::pair, turn = is_first_of_board(check, joint);
  const char* word = check::joint_word(check);
  PlaceReadings readings(talk_, asked_of(check),
                         joint == 1 ? "gap, " : fmt::format("{} {}, gap, ", word, joint), check, true);
  app::Ends ends;
  bool another = false;
  for (int question = 0; question < 3;) {
    try {
      if (question == 0) {
        ends = ends_of(check, readings.ask());
      } else if (question == 1) {
        ends.apart_mm = ask_apart(offered_apart(check), least_apart(check));
      } else if (pair) {
        another = talk_.yes("another pair?", false);
      } else if (turn) {
        another = talk_.yes("the same board turned end for end?", true);
      }
      ++question;
    } catch (const Back&) {
      --question;
      if (question == 0) readings.undo();
    }
  }
  check.strips.push_back(app::strip_of(ends, joint, 0, 0));
  return another;
}

void Session::ask_joints(check::Check& check) {
  while (ask_joint(check)) talk_.show(next_joint_words(check, static_cast<int>(check.strips.size()) + 1));
}

/// `more` after a gap test: measured on.
void Session::one_more_joint() {
  app::CheckRequest request = last().request;
  auto& check = request.check;
  if (check.test == check::TestKind::rail)
    throw UsageError("a rail test is read at once, there is no more of it. Hint: 'check rail' tries it anew");
  checking_ = true;
  told_ = static_cast<int>(check.strips.size());
  if (kept_) begin_draft("more", kept_->made.id);
  talk_.say(care_line());
  talk_.show(next_joint_words(check, static_cast<int>(check.strips.size()) + 1));
  ask_joints(check);
  compute(std::move(request), kept_ ? kept_->made.id : "");
  checking_ = false;
}

}  // namespace quarterturn::cli
