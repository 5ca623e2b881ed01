// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "report/amounts.hpp"
#include "report/plan_report.hpp"
#include "report/plan_words.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using plan::Design;
using plan::From;
using plan::Result;
using plan::Row;

/// Designs that are always shown; of the others only what is named.
constexpr std::array<Design, 8> kShown{{{1, 5}, {1, 7}, {1, 8}, {1, 10}, {1, 12}, {2, 5}, {3, 5}, {5, 5}}};

/// `5 cuts`, `2 panels, 5 cuts each`
std::string design_words(const Design& design) {
  return design.panels == 1 ? fmt::format("{} cuts", design.cuts)
                            : fmt::format("{} panels, {} cuts each", design.panels, design.cuts);
}

/// The same inside a sentence.
std::string takes_words(const Row& row) {
  const auto& d = row.design;
  return (d.panels > 1  ? fmt::format("{} panels of {} cuts", d.panels, d.cuts)
          : d.cuts == 5 ? std::string("one five-cut")
                        : fmt::format("{} cuts on one panel", d.cuts)) +
         " (" + minutes_text(row.minutes) + ")";
}

class Teller {
 public:
  Teller(const Result& result, const TextOptions& options) : r_(result), options_(options) {}

  [[nodiscard]] std::string answer() const;
  [[nodiscard]] std::string line() const;
  [[nodiscard]] std::string table() const;
  [[nodiscard]] std::string legend() const;
  [[nodiscard]] std::string basis() const;
  [[nodiscard]] std::string unseen() const;

 private:
  [[nodiscard]] std::string over() const { return over_length_words(r_.over_mm, options_.unit); }
  [[nodiscard]] double mm(double rad) const { return rad * r_.over_mm; }
  [[nodiscard]] std::string length(double length_mm, int decimals = 2) const {
    return length_text(length_mm, options_.unit, decimals);
  }
  [[nodiscard]] std::string allowed(double share = 1) const {
    const double value = mm(r_.aim->tolerance_rad) * share;
    return length(value, share == 1 ? std::max(2, value < 0.095 ? fine_decimals(value) : 2) : 2);
  }
  [[nodiscard]] std::string first() const;
  [[nodiscard]] std::string to_settle() const;
  [[nodiscard]] std::string none_settles() const;
  [[nodiscard]] std::string seating() const;
  [[nodiscard]] std::string log_words() const;
  [[nodiscard]] bool shown(std::size_t i) const;
  [[nodiscard]] bool any_provisional() const;
  [[nodiscard]] std::string seen_by(const char* code) const;

  const Result& r_;
  const TextOptions& options_;
};

std::string Teller::first() const {
  const Row& row = r_.plan.rows.front();
  const std::string one = fmt::format("One five-cut (5 cuts, {}) ", minutes_text(row.minutes));
  if (row.unknown == "no-scatter")
    return one +
           "gives no ±: nothing tells how a reading scatters. Read each place several times, or name a class "
           "of caliper.";
  if (row.unknown) return one + "gives no ±: one strip does not show how the panel seats.";
  const char* blind = row.provisional ? ", if panels seat as usual" : "";
  return one + fmt::format("will tell to about {}{}{}.", half_width_text(mm(row.half_width), options_.unit),
                           over(), blind);
}

std::string Teller::none_settles() const {
  const auto best = std::ranges::max_element(r_.plan.rows, {}, [](const Row& row) {
    return row.provisional ? 0.0 : std::min(*row.within, *row.outside);
  });
  const std::string tests = out_of_words(r_.aim->chance);
  std::string text = fmt::format("No test of up to {} cuts settles {} in {}", r_.most_cuts, allowed(), tests);
  if (best->provisional) return text + ".";
  return text + fmt::format("; {} comes nearest.", takes_words(*best));
}

std::string Teller::to_settle() const {
  const auto& plan = r_.plan;
  const std::string tests = out_of_words(r_.aim->chance);
  std::string text;
  if (!plan.cheapest) {
    text = none_settles();
  } else if (*plan.cheapest == 0) {
    return fmt::format("That settles {} in {}.", allowed(), tests);
  } else {
    text =
        fmt::format("To settle {} in {} takes {}.", allowed(), tests, takes_words(plan.rows[*plan.cheapest]));
  }
  if (plan.cheapest_provisional) {
    text += fmt::format(" With the usual seating assumed, {} would do for a provisional verdict.",
                        takes_words(plan.rows[*plan.cheapest_provisional]));
  }
  return text;
}

