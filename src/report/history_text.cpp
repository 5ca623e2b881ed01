// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "files/dates.hpp"
#include "report/amounts.hpp"
#include "report/history_report.hpp"
#include "report/ink.hpp"
#include "report/words.hpp"
#include "stats/distributions.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

using history::Change;
using history::Record;

constexpr double kYear = 365.25;
constexpr double kLevel = 0.05;
constexpr double kBenchMm = 0.01;  // over the panel

struct ReasonRow {
  const char* code;
  const char* words;
};
constexpr std::array<ReasonRow, 11> kReasons{{
    {history::reason::kNoChecks, "there is no check with readings yet"},
    {history::reason::kOneCheck,
     "one check, alone or since something changed, tells nothing of it; a second one tells"},
    {history::reason::kTwoChecks, "two checks cannot tell; from the third on they do"},
    {history::reason::kOneDay, "all checks are of one week"},
    {history::reason::kFewChecks, "too few checks; from the sixth on they tell"},
    {history::reason::kFewSinceStep, "too few checks since the step; from the sixth on they tell"},
    {history::reason::kNoTolerance, "no tolerance is stated"},
    {history::reason::kNotInserted, "the dogs were never put in anew between two checks of this record"},
    {history::reason::kNotWithinAYear, "not within a year, as it goes now"},
    {history::reason::kPanelsScatter,
     "any panel may, with a chance over 5 %: how panels seat decides that, not the date"},
    {history::reason::kOutsideNow, "the setup is outside now"},
}};

std::string day_words(double day) {
  return files::day_text(static_cast<std::int64_t>(std::floor(day)) * 86400);
}

std::string p_words(double p) {
  return p < 0.001 ? "p under 0.001" : fmt::format("p {:.3f}", p);
}

class Teller {
 public:
  Teller(const Record& record, const TextOptions& options) : record_(record), options_(options) {}

  [[nodiscard]] double over(double rad) const { return report::over_panel(record_.panel_mm, rad); }
  [[nodiscard]] std::string over_panel() const {
    return "over " + size_text(record_.panel_mm, options_.unit);
  }
  /// `0.17 ± 0.04 mm over 600 mm`, without a sign.
  [[nodiscard]] std::string size(const check::Estimate& estimate, double times = 1) const {
    return plus_minus_text(std::fabs(over(estimate.x * times)), over(estimate.half_width * times),
                           options_.unit) +
           " " + over_panel();
  }
  /// `over 90° by …`
  [[nodiscard]] std::string level(const check::Estimate& estimate) const {
    return std::string(side_word(estimate.x)) + " 90° by " + size(estimate);
  }
  [[nodiscard]] std::string check_at(std::size_t entry) const {
    const auto named = record_.entry_names[entry];
    return named.date + " (" + units::inert(named.name) + ")";
  }
  [[nodiscard]] const char* opens(double rad) const {
    if (std::fabs(over(rad)) < kBenchMm / 2) return "moved";
    return rad > 0 ? "opened" : "closed";
  }

  [[nodiscard]] std::string answer() const;
  [[nodiscard]] std::string due() const;
  [[nodiscard]] std::string evidence() const;
  [[nodiscard]] std::string not_told() const;

 private:
  [[nodiscard]] std::string few() const;
  /// What happened after the last check.
  [[nodiscard]] std::string since() const;
  [[nodiscard]] std::string step() const;
  [[nodiscard]] std::string trend() const;

  const Record& record_;
  const TextOptions& options_;
};

std::string Teller::few() const {
  const auto& h = record_.history;
  if (h.checks == 0) return "There is no check with readings yet, only old results.\n";
  if (h.checks >= 2) {
    const bool beyond = h.since_last_p < kLevel;
    const auto& last = h.since_last;
    return fmt::format("The corner has {} by {} since the check before: {}.\n", opens(last.x), size(last),
                       beyond ? "not chance" : "no more than the two leave open");
  }
  return "One check tells nothing of how it moves; a second one tells. It is " + level(h.level) + ".\n";
}

std::string Teller::step() const {
  const auto& step = record_.history.step;
  std::string text = fmt::format("It took a step: the corner {} by {}, between {} and {}", opens(step.size.x),
                                 size(step.size), day_words(step.after), day_words(step.before));
  if (step.event) text += fmt::format(", where '{}' lies", record_.event_names[*step.event].name);
  return text + ".\n";
}

std::string Teller::trend() const {
  const auto& trend = record_.history.trend.per_day;
  return fmt::format("It drifts: the corner {} by {} a year.\n", trend.x > 0 ? "opens" : "closes",
                     size(trend, kYear));
}

