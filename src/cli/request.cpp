// SPDX-License-Identifier: MIT
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>

#include "app/kept_things.hpp"
#include "app/typed_readings.hpp"
#include "cli/commands.hpp"
#include "files/one_station_file.hpp"
#include "files/readings_file.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr int kMostStripsAsked = 100;

const std::vector<std::string>& bare_options() {
  static const std::vector<std::string> names{"--keep",           "--panel-side",   "--rail-baseline",
                                              "--fence-baseline", "--rail-on-face", "--shim"};
  return names;
}

/// Options that describe readings in place of a file.
const std::vector<std::string>& reading_options() {
  static const std::vector<std::string> names{"--fence-end", "--free-end", "--middle", "--apart",
                                              "--test",      "--panel",    "--form",   "--pieces"};
  return names;
}

/// One of a few words. \throws UsageError
std::size_t choice(const Parsed& parsed, const std::string& option, const std::vector<std::string>& words) {
  const std::string typed = units::lowered(*parsed.value(option));
  const auto found = std::find(words.begin(), words.end(), typed);
  if (found != words.end()) return static_cast<std::size_t>(found - words.begin());
  const std::string hint = units::did_you_mean(typed, words);
  throw UsageError(option + " is '" + units::inert(*parsed.value(option)) + "', but must be " +
                   units::one_of(words) + "." + (hint.empty() ? "" : " Hint: " + hint));
}

units::Unit typed_unit(const Parsed& parsed) {
  if (!parsed.has("--unit")) return units::Unit::mm;
  return choice(parsed, "--unit", {"mm", "in"}) == 0 ? units::Unit::mm : units::Unit::inch;
}

std::optional<double> distance(const Parsed& parsed, const std::string& option, units::Unit unit) {
  const auto text = parsed.value(option);
  if (!text) return std::nullopt;
  return units::parse_length(*text, option, unit).mm();
}

app::BareSetup bare_of(const Parsed& parsed, units::Unit unit) {
  app::BareSetup bare;
  const auto side = [&](const std::string& option) {
    return choice(parsed, option, {"left", "right"}) == 0 ? station::Side::left : station::Side::right;
  };
  if (parsed.has("--keep")) bare.keep = side("--keep");
  if (parsed.has("--rail-on-face")) bare.rail_on_face = side("--rail-on-face");
  if (parsed.has("--panel-side")) {
    bare.panel_side = choice(parsed, "--panel-side", {"before", "beyond"}) == 0 ? station::PanelSide::before
                                                                                : station::PanelSide::beyond;
  }
  bare.rail_baseline_mm = distance(parsed, "--rail-baseline", unit);
  bare.fence_baseline_mm = distance(parsed, "--fence-baseline", unit);
  for (const auto& shim : parsed.values("--shim")) bare.shims.push_back(app::parse_shim(shim, unit));
  return bare;
}

/// A check of one strip or joint out of options alone.
check::Check check_of_options(const Parsed& parsed, units::Unit unit) {
  for (const char* needed : {"--fence-end", "--free-end", "--apart"}) {
    if (!parsed.has(needed)) {
      throw UsageError(std::string(needed) +
                       " is missing, but must be given: a check from options alone needs --fence-end, "
                       "--free-end and --apart.");
    }
  }
  check::Check made;
  made.unit = unit;
  take_test(parsed, made);
  if (const auto panel = parsed.value("--panel")) made.panel_size = files::parse_panel_size(*panel, unit);
  app::Ends ends;
  const char* const quantity = made.gaps() ? "gap" : "width";
  ends.fence_end = app::readings_of(*parsed.value("--fence-end"), "--fence-end", unit, quantity);
  ends.free_end = app::readings_of(*parsed.value("--free-end"), "--free-end", unit, quantity);
  if (const auto middle = parsed.value("--middle"))
    ends.middle = app::readings_of(*middle, "--middle", unit, quantity);
  ends.apart_mm = *distance(parsed, "--apart", unit);
  if (!(ends.apart_mm > 0 && ends.apart_mm <= check::kMostPositionMm)) {
    throw units::InputError("--apart", *parsed.value("--apart"), "a distance above 0, at most 10 m", {},
                            "between the two measured places, not the strip's length");
  }
  for (const auto& [list, option] :
       {std::pair{&ends.fence_end, "--fence-end"}, std::pair{&ends.free_end, "--free-end"}}) {
    if (list->empty())
      throw units::InputError(option, "", "at least one reading, three are better", {},
                              made.gaps() ? "gaps in mm with a blank between: \"0.15 0.15\""
                                          : "widths in mm with a blank between: \"22.74 22.73 22.75\"");
  }
  if (!parsed.has("--unit")) made.unit = app::unit_typed(ends.fence_end.front(), unit);
  const auto& row = check::test_row(made.test);
  made.strips.push_back(made.gaps() ? app::strip_of(ends, 1, 0, 0)
                                    : app::strip_of(ends, 1, row.first_cut, row.first_cut + row.turns));
  return made;
}

