// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include "files/sha256.hpp"
#include "report/amounts.hpp"
#include "report/care.hpp"
#include "report/page.hpp"
#include "report/pictures.hpp"
#include "report/readings_table.hpp"
#include "report/sheets.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::report {
namespace {

std::string rule_words(const correct::Outcome& outcome, bool strict, units::Unit unit) {
  if (!outcome.verdict)
    return "No tolerance was stated: the sheet tells the corner and its ±, and no verdict.";
  const std::string limit = length_text(over_panel(outcome, outcome.verdict->tolerance_rad), unit) + " " +
                            over_words(outcome, {.unit = unit, .plain = true});
  if (strict)
    return "Within " + limit +
           " is said when the whole ± lies inside, outside when it lies outside; else it cannot be "
           "told.";
  return "Within " + limit +
         " is said when the chance that the corner lies inside is 95 % or more, outside at 5 % or "
         "less; else it cannot be told. A result that is within may so be outside with a chance of up to 5 "
         "%.";
}

std::string provisional_words(const correct::Outcome& outcome) {
  if (!outcome.verdict) return "";
  if (outcome.verdict->provisional)
    return "PROVISIONAL: how panels seat was not measured, a usual size is assumed. If yours seat worse the "
           "± is too "
           "small.";
  return "Not provisional: nothing in the ± is assumed.";
}

void blanks(Markup& page, const std::vector<const char*>& names) {
  page.open("div", {{"class", "fill"}});
  for (const char* name : names) page.open("span").text(name).element("i", "").close();
  page.close();
}

}  // namespace

std::string client_page(const CheckShown& shown, bool strict, const std::string& made_on) {
  const auto& outcome = shown.outcome;
  const TextOptions options{.unit = shown.unit, .plain = true};
  const bool rail = outcome.check.test == check::TestKind::rail;
  Markup page;
  const auto row = [&page](const char* name, const std::string& value) {
    if (!value.empty()) page.element("dt", name).element("dd", value);
  };
  page.open("main").element("h1", "Squareness of a cutting station");
  if (!shown.lines.withdrawn.empty())
    page.element("p", "WITHDRAWN, it counts no more: " + shown.lines.withdrawn, {{"class", "withdrawn"}});
  const std::string answer = rail ? rail_test_text(outcome, options) : answer_sentence(outcome, options);
  page.open("p",
            {{"class", outcome.verdict ? std::string("answer ") + check::answer_word(outcome.verdict->setup)
                                       : std::string("answer")}});
  const std::size_t end = answer.find('\n');
  page.open("span", {{"class", "corner"}});
  if (outcome.verdict && !rail)
    page.element("span", verdict_sign(outcome.verdict->setup), {{"aria-hidden", "true"}});
  page.text(unbroken(answer.substr(0, end))).close().close();
  if (rail)
    paragraphs(page, end == std::string::npos ? "" : answer.substr(end));
  else
    page.element("p", provisional_words(outcome));
  page.open("div", {{"class", "beside"}});
  if (const auto picture = interval_picture(outcome, shown.unit))
    page.open("figure").add(picture->on_page("interval")).close();
  page.open("div").element("h2", "Who, when, with what").open("dl");
  row("check", shown.name);
  row("tested", heading_text(outcome, options));
  row("by", outcome.check.by);
  if (outcome.check.caliper) {
    row(outcome.check.gaps() ? "feeler" : "caliper",
        units::inert(outcome.check.caliper->name) +
            (outcome.check.caliper_id.empty() ? "" : ", " + outcome.check.caliper_id) + ", resolution " +
            length_text(outcome.check.caliper->resolution_mm, shown.unit, 3));
  }
  row("last compared", shown.lines.compared);
  page.close().close().close();
  const bool gaps = outcome.check.gaps();
  if (outcome.check.by.empty())
    blanks(page, {"tested by", "for (client, job)"});
  else
    blanks(page, {"for (client, job)"});
  if (shown.lines.compared.empty())
    blanks(page, {gaps ? "feeler last compared on" : "caliper last compared on", "with", "it read"});
  page.element("h2", "Readings");
  readings_table(page, outcome.check, shown.unit);
  if (!rail) {
    page.element("h2", "How it is decided");
    page.element("p", unbroken(rule_words(outcome, strict, shown.unit)));
    paragraphs(page, chances_text(outcome, options));
    page.element(
        "p", fmt::format("The ± is at {} % confidence.",
                         fixed(100 * outcome.fit.eta.confidence, outcome.fit.eta.confidence > 0.99 ? 1 : 0)));
    page.element("h2", "How sure");
    paragraphs(page, sure_words(outcome, options));
  }
  page.open("div", {{"class", "keep"}});
  blanks(page, {"date", "signed"});
  page.element("p", kCertifiesNothing);
  page.element("p", fmt::format("Made {} by quarterturn {}. {}", made_on, QUARTERTURN_VERSION,
                                shown.log_id.empty() ? "Not in a log." : "Log id " + shown.log_id + "."));
  page.open("p").text("SHA-256 of the readings ").element("code", files::sha256(shown.readings)).close();
  page.close().close();
  return page_of("Client's sheet: " + shown.name, "sheet", page);
}

}  // namespace quarterturn::report