std::string Teller::answer() const {
  std::string text = r_.station.empty()
                         ? std::string()
                         : fmt::format("{}, {}: ", units::inert(r_.station), units::inert(r_.setup));
  text += first() + " ";
  if (r_.aim) return text + to_settle() + "\n";
  return text + "No tolerance was stated, so nothing is said of a verdict.\n";
}

std::string Teller::line() const {
  const Row& row = r_.plan.rows.front();
  const auto& cheapest = r_.plan.cheapest;
  std::string text = "One strip ";
  if (row.unknown) {
    text += "will give no ±";
  } else {
    text +=
        fmt::format("will tell to about {}{}", half_width_text(mm(row.half_width), options_.unit), over());
    if (row.provisional) text += ", if panels seat as usual";
  }
  if (!cheapest)
    return text +
           fmt::format("; no test of up to {} cuts is likely to settle {}: 'plan'.", r_.most_cuts, allowed());
  const std::string tests = out_of_words(r_.aim->chance);
  if (*cheapest == 0) return text + fmt::format(", which settles {} in {}.", allowed(), tests);
  return text + fmt::format("; to settle {} in {} takes {}: 'plan'.", allowed(), tests,
                            takes_words(r_.plan.rows[*cheapest]));
}

bool Teller::shown(std::size_t i) const {
  return i == r_.plan.cheapest || i == r_.plan.cheapest_provisional ||
         std::ranges::find(kShown, r_.plan.rows[i].design) != kShown.end();
}

bool Teller::any_provisional() const {
  for (std::size_t i = 0; i < r_.plan.rows.size(); ++i) {
    if (shown(i) && r_.plan.rows[i].provisional) return true;
  }
  return false;
}

std::string Teller::table() const {
  std::vector<std::string> head{"the test", "time", "± about"};
  if (r_.aim) head.insert(head.end(), {"within", "outside"});
  head.emplace_back("panel left");
  std::vector<TableLine> lines;
  for (std::size_t i = 0; i < r_.plan.rows.size(); ++i) {
    if (!shown(i)) continue;
    const Row& row = r_.plan.rows[i];
    const std::string what = design_words(row.design), time = minutes_text(row.minutes),
                      star = row.provisional ? "*" : "",
                      left = size_text(std::floor(row.side_after_mm), options_.unit);
    const std::string amount =
        row.unknown ? "none" : half_width_amount(mm(row.half_width), options_.unit) + star;
    TableLine line{{what, time, amount}, ""};
    line.sentence = row.unknown ? fmt::format("{}, {}: no ±", what, time)
                                : fmt::format("{}, {}: {}{}", what, time,
                                              half_width_text(mm(row.half_width), options_.unit), star);
    if (r_.aim) {
      line.cells.push_back(percent_text(*row.within));
      line.cells.push_back(percent_text(*row.outside));
      line.sentence +=
          fmt::format("; within {}, outside {}", percent_text(*row.within), percent_text(*row.outside));
    }
    line.cells.push_back(left);
    line.sentence += fmt::format("; {} left", left);
    lines.push_back(std::move(line));
  }
  return table_text(head, lines, options_);
}

std::string Teller::legend() const {
  std::string text;
  if (r_.aim) {
    text += fmt::format(
        "within: the chance that it says WITHIN when the corner is off by {}; outside: that it says OUTSIDE "
        "when "
        "it is off by {} ({} are allowed{}).\n",
        allowed(r_.aim->share_within), allowed(r_.aim->share_outside), allowed(), over());
    if (r_.aim->strict) text += "Strict: it says either only when the whole ± lies there.\n";
  }
  if (any_provisional()) {
    text += fmt::format(
        "* rests on the usual seating of {}, which is assumed whatever yours is: its verdict is "
        "provisional. Without a star seating is measured instead, and the ± may be wider.\n",
        length(check::kAssumedSeatingMm, 3));
  }
  if (r_.plan.most_cuts_on_panel < 16) {
    text +=
        fmt::format("This panel bears {} cuts; after one more less than {} would be left{}.\n",
                    r_.plan.most_cuts_on_panel, size_text(r_.least_mm, options_.unit),
                    r_.least_mm > check::kSmallestPanelMm ? ", too little to lie at both fence dogs" : "");
  }
  return text;
}

std::string Teller::log_words() const {
  return r_.log.checks == 1 ? std::string("from your earlier check")
                            : fmt::format("from your {} earlier checks", r_.log.checks);
}

std::string Teller::seating() const {
  const std::string size = length(r_.bench.sizes.seating_mm, 3);
  switch (r_.seating) {
    case From::given:
      return size + ", as given";
    case From::log:
      return fmt::format("{}, {}; that assumes that the panel seats as it did then", size, log_words());
    default:
      return size + ", the usual size: ASSUMED. If yours seats worse, this plan is too hopeful";
  }
}