/// `quarterturn check` behind a pipe or a redirection reads it like `-`.
bool input_waits() {
  struct stat status {};
  return ::fstat(STDIN_FILENO, &status) == 0 &&
         (S_ISFIFO(status.st_mode) || S_ISREG(status.st_mode) || S_ISSOCK(status.st_mode));
}

check::Check check_of(const Parsed& parsed, units::Unit unit) {
  const bool from_options = std::any_of(reading_options().begin(), reading_options().end(),
                                        [&](const auto& option) { return parsed.has(option); });
  if (from_options && !parsed.arguments.empty()) {
    throw UsageError("readings are given twice, in '" + units::inert(parsed.arguments.front()) +
                     "' and in options, but must be given once.");
  }
  if (from_options) return check_of_options(parsed, unit);
  if (parsed.arguments.empty() && !input_waits()) {
    throw UsageError(
        "readings are missing, but must be a FILE, - for standard input, or --fence-end, --free-end and "
        "--apart. "
        "Hint: quarterturn " +
        parsed.word + " --help");
  }
  const std::string file = parsed.arguments.empty() ? "-" : parsed.arguments.front();
  if (!is_there(file) && gap_test_named(parsed)) {
    throw UsageError("'" + file +
                     "' is told step by step on a terminal, which this is not: give a FILE, or --test with "
                     "--fence-end, --free-end and --apart.");
  }
  return files::parse_readings(files::read_text(file));
}

std::string shown_name(const std::string& name) {
  return "'" + units::inert(name) + "'";
}

/// The station that is asked for; without one, the one that the readings name, if it is known.
void find_station(const Context& context, const Parsed& parsed, app::CheckRequest& request, Said& said) {
  const auto asked = parsed.value("--station");
  const bool bare =
      std::any_of(bare_options().begin(), bare_options().end(), [&](const auto& o) { return parsed.has(o); });
  if (asked || !context.station.empty()) {
    if (bare)
      throw UsageError(
          "--station knows rail, fence and shims: leave out --keep, --panel-side, the baselines, "
          "--rail-on-face and --shim.");
    const auto opened = open_station(context, asked.value_or(context.station));
    request.station = opened.store->find(opened.name);
    return;
  }
  const auto& named = request.check.station;
  if (bare || named.empty()) return;
  const auto names = context.store->list();
  if (std::find(names.begin(), names.end(), named) != names.end()) {
    request.station = context.store->find(named);
  } else {
    said.err += "note: station " + shown_name(named) +
                " is not known here, so nothing can be said about its dogs. Give it with "
                "--station FILE, or add it: quarterturn station add FILE\n";
  }
}

}  // namespace

void take_test(const Parsed& parsed, check::Check& made) {
  if (parsed.has("--test")) {
    std::vector<std::string> words;
    std::vector<check::TestKind> kinds;
    for (const auto& row : check::test_rows()) {
      if (row.successive) continue;  // more than one strip: a file
      words.emplace_back(row.word);
      kinds.push_back(row.kind);
    }
    made.test = kinds[choice(parsed, "--test", words)];
  }
  if (parsed.has("--form")) {
    std::vector<std::string> words;
    for (const auto& row : check::form_rows()) words.emplace_back(row.word);
    made.form = check::form_rows()[choice(parsed, "--form", words)].form;
  } else if (made.test == check::TestKind::frame) {
    made.form = check::Form::separate;
  }
  if (const auto pieces = parsed.value("--pieces"))
    made.pieces = units::parse_whole(*pieces, "--pieces", check::kFewestPieces, check::kMostPieces);
}

