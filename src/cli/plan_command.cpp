// SPDX-License-Identifier: MIT
#include <algorithm>

#include "app/keep_check.hpp"
#include "app/kept_move.hpp"
#include "app/known_checks.hpp"
#include "app/run_plan.hpp"
#include "app/settle_check.hpp"
#include "cli/commands.hpp"
#include "files/readings_file.hpp"
#include "report/plan_report.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kMostSpots = 9, kMostReadings = 20, kFewestCuts = 5, kMostCutsAsked = 100;
constexpr double kMostScatterMm = 1.0;

/// What describes a test that nobody has made yet.
const std::vector<std::string>& of_a_new_test() {
  static const std::vector<std::string> names{"--spots",   "--readings",  "--apart", "--fence-baseline",
                                              "--seating", "--saw-marks", "--share"};
  return names;
}

double share_in(const std::string& text, const std::string& option, double lowest, double highest,
                const std::string& must_be) {
  const double share = units::parse_number(text, option).value;
  if (!(share >= lowest && share <= highest))
    throw UsageError(option + " is '" + units::inert(text) + "', but must be " + must_be + ".");
  return share;
}

double chance_of(const Parsed& parsed) {
  const auto text = parsed.value("--chance");
  return text ? share_in(*text, "--chance", 0.5, 0.99, "a share from 0.5 to 0.99") : 0.8;
}

int most_cuts_of(const Parsed& parsed) {
  const auto text = parsed.value("--most-cuts");
  return text ? units::parse_whole(*text, "--most-cuts", kFewestCuts, kMostCutsAsked) : app::kMostCuts;
}

std::optional<double> scatter_of(const Parsed& parsed, const std::string& option, units::Unit unit,
                                 bool zero) {
  const auto text = parsed.value(option);
  if (!text) return std::nullopt;
  const double mm = units::parse_length(*text, option, unit).mm();
  if (!(mm <= kMostScatterMm) || mm < 0 || (mm == 0 && !zero)) {
    throw units::InputError(option, *text,
                            zero ? "a length from 0 to 1 mm" : "a length above 0, at most 1 mm", {},
                            "one standard deviation; a usual seating is 0.02 mm");
  }
  return mm;
}

/// A share of what is allowed: below it one that should be found within, above it one outside.
void take_shares(const Parsed& parsed, app::PlanRequest& request) {
  bool within = false, outside = false;
  for (const auto& text : parsed.values("--share")) {
    const double share = share_in(text, "--share", 0, 20, "from 0 to 20 times what is allowed, and not 1");
    if (share == 1)
      throw UsageError(
          "--share is 1, but must be below or above 1. Hint: no number of cuts settles an error that is just "
          "what is allowed.");
    bool& given = share < 1 ? within : outside;
    if (given)
      throw UsageError("--share is given twice " + std::string(share < 1 ? "below" : "above") +
                       " 1, but must be given once on either side.");
    given = true;
    (share < 1 ? request.share_within : request.share_outside) = share;
  }
}

/// The station named, in use, or the only one; none when options describe the table.
std::optional<station::Station> station_of(const Context& context, const Parsed& parsed) {
  const bool named = parsed.has("--station") || !context.station.empty();
  if (named && parsed.has("--fence-baseline"))
    throw UsageError("--station knows how far the fence dogs stand apart: leave out --fence-baseline.");
  if (!named && (parsed.has("--fence-baseline") || context.store->list().size() != 1)) {
    if (parsed.has("--setup")) throw UsageError("--setup is given, but must go with --station.");
    return std::nullopt;
  }
  const auto opened = open_station(context, parsed.value("--station").value_or(""));
  return opened.store->find(opened.name);
}

app::PlanRequest plan_request(const Context& context, const Parsed& parsed, units::Unit unit) {
  app::PlanRequest request;
  request.unit = unit;
  request.station = station_of(context, parsed);
  request.setup = parsed.value("--setup").value_or("");
  if (const auto text = parsed.value("--tolerance")) request.tolerance = units::parse_tolerance(*text, unit);
  if (const auto text = parsed.value("--panel")) request.panel = files::parse_panel_size(*text, unit);
  if (const auto text = parsed.value("--caliper")) request.caliper = files::parse_caliper(*text, unit);
  if (const auto text = parsed.value("--spots"))
    request.spots = units::parse_whole(*text, "--spots", 2, kMostSpots);
  if (const auto text = parsed.value("--readings"))
    request.readings = units::parse_whole(*text, "--readings", 1, kMostReadings);
  if (const auto text = parsed.value("--apart"))
    request.apart_mm = units::parse_length(*text, "--apart", unit).mm();
  if (const auto text = parsed.value("--fence-baseline"))
    request.fence_baseline_mm = units::parse_length(*text, "--fence-baseline", unit).mm();
  request.seating_mm = scatter_of(parsed, "--seating", unit, false);
  request.saw_marks_mm = scatter_of(parsed, "--saw-marks", unit, true);
  take_shares(parsed, request);
  request.chance = chance_of(parsed);
  request.most_cuts = most_cuts_of(parsed);
  request.confidence = confidence_of(parsed);
  request.strict = parsed.has("--strict");
  request.use_assumed = !parsed.has("--no-assumed");
  if (request.station && !parsed.has("--no-log"))
    request.earlier = app::earlier_of(*context.log, *request.station, request.setup, context.now_utc);
  return request;
}

