// SPDX-License-Identifier: MIT
#include "report/check_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "files/sha256.hpp"
#include "report/amounts.hpp"
#include "report/budget_cells.hpp"
#include "report/care.hpp"
#include "report/page.hpp"
#include "report/pictures.hpp"
#include "report/readings_table.hpp"
#include "report/words.hpp"
#include "station/station.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

/// `OUTSIDE (provisional)` and the sentence behind it.
struct Split {
  std::string verdict, corner;
};
Split split(const std::string& sentence, bool verdict) {
  const std::size_t at = verdict ? sentence.find(": ") : std::string::npos;
  Split parts{at == std::string::npos ? "" : sentence.substr(0, at),
              at == std::string::npos ? sentence : sentence.substr(at + 2)};
  if (!parts.corner.empty() && parts.corner[0] >= 'a' && parts.corner[0] <= 'z')
    parts.corner[0] = static_cast<char>(parts.corner[0] - 'a' + 'A');
  return parts;
}

class Article {
 public:
  Article(Markup& page, const CheckShown& shown, std::size_t number)
      : page_(page),
        shown_(shown),
        outcome_(shown.outcome),
        options_{.unit = shown.unit, .plain = true},
        id_(fmt::format("c{}", number)),
        rail_(shown.outcome.check.test == check::TestKind::rail) {}
  void write(const std::string& made_on);

 private:
  void section(const char* title, const std::string& text);
  void answer();
  void later();
  void pictures();
  void picture(const Drawing& drawing, const char* title);
  void strips();
  void readings();
  void circumstances();
  void trace(const std::string& made_on);

  Markup& page_;
  const CheckShown& shown_;
  const correct::Outcome& outcome_;
  TextOptions options_;
  std::string id_;
  bool rail_;
};

void Article::section(const char* title, const std::string& text) {
  if (text.empty()) return;
  page_.element("h2", title);
  paragraphs(page_, text);
}

/// Of a check that is not the last of its setup: what it advised may long be done.
void Article::later() {
  if (!shown_.record) return;
  const auto& names = shown_.record->entry_names;
  std::size_t own = 0;
  while (own < names.size() && names.id(own) != shown_.log_id) ++own;
  if (shown_.log_id.empty() || own + 1 >= names.size()) return;
  const std::size_t after = names.size() - own - 1;
  const auto last = names.back();
  page_.element(
      "p",
      fmt::format("What follows was told on {}. {} of this setup came after it: {}{}, {}. Look there "
                  "before you move anything.",
                  outcome_.check.date.substr(0, 10),
                  after == 1 ? std::string("A check") : fmt::format("{} checks", after),
                  after == 1 ? "" : "the last is ", units::inert(last.name), last.date.substr(0, 10)),
      {{"class", "later"}});
}

void Article::answer() {
  if (!shown_.lines.withdrawn.empty()) {
    page_.element("p", "WITHDRAWN, it counts no more: " + shown_.lines.withdrawn, {{"class", "withdrawn"}});
  }
  if (rail_) {
    const std::string text = rail_test_text(outcome_, options_);
    const std::size_t end = text.find('\n');
    page_.open("p", {{"class", "answer"}})
        .element("span", text.substr(0, end), {{"class", "corner"}})
        .close();
    page_.open("div", {{"class", "advice"}});
    paragraphs(page_, end == std::string::npos ? "" : text.substr(end));
    page_.close();
    return;
  }
  const auto parts = split(answer_sentence(outcome_, options_), outcome_.verdict.has_value());
  const std::string kind =
      outcome_.verdict ? std::string("answer ") + check::answer_word(outcome_.verdict->setup) : "answer";
  page_.open("p", {{"class", kind}});
  if (outcome_.verdict) {
    page_.open("strong", {{"class", "verdict"}});
    page_.element("span", verdict_sign(outcome_.verdict->setup), {{"aria-hidden", "true"}});
    page_.text(parts.verdict).close();
  }
  page_.element("span", unbroken(parts.corner), {{"class", "corner"}}).close();
  later();

  std::string advice = to_do_text(outcome_, options_, {.settles = shown_.settles});
  const std::size_t advised = advised_move(outcome_);
  if (outcome_.advice && advised < outcome_.advice->moves.size() &&
      outcome_.advice->decision.correct == correct::Correct::yes) {
    const std::string expect = expect_text(outcome_, advised, options_);
    if (!expect.empty()) advice += expect + "\n";
  }
  if (outcome_.pending) advice += after_move_text(*outcome_.pending, outcome_.check.strips.front(), options_);
  advice += noted_cause_text(outcome_, options_) + look_text(outcome_) + bow_text(outcome_, options_) +
            held_text(outcome_, options_);
  page_.open("div", {{"class", "advice"}});
  paragraphs(page_, advice);
  page_.close();
}

