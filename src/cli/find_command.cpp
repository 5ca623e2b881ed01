// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>

#include "app/find_step.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/find_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/number.hpp"

namespace quarterturn::cli {
namespace {

std::vector<std::string> test_codes() {
  std::vector<std::string> codes;
  for (const auto& row : history::test_rows()) {
    if (row.answered) codes.emplace_back(row.code);
  }
  return codes;
}

/// `paper-near=yes:0.20`
void take_answer(const std::string& typed, units::Unit unit, history::Answers& answers) {
  const auto bad = [&](const std::string& value, const std::string& must, const std::string& hint) {
    return units::InputError("--answer", value, must, {}, hint);
  };
  const auto equals = typed.find('=');
  const std::string code = typed.substr(0, equals);
  const auto* row = history::find_test_row(code);
  if (row == nullptr || !row->answered) {
    const std::string near = units::did_you_mean(code, test_codes());
    throw bad(code, units::one_of(test_codes()), near);
  }
  const std::string rest = equals == std::string::npos ? "" : typed.substr(equals + 1);
  const auto colon = rest.find(':');
  const std::string word = rest.substr(0, colon);
  if (word != "yes" && word != "no")
    throw bad(typed, "a test and yes or no, such as " + code + "=no", "yes: the test found what it asks for");
  history::Answer answer{word == "yes"};
  if (colon != std::string::npos) {
    if (row->amount.empty() || !answer.found)
      throw bad(typed, code + "=yes or " + code + "=no", "this answer has no amount");
    answer.mm = units::parse_length(rest.substr(colon + 1), "--answer", unit).mm();
    if (!(*answer.mm > 0) || *answer.mm > 10)
      throw bad(typed, "an amount above 0, at most 10 mm", std::string(row->amount));
  }
  if (!answers.emplace(code, answer).second)
    throw bad(typed, "one answer a test", "'" + code + "' was answered before");
}

}  // namespace

Said find_command(const Context& context, const Parsed& parsed) {
  const auto options = text_options(context, parsed, units::Unit::mm);
  const Opened opened = open_station(context, parsed.value("--station").value_or(""));
  app::FindRequest request;
  request.station = opened.store->find(opened.name);
  request.setup = parsed.value("--setup").value_or("");
  request.confidence = confidence_of(parsed);
  if (parsed.has("--by") && !parsed.has("--note"))
    throw UsageError("--by is given without --note: it says who notes a cause.");
  for (const auto& typed : parsed.values("--answer")) take_answer(typed, options.unit, request.answers);
  const auto search = app::find_step(*context.log, request);
  auto shown = options;
  if (!parsed.has("--unit")) shown.unit = search.unit;
  if (const auto cause = parsed.value("--note")) {
    std::vector<std::string> codes;
    for (const auto& row : history::cause_rows()) codes.emplace_back(row.code);
    if (std::ranges::find(codes, *cause) == codes.end())
      throw units::InputError("--note", *cause, units::one_of(codes), {}, units::did_you_mean(*cause, codes));
    const auto id =
        app::note_cause(*context.log, search, *cause, parsed.value("--by").value_or(""), context.now_utc);
    const std::string noted =
        fmt::format("Cause noted ({}): {}. {}\n", id.substr(0, 8), history::cause_row(*cause).words,
                    search.now_within ? "The next check is due in 30 days."
                                      : "Put it right, then prove it with five cuts: 'check'.");
    if (parsed.has("--json")) return {report::find_json(search), noted};
    return {report::finished(noted, shown), ""};
  }
  return {parsed.has("--json") ? report::find_json(search) : report::find_text(search, shown), ""};
}

}  // namespace quarterturn::cli