std::string Teller::answer() const {
  const auto& h = record_.history;
  std::string text;
  const bool shows = [&] {  // what is smaller than the bench can measure is no news
    const double size = h.change == Change::step ? h.step.size.x : h.trend.per_day.x * kYear;
    return std::fabs(over(size)) >= kBenchMm ||
           (h.change == Change::not_told_apart && std::fabs(over(h.step.size.x)) >= kBenchMm);
  }();
  switch (h.change == Change::unknown || shows ? h.change : Change::none) {
    case Change::unknown:
      text = few();
      break;
    case Change::none:
      text = h.constancy.p < kLevel && !h.constancy.unknown
                 ? fmt::format(
                       "It goes to and fro by more than the ± of its {} checks lets expect, without a drift "
                       "or a "
                       "step: {} in the mean. 'find' looks for the cause.\n",
                       h.series.size(), level(h.level))
                 : fmt::format("It stands still, as far as {} checks can tell: {}.\n", h.series.size(),
                               level(h.level));
      if (h.level_outside) text += "That is outside what is allowed.\n";
      break;
    case Change::step:
      text = step();
      break;
    case Change::trend:
      text = trend();
      break;
    case Change::not_told_apart:
      text = fmt::format(
          "It moved, but a step and a drift cannot be told apart yet: a step of {} about {}, or {} a year.\n",
          size(h.step.size), day_words(h.step.after), size(h.trend.per_day, kYear));
      break;
  }
  return fmt::format("{}, {}: ", units::inert(record_.station), units::inert(record_.setup)) + since() + text;
}

std::string Teller::since() const {
  const auto& due = record_.history.due;
  if (!due || !due->event) return "";
  std::string happened;
  for (std::size_t e = *due->event; e < record_.events.size(); ++e) {
    if (record_.events[e].kind == history::kCauseNoted) continue;
    const auto& named = record_.event_names[e];
    happened += (happened.empty() ? "" : ", ") + named.name + " " + named.date;
  }
  return fmt::format(
      "Since the last check: {}.{} ", happened,
      due->stands_otherwise ? " The checks before it tell nothing of how it stands now; until then:" : "");
}

std::string Teller::due() const {
  const auto& h = record_.history;
  std::string text;
  std::size_t last = record_.entries.size();
  while (last > 0 && record_.entries[last - 1].hollow) --last;
  if (last == 0) return text;
  const auto& entry = record_.entries[last - 1];
  text = fmt::format(
      "Last check {}: {} 90° by {} {}", check_at(last - 1), side_word(entry.eta),
      plus_minus_text(std::fabs(over(entry.eta)),
                      over(entry.u * stats::t_quantile(0.5 * (1 + record_.settings.confidence), entry.dof)),
                      options_.unit),
      over_panel());
  if (h.last_answer) {
    const bool within = *h.last_answer == check::Answer::within;
    const bool outside = *h.last_answer == check::Answer::outside;
    text += ", " + inked(within    ? "WITHIN"
                         : outside ? "OUTSIDE"
                                   : "CANNOT TELL",
                         within    ? Ink::within
                         : outside ? Ink::outside
                                   : Ink::doubt,
                         options_.color);
    if (entry.provisional) text += " (provisional)";
  }
  text += ".\n";
  if (h.last_answer == check::Answer::outside || h.level_outside) {
    text += h.last_good ? fmt::format("Last good {}: panels cut since may be out.\n", check_at(*h.last_good))
                        : std::string("No check of this record was within.\n");
  }
  if (!h.due) return text;
  if (h.due->by == history::DueBy::outside) {
    return text + (h.due->cause
                       ? fmt::format("A cause was noted on {}: put it right, then prove it with a check.\n",
                                     record_.event_names[*h.due->cause].date)
                       : std::string("It is outside: 'find' looks for the cause; check again after "
                                     "anything that was moved.\n"));
  }
  const bool over_due = h.due->date <= record_.today;
  const char* why = "the usual interval";
  switch (h.due->by) {
    case history::DueBy::interval:
      break;
    case history::DueBy::event:
      why = "something happened since the last check";
      break;
    case history::DueBy::cause:
      why = "a cause was noted";
      break;
    case history::DueBy::tolerance:
      why = "about then a panel leaves the tolerance with a chance of 5 %";
      break;
    case history::DueBy::outside:
      break;
  }
  return text + fmt::format("{} {}: {}.\n", over_due ? "Was due" : "Next due", day_words(h.due->date), why);
}