void Article::picture(const Drawing& drawing, const char* title) {
  page_.open("figure").element("h2", title);
  std::string id = id_;
  for (const char c : std::string_view(title)) id += c == ' ' ? '-' : c;
  page_.add(drawing.on_page(id)).close();
}

void Article::pictures() {
  page_.open("div", {{"class", "pictures"}});
  if (const auto interval = interval_picture(outcome_, shown_.unit)) picture(*interval, "The corner");
  if (const auto table = table_picture(outcome_, shown_.unit)) picture(*table, "The table");
  picture(strips_picture(outcome_, shown_.unit), rail_                   ? "The rail"
                                                 : outcome_.check.gaps() ? "Joints"
                                                                         : "Strips");
  if (shown_.record && shown_.record->entries.size() > 1)
    picture(history_picture(*shown_.record, shown_.unit, kPictureWidth, shown_.log_id), "The record");
  page_.close();
}

void Article::strips() {
  const bool gaps = outcome_.check.gaps();
  const bool several =
      std::ranges::any_of(outcome_.fit.tapers, [](const auto& taper) { return taper.panel > 1; });
  std::vector<Cells> rows;
  for (std::size_t j = 0; j < outcome_.fit.tapers.size(); ++j) {
    const auto& taper = outcome_.fit.tapers[j];
    const double corner = taper.corner_rad();
    Cells row;
    if (several && !gaps) row.push_back(std::to_string(taper.panel));
    row.push_back(check::strip_name(outcome_.check, outcome_.check.strips[j]));
    row.push_back(fmt::format("{} {} by {}", side_word(corner), nominal_words(outcome_),
                              plus_minus_text(std::abs(over_panel(outcome_, corner)),
                                              over_panel(outcome_, 2 * taper.corner_u_rad()), shown_.unit)));
    rows.push_back(std::move(row));
  }
  if (rows.empty()) return;
  page_.element("h2", gaps ? "Each joint's own answer" : "Each strip's own answer");
  const std::string caption =
      fmt::format("{}{}; ± twice the standard uncertainty of {}", over_words(outcome_, options_),
                  outcome_.check.form == check::Form::halves ? ", half of its board's own taper in it" : "",
                  gaps ? "readings and edges" : "readings and saw marks");
  table(page_, caption,
        gaps      ? Cells{"joint", "the corner"}
        : several ? Cells{"panel", "strip", "the corner"}
                  : Cells{"strip", "the corner"},
        rows, "short");
}

void Article::readings() {
  page_.element("h2", "All readings");
  readings_table(page_, outcome_.check, shown_.unit);
}