bool is_there(const std::string& path) {
  struct stat status {};
  return ::stat(path.c_str(), &status) == 0;
}

Opened open_station(const Context& context, const std::string& text) {
  Opened opened;
  const std::string name = text.empty() ? context.station : text;
  if (name.empty()) {
    const auto names = context.store->list();
    if (names.size() == 1) return {context.store, names.front(), nullptr};
    throw UsageError(
        names.empty()
            ? "no station was added yet. Hint: quarterturn station add FILE, or the guided way: quarterturn"
            : "there are several stations, " + units::one_of(names) + ": say which, with --station NAME.");
  }
  const auto names = context.store->list();
  const bool known = std::find(names.begin(), names.end(), name) != names.end();
  if (!known && (name.find('/') != std::string::npos || name.ends_with(".json") || is_there(name))) {
    opened.own = std::make_unique<files::OneStationFile>(name);
    opened.store = opened.own.get();
    return opened;  // the file's own name: find("") takes whichever it holds
  }
  opened.store = context.store;
  opened.name = name;
  return opened;
}

double confidence_of(const Parsed& parsed) {
  const auto text = parsed.value("--confidence");
  if (!text) return 0.95;
  const double share = units::parse_number(*text, "--confidence").value;
  if (!(share >= 0.5 && share <= 0.999)) {
    throw UsageError("--confidence is '" + units::inert(*text) + "', but must be a share from 0.5 to 0.999.");
  }
  return share;
}

report::TextOptions text_options(const Context& context, const Parsed& parsed, units::Unit unit) {
  report::TextOptions options;
  options.unit = parsed.has("--unit") ? typed_unit(parsed) : unit;
  options.unicode = context.terminal.unicode;
  options.plain = parsed.has("--plain");
  options.width = context.terminal.width;
  options.window = context.terminal.window;
  options.color = context.terminal.color;
  if (parsed.has("--color")) {
    const auto when = choice(parsed, "--color", {"auto", "always", "never"});
    if (when != 0) options.color = when == 1;
  }
  return options;
}

std::optional<int> most_strips_of(const Parsed& parsed) {
  const auto most = parsed.value("--most-strips");
  if (!most) return std::nullopt;
  return units::parse_whole(*most, "--most-strips", 1, kMostStripsAsked);
}

bool has_readings(const Parsed& parsed) {
  return !parsed.arguments.empty() || std::any_of(reading_options().begin(), reading_options().end(),
                                                  [&](const auto& option) { return parsed.has(option); });
}

bool asks_for_readings(const Parsed& parsed) {
  if (gap_test_named(parsed)) return true;
  return parsed.arguments.empty() &&
         std::all_of(parsed.options.begin(), parsed.options.end(), [](const auto& option) {
           return option.first == "--most-strips" || option.first == "--strips";
         });
}

int strips_of(const Parsed& parsed) {
  const auto text = parsed.value("--strips");
  if (!text) return 1;
  if (parsed.has("--most-strips"))
    throw UsageError(
        "--strips is given with --most-strips, but must stand alone: what is cut is measured whole.");
  return units::parse_whole(*text, "--strips", 1, kMostStripsAsked);
}

app::CheckRequest request_of(const Context& context, const Parsed& parsed, Said& said) {
  const auto unit = typed_unit(parsed);
  app::CheckRequest request;
  request.confidence = confidence_of(parsed);
  request.strict = parsed.has("--strict");
  request.use_assumed = !parsed.has("--no-assumed");
  request.planned_strips = most_strips_of(parsed);
  if (parsed.has("--strips"))
    throw UsageError("--strips is of a check that asks for its readings, but these have readings already.");
  if (parsed.has("--require")) choice(parsed, "--require", {"within"});
  request.bare = bare_of(parsed, unit);
  if (const auto tolerance = parsed.value("--tolerance"))
    request.tolerance = units::parse_tolerance(*tolerance, unit);
  request.check = check_of(parsed, unit);
  if (const auto caliper = parsed.value("--caliper"))
    request.check.caliper = files::parse_caliper(*caliper, unit);
  if (const auto setup = parsed.value("--setup")) request.setup = *setup;
  find_station(context, parsed, request, said);
  return request;
}

}  // namespace quarterturn::cli
