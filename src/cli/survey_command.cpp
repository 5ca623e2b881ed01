// SPDX-License-Identifier: MIT
#include <algorithm>
#include <tuple>

#include "app/plan_survey.hpp"
#include "cli/commands.hpp"
#include "files/observation_cells.hpp"
#include "report/survey_report.hpp"
#include "report/survey_where.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kMostPairs = 1000, kMostNext = 50;
constexpr double kMostScatterMm = 2;
constexpr double kLeastReachMm = 20, kMostReachMm = 3000;

int count_of(const Parsed& parsed, const std::string& option, int usual, int most) {
  const auto text = parsed.value(option);
  return text ? units::parse_whole(*text, option, 0, most) : usual;
}

/// `C E-G` or `2 4-6` as numbers; the one or the other by `number_of`.
template <typename NumberOf>
std::vector<int> list_of(const Parsed& parsed, const std::string& option, int most,
                         const std::string& example, NumberOf number_of) {
  std::vector<int> out;
  const auto text = parsed.value(option);
  if (!text) return out;
  std::string words = *text;
  std::ranges::replace(words, ',', ' ');
  const auto refuse = [&](const std::string& word) {
    throw UsageError(option + " is '" + units::inert(word) + "', but must be " + example + ".");
  };
  for (const std::string& word : words_of_line(words)) {
    const std::size_t dash = std::min(word.find('-'), word.size());
    const int first = number_of(word.substr(0, dash));
    const int last = dash < word.size() ? number_of(word.substr(dash + 1)) : first;
    if (first < 1 || last < first || last > most) refuse(word);
    for (int i = first; i <= last; ++i) out.push_back(i);
  }
  if (out.empty()) refuse(*text);
  std::ranges::sort(out);
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

/// 0 where it is none.
int column_number(const std::string& text) {
  try {
    return station::parse_hole(text + "1").column;
  } catch (const units::InputError&) {
    return 0;
  }
}

int row_number(const std::string& text) {
  const bool digits =
      !text.empty() && text.size() < 5 && text.find_first_not_of("0123456789") == std::string::npos;
  return digits ? std::stoi(text) : 0;
}

std::optional<double> hole_scatter_of(const Parsed& parsed, units::Unit unit) {
  const auto text = parsed.value("--hole-scatter");
  if (!text) return std::nullopt;
  const double mm = units::parse_length(*text, "--hole-scatter", unit).mm();
  if (!(mm > 0 && mm <= kMostScatterMm))
    throw units::InputError("--hole-scatter", *text, "a length above 0, at most 2 mm", {},
                            "one standard deviation each way; a usual one is 0.1 mm");
  return mm;
}

void hold_to_station(const files::ObservationFile& file, const station::Station& station) {
  if (file.station.empty() || file.station == station.name) return;
  throw units::InputError("station", station.name, "'" + file.station + "', the one that the file names",
                          {file.source, 0, 0}, "take that one, or change the line '# station:'");
}

double reach_of(const Parsed& parsed, double usual_mm, units::Unit unit) {
  const auto text = parsed.value("--reach");
  if (!text) return usual_mm;
  const double mm = units::parse_length(*text, "--reach", unit).mm();
  if (!(mm >= kLeastReachMm && mm <= kMostReachMm))
    throw units::InputError("--reach", *text, "a length from 20 mm to 3 m", {}, "what the caliper takes");
  return mm;
}

/// The station that is asked for, else the one that the file names, else the only one.
station::Station station_of(const Context& context, const Parsed& parsed,
                            const files::ObservationFile& file) {
  const bool asked = parsed.has("--station") || !context.station.empty();
  const Opened opened = open_station(context, asked ? parsed.value("--station").value_or("") : file.station);
  station::Station station = opened.store->find(opened.name);
  hold_to_station(file, station);
  return station;
}

app::SurveyRequest survey_request(const Context& context, const Parsed& parsed) {
  if (parsed.arguments.empty())
    throw UsageError(
        "observations are missing, but must be a FILE, or - for standard input. 'survey' at the prompt asks "
        "for them one by one. Hint: quarterturn survey --help");
  app::SurveyRequest request;
  request.file = files::parse_observations(files::read_text(parsed.arguments.front()));
  request.station = station_of(context, parsed, request.file);
  if (const auto against = parsed.value("--against")) {
    if (*against == "-" && parsed.arguments.front() == "-")
      throw UsageError("--against is -, but standard input is the survey itself already.");
    request.against = files::parse_observations(files::read_text(*against));
    if (!request.against->station.empty() && request.against->station != request.station.name)
      throw units::InputError("station", request.against->station, "'" + request.station.name + "', as here",
                              {request.against->source, 0, 0}, "two surveys of one table are compared");
  }
  const units::Unit unit = text_options(context, parsed, units::Unit::mm).unit;
  request.setup = parsed.value("--setup").value_or("");
  request.next_for_setup = parsed.has("--setup");
  if (const auto text = parsed.value("--tolerance")) request.tolerance = units::parse_tolerance(*text, unit);
  request.hole_sd_mm = hole_scatter_of(parsed, unit);
  request.pairs = count_of(parsed, "--pairs", request.pairs, kMostPairs);
  request.next = count_of(parsed, "--next", request.next, kMostNext);
  const auto& grid = request.station.grid;
  request.columns =
      list_of(parsed, "--columns", grid.columns, "columns of the table, as C or C-F", column_number);
  request.rows = list_of(parsed, "--rows", grid.rows, "rows of the table, as 2 or 2-5", row_number);
  request.confidence = confidence_of(parsed);
  return request;
}

constexpr int kMostDistances = 5000;

/// What `--plan N` writes: an observation file whose values are blank.
Said plan_of_survey(const Context& context, const Parsed& parsed) {
  if (!parsed.arguments.empty() || parsed.has("--json"))
    throw UsageError("--plan writes a list of what to measure as a file, without " +
                     std::string(parsed.has("--json") ? "--json" : "another FILE") + ".");
  app::SurveyPlanRequest request;
  request.station = station_of(context, parsed, {});
  request.setup = parsed.value("--setup").value_or("");
  request.distances = units::parse_whole(parsed.value("--plan").value_or(""), "--plan", 1, kMostDistances);
  std::tie(request.dog_1, request.dog_2) = app::usual_dogs(request.station);
  if (const auto text = parsed.value("--dogs")) {
    const auto words = words_of_line(*text);
    if (words.size() != 2)
      throw UsageError("--dogs is '" + units::inert(*text) + "', but must be two names: \"pin-1 pin-2\".");
    request.dog_1 = words[0];
    request.dog_2 = words[1];
  }
  request.file.caliper = app::survey_caliper(request.station, {});
  request.reach_mm = reach_of(parsed, request.file.caliper->reach_mm, units::Unit::mm);
  request.file.caliper->reach_mm = request.reach_mm;
  request.between = parsed.has("--between");
  if (const auto text = parsed.value("--closing"))
    request.closing =
        static_cast<survey::Closing>(files::word_in(*text, "--closing", {"stick", "checks", "none"}));
  const app::SurveyPlan plan = app::plan_survey(request, context.log);
  files::ObservationFile out = request.file;
  out.station = request.station.name;
  out.setup = request.setup;
  out.unmeasured = plan.rows;
  out.note = report::to_measure_note(plan.to_measure);
  return {files::write_observations(out), ""};
}

}  // namespace