std::string Teller::basis() const {
  const auto& bench = r_.bench;
  const auto unit = options_.unit;
  std::string text = "What it rests on\n";
  text += fmt::format(
      "- A panel of {} x {}{}; {} places a strip, {} a place, {}.\n", size_text(bench.panel.width_mm, unit),
      size_text(bench.panel.depth_mm, unit), r_.panel_assumed ? " (none was named)" : "", bench.spots,
      bench.readings == 1 ? std::string("one reading") : fmt::format("{} readings", bench.readings),
      bench.apart_mm ? fmt::format("the outer ones {} apart", size_text(*bench.apart_mm, unit))
                     : fmt::format("the outer ones {} from the ends", size_text(check::kFromEndMm, unit)));
  text += fmt::format("- One reading: {}, {}{}.\n", length(bench.sizes.reading_mm, 3),
                      r_.reading == From::log       ? log_words() + " and the caliper"
                      : r_.reading == From::assumed ? std::string("a usual size, as this caliper states none")
                                                    : "caliper " + units::inert(bench.caliper->name),
                      r_.caliper_assumed ? " (none was named)" : "");
  text += r_.saw_marks == From::nothing
              ? std::string("- Saw marks: not known, none are counted.\n")
              : fmt::format("- Saw marks, a place: {}, {}.\n", length(bench.sizes.saw_marks_mm, 3),
                            r_.saw_marks == From::given ? std::string("as given") : log_words());
  text += fmt::format("- Seating, a cut: {}.\n", seating());
  text += fmt::format("- Fence {} {}{}.\n", bench.options.bar_length_mm ? "bar" : "dogs",
                      size_text(r_.span_mm, unit) + (bench.options.bar_length_mm ? " long" : " apart"),
                      r_.span_assumed ? ", which is taken since nothing is known of them" : "");
  text += fmt::format("- Time: a five-cut {}, each two more cuts {}. Each test prints its own ±",
                      minutes_text(check::kMinutesFiveCut), minutes_text(check::kMinutesTwoCuts));
  const Row& named = r_.plan.rows[r_.plan.cheapest.value_or(0)];
  if (!named.unknown) {
    const std::string low = half_width_amount(mm(named.half_width_low), unit),
                      high = half_width_amount(mm(named.half_width_high), unit);
    if (low != high)
      text += fmt::format("; with {}, 8 of 10 lie from {} to {}", design_words(named.design), low, high);
  }
  text += ".\n";
  for (const auto& finding : r_.findings) text += "- " + finding_text(finding, unit) + "\n";
  return text;
}

/// The shown designs that do see it.
std::string Teller::seen_by(const char* code) const {
  std::string names;
  for (std::size_t i = 0; i < r_.plan.rows.size(); ++i) {
    const Row& row = r_.plan.rows[i];
    if (!shown(i) || std::ranges::find(row.unseen, code) != row.unseen.end()) continue;
    names += (names.empty() ? "" : "; ") + design_words(row.design);
  }
  return names;
}

std::string Teller::unseen() const {
  std::set<std::string> codes;
  for (const Row& row : r_.plan.rows) codes.insert(row.unseen.begin(), row.unseen.end());
  std::string text = "What it cannot see\n";
  if (codes.contains("seating-unseen")) text += "- One strip (5 cuts) does not show how the panel seats.\n";
  if (codes.contains(plan::kEndsUnseen)) text += "- Nor does it show that its two ends were swapped.\n";
  if (codes.contains("saw-marks-unseen"))
    text += "- Two places a strip do not show saw marks; 'plan --spots 3' counts on a third, half way.\n";
  if (codes.contains("slips-not-seen")) {
    const std::string seen = seen_by("slips-not-seen");
    text += "- A single slipped cut is seen " +
            (seen.empty() ? std::string("by none of these") : "only by: " + seen) + ".\n";
  }
  text +=
      "- No test of strips tells the near from the far dog, or rail from fence; chips that lie at one dog in "
      "every "
      "cut and a bowed rail count as part of the error.\n";
  return text;
}

}  // namespace

std::string plan_line(const Result& result, const TextOptions& options) {
  return Teller(result, options).line();
}

std::string plan_text(const Result& result, const TextOptions& options) {
  const Teller teller(result, options);
  return finished(teller.answer() + "\n" + teller.table() + teller.legend() + "\n" + teller.basis() + "\n" +
                      teller.unseen() + "\n" + kPlanCare,
                  options);
}

}  // namespace quarterturn::report