void Article::circumstances() {
  const auto& check = outcome_.check;
  page_.element("h2", "Circumstances").open("dl");
  const auto row = [this](const char* name, const std::string& value) {
    if (!value.empty()) page_.element("dt", name).element("dd", value);
  };
  row("test", heading_text(outcome_, options_));
  row("done by", check.by);
  row("measured", check.measured);
  if (check.caliper) {
    const auto& caliper = *check.caliper;
    row(check.gaps() ? "feeler" : "caliper",
        fmt::format("{}{}, resolution {}{}", units::inert(caliper.name),
                    check.caliper_id.empty() ? "" : " (" + units::inert(check.caliper_id) + ")",
                    length_text(caliper.resolution_mm, shown_.unit, 3),
                    caliper.repeatability_mm > 0
                        ? ", one reading repeats to " + length_text(caliper.repeatability_mm, shown_.unit, 3)
                        : ""));
  }
  row("rail", check.rail);
  row("blade", check.blade);
  row("note", check.note);
  page_.close();
}

void Article::trace(const std::string& made_on) {
  page_.element("h2", "Where this comes from").open("dl", {{"class", "keep"}});
  const auto row = [this](const char* name, const std::string& value, bool code = false) {
    if (value.empty()) return;
    page_.element("dt", name).open("dd");
    if (code)
      page_.element("code", value);
    else
      page_.text(value);
    page_.close();
  };
  row("report made", made_on + " by quarterturn " QUARTERTURN_VERSION);
  row("kept result by", shown_.program.empty() ? "" : "quarterturn " + shown_.program);
  row(shown_.log_id.empty() ? "file" : "check", shown_.name);
  row("log id", shown_.log_id.empty() ? "none: this check is not in the log" : shown_.log_id,
      !shown_.log_id.empty());
  row("SHA-256", files::sha256(shown_.readings), true);
  page_.close();
  page_.element("p",
                "The checksum is of the readings file that 'quarterturn report' writes with --format csv: "
                "whoever has the readings can compute it again.");
}

void Article::write(const std::string& made_on) {
  page_.open("article");
  page_.element("h1",
                shown_.name + (outcome_.check.date.empty() ? "" : ", " + when_words(outcome_.check.date)));
  answer();
  pictures();
  if (!rail_) {
    section("How sure", sure_words(outcome_, options_) + chances_text(outcome_, options_));
    section("To look at", findings_text(outcome_, options_, true));
    const auto budget = check::budget_of(outcome_.fit);
    page_.element("h2", "Uncertainty budget");
    std::vector<Cells> rows;
    for (const auto& c : budget_cells(budget, outcome_, shown_.unit))
      rows.push_back({c.source, c.u, c.type, c.dof, c.times, c.adds, c.share});
    table(page_, budget_head(outcome_, options_), {"source", "u", "type", "df", "times", "adds", "share"},
          rows);
    paragraphs(page_, budget_notes(budget, outcome_, options_));
    strips();
  }
  readings();
  circumstances();
  if (!shown_.lines.events.empty()) {
    page_.element("h2", "Events");
    bullets(page_, shown_.lines.events);
  }
  if (!shown_.lines.kept.empty()) {
    page_.element("h2", "In the log");
    bullets(page_, shown_.lines.kept);
  }
  care_section(page_, shown_.unit);
  section("Method", check_method_text(outcome_.check));
  trace(made_on);
  page_.close();
}

}  // namespace

const char* verdict_sign(check::Answer answer) {
  using check::Answer;
  return answer == Answer::within ? "✓ " : answer == Answer::outside ? "✗ " : "? ";
}

std::string sure_words(const correct::Outcome& outcome, const TextOptions& options) {
  const std::string text = how_sure_text(outcome, options), lead = "How sure: m";
  return text.starts_with(lead) ? "M" + text.substr(lead.size()) : text;
}

std::string check_page(const std::vector<CheckShown>& checks, const std::string& made_on) {
  Markup body;
  std::string title;
  body.open("main");
  for (std::size_t k = 0; k < checks.size(); ++k) {
    Article(body, checks[k], k + 1).write(made_on);
    title += (title.empty() ? "" : ", ") + checks[k].name;
  }
  body.close();
  return page_of("quarterturn: " + title, "report", body);
}

}  // namespace quarterturn::report