std::string survey_why(const Context& context, const Parsed& parsed) {
  const app::SurveyRequest request = survey_request(context, parsed);
  return report::survey_why_text(app::run_survey(request, context.log),
                                 text_options(context, parsed, request.file.unit));
}

app::SurveyInUse survey_of_words(const Context& context, const Parsed& parsed) {
  return app::survey_in_use(survey_request(context, parsed), context.log);
}

app::SurveyInUse survey_of_file(const Context& context, const std::string& file,
                                const station::Station& station) {
  app::SurveyRequest request;
  request.file = files::parse_observations(files::read_text(file));
  request.station = station;
  hold_to_station(request.file, station);
  return app::survey_in_use(request, context.log);
}

void take_survey_option(const Context& context, const Parsed& parsed, app::CheckRequest& request) {
  const auto file = parsed.value("--survey");
  if (!file) return;
  if (!request.station)
    throw UsageError(
        "--survey is given without a station: its holes are those of one. Hint: --station NAME or FILE");
  if (*file == "-") throw UsageError("--survey is '-', but must be a FILE.");
  app::take_survey(request, survey_of_file(context, *file, *request.station), *context.log, context.now_utc);
}

Said survey_command(const Context& context, const Parsed& parsed) {
  if (parsed.has("--plan")) return plan_of_survey(context, parsed);
  for (const char* option : {"--dogs", "--reach", "--between", "--closing"}) {
    if (parsed.has(option)) throw UsageError(std::string(option) + " belongs to --plan N.");
  }
  const app::SurveyRequest request = survey_request(context, parsed);
  const survey::Result result = app::run_survey(request, context.log);
  const auto options = text_options(context, parsed, request.file.unit);
  return {parsed.has("--json") ? report::survey_json(result) : report::survey_text(result, options), ""};
}

}  // namespace quarterturn::cli