/// What bare numbers on the command line mean, whatever the readings are in.
units::Unit typed_unit(const Context& context, const Parsed& parsed) {
  return text_options(context, parsed, units::Unit::mm).unit;
}

/// `dock/3`: a name without a dot or a further slash, and a number.
bool names_a_check(const std::string& text) {
  const auto slash = text.rfind('/');
  return slash != std::string::npos && slash > 0 && slash + 1 < text.size() &&
         text.find_first_not_of("0123456789", slash + 1) == std::string::npos && !is_there(text);
}

/// The check to settle, with what the log knows before it.
app::CheckRequest check_to_settle(const Context& context, const Parsed& parsed, const std::string& what,
                                  Said& said, std::string& name) {
  if (names_a_check(what)) {
    for (const char* option : {"--station", "--setup"}) {
      if (parsed.has(option))
        throw UsageError(std::string(option) + " is given, but a kept check knows its own: leave it out.");
    }
    const auto kept = context.log->check(what);
    auto request = app::request_of(*context.log, kept.latest);
    request.confidence = confidence_of(parsed);
    request.strict = request.strict || parsed.has("--strict");
    request.use_assumed = !parsed.has("--no-assumed");
    const auto unit = typed_unit(context, parsed);
    if (const auto text = parsed.value("--tolerance"))
      request.tolerance = units::parse_tolerance(*text, unit);
    if (const auto text = parsed.value("--caliper"))
      request.check.caliper = files::parse_caliper(*text, unit);
    if (!parsed.has("--no-log")) {
      app::hold_to_go_on(request, *context.log, context.now_utc, &kept);
      app::inform(request, *context.log, context.now_utc, kept.made.id);
      app::find_pending(request, *context.log, context.now_utc);
    }
    name = app::name_of(*context.log, kept);
    return request;
  }
  Parsed file = parsed;
  file.arguments = {what};
  file.options.erase("--panel");
  auto request = request_of(context, file, said);
  if (!parsed.has("--no-log")) {
    app::inform(request, *context.log, context.now_utc);
    app::hold_to_go_on(request, *context.log, context.now_utc);
    app::find_pending(request, *context.log, context.now_utc);
  }
  return request;
}

Said settle(const Context& context, const Parsed& parsed, const std::string& what) {
  for (const auto& option : of_a_new_test()) {
    if (parsed.has(option))
      throw UsageError(
          option +
          " is about a test that is not made yet: leave it out with --settle, which goes by the readings.");
  }
  Said said;
  std::string name;
  auto request = check_to_settle(context, parsed, what, said, name);
  const auto options = text_options(context, parsed, request.check.unit);
  try {
    auto outcome = app::run_check(request);
    // The check has told its mm by now: a panel that is named here says what is left of it, and no more.
    if (const auto text = parsed.value("--panel"))
      outcome.check.panel_size = files::parse_panel_size(*text, typed_unit(context, parsed));
    auto settling = app::settle_check(request, outcome, chance_of(parsed), most_cuts_of(parsed));
    settling.check = name;
    said.out = parsed.has("--json") ? report::settle_json(settling) : report::settle_text(settling, options);
  } catch (const check::NoInterval& arithmetic) {
    said.err += report::no_interval_text(arithmetic, request.check, options);
    said.status = kBadInput;
  }
  return said;
}

}  // namespace

std::string plan_why(const Context& context, const Parsed& parsed) {
  if (parsed.has("--settle")) return settle(context, parsed, *parsed.value("--settle")).out;
  const auto options = text_options(context, parsed, units::Unit::mm);
  return report::plan_why_text(app::run_plan(plan_request(context, parsed, options.unit)), options);
}

Said plan_command(const Context& context, const Parsed& parsed) {
  if (const auto what = parsed.value("--settle")) return settle(context, parsed, *what);
  const auto options = text_options(context, parsed, units::Unit::mm);
  const auto result = app::run_plan(plan_request(context, parsed, options.unit));
  return {parsed.has("--json") ? report::plan_json(result) : report::plan_text(result, options), ""};
}

}  // namespace quarterturn::cli