std::string Teller::evidence() const {
  const auto& h = record_.history;
  std::string text;
  const int before = h.checks - static_cast<int>(h.series.size());
  if (before > 0 && !h.series.empty()) {
    text += fmt::format("- {}; {} before something that changed how it stands.\n",
                        h.series.size() == 1 ? "Only " + check_at(h.series.front()) + " counts here"
                                             : fmt::format("The checks since {} belong together ({})",
                                                           check_at(h.series.front()), h.series.size()),
                        before == 1 ? "1 lies" : fmt::format("{} lie", before));
  }
  if (!h.constancy.unknown) {
    text += fmt::format("- Alike? They scatter {} (Cochran's Q {:.1f} on {:.0f}, {}).\n",
                        h.constancy.p < kLevel ? "more than their ± lets expect" : "as their ± lets expect",
                        h.constancy.q, h.constancy.dof, p_words(h.constancy.p));
  }
  if (!h.scatter.unknown) {
    const auto mm = [&](double rad) { return length_text(over(rad), options_.unit); };
    text += fmt::format(
        "- Between checks, beyond their ±, whatever the cause: {} (one standard deviation; {} to {}).\n",
        mm(h.scatter.sd), mm(h.scatter.low),
        std::isfinite(h.scatter.high) ? mm(h.scatter.high) : "no upper end");
  }
  if (!h.trend.per_day.unknown) {
    text += fmt::format("- Drift: the corner {} by {} a year{}, {}.\n",
                        h.trend.per_day.x > 0 ? "opens" : "closes", size(h.trend.per_day, kYear),
                        h.trend.known_u_only ? " (two results: nothing known of what lies between)" : "",
                        p_words(h.trend.p));
  }
  if (!h.step.unknown) {
    text +=
        fmt::format("- Likeliest step: {} by {} between {} and {}, {}.\n", opens(h.step.size.x),
                    size(h.step.size), day_words(h.step.after), day_words(h.step.before), p_words(h.step.p));
  }
  if (h.change == Change::step || h.change == Change::trend) {
    text += fmt::format("- Of these the {} explains the checks better (odds over {:.0f} to 1).\n",
                        h.change == Change::step ? "step" : "drift",
                        std::floor(std::min(999.0, std::exp(std::fabs(h.log_odds)))));
  }
  if (h.alarm_since) {
    text += fmt::format("- Chart: the checks lie apart from those before since {}.\n",
                        check_at(h.series[std::min(*h.alarm_since, h.series.size() - 1)]));
  } else if (h.series.size() >= 9) {
    text += "- Chart: no alarm.\n";
  }
  for (const auto& at : h.at_events) {
    if (at.size.unknown || at.before == 0 || at.after == 0) continue;
    const auto& named = record_.event_names[at.event];
    text += fmt::format(
        "- After '{}' of {}, the {}: {} by {}, {}{}.\n", named.name, named.date,
        at.before + at.after > 2 ? "checks around it taken together" : "check before and the next",
        opens(at.size.x), size(at.size), p_words(at.p),
        at.shared ? "; shared with another event, never to be told apart" : "");
  }
  if (!h.play.unknown) {
    text += fmt::format("- Play of the dogs, one insertion to the next: {} (one standard deviation).\n",
                        length_text(over(h.play.sd), options_.unit));
  }
  return text;
}

std::string Teller::not_told() const {
  const auto& h = record_.history;
  std::string text;
  const auto add = [&](const char* what, const std::optional<std::string>& reason) {
    if (reason) text += fmt::format("- {}: {}.\n", what, reason_words(*reason));
  };
  add("scatter between checks", h.scatter.unknown);
  add("a step", h.step.unknown);
  add("play of the dogs", h.play.unknown);
  if (h.due && !h.due->leaves_tolerance && !h.due->not_told.empty())
    text += fmt::format("- when a panel leaves the tolerance: {}.\n", reason_words(h.due->not_told));
  if (h.series.size() < 9) text += "- chart alarms: from the ninth check on.\n";
  if (record_.widened > 0) {
    text += fmt::format("- {} could not see seating; the usual 0.020 mm is assumed for {}.\n",
                        record_.widened == 1 ? "1 check" : fmt::format("{} checks", record_.widened),
                        record_.widened == 1 ? "it" : "them");
  }
  if (record_.no_side > 0) {
    text +=
        fmt::format("- {} without a side {} left out.\n",
                    record_.no_side == 1 ? "1 old result" : fmt::format("{} old results", record_.no_side),
                    record_.no_side == 1 ? "is" : "are");
  }
  return text;
}

}  // namespace

std::string reason_words(const std::string& reason) {
  for (const auto& row : kReasons) {
    if (reason == row.code) return row.words;
  }
  return reason;
}

HistoryWords history_words(const Record& record, const TextOptions& options) {
  const Teller teller(record, options);
  return {teller.answer(), teller.due(), teller.evidence(), teller.not_told()};
}

std::string history_text(const Record& record, const TextOptions& options) {
  const Teller teller(record, options);
  const std::string text = teller.answer() + teller.due();
  std::string out = finished(text, options) + "\n";
  const std::string plot =
      options.plain ? history_plot_words(record, options) : history_plot(record, options);
  if (!plot.empty()) out += (options.unicode ? plot : ascii(plot)) + "\n";
  const std::string evidence = teller.evidence();
  std::string rest;
  if (!evidence.empty()) rest += "What the checks say\n" + evidence;
  const std::string not_told = teller.not_told();
  if (!not_told.empty()) rest += "What they cannot say yet\n" + not_told;
  return out + finished(rest, options) + "\n";
}

}  // namespace quarterturn::report
