// SPDX-License-Identifier: MIT
#include <fmt/format.h>

#include <algorithm>

#include "app/kept_things.hpp"
#include "cli/completion_sources.hpp"
#include "cli/prompt_session.hpp"
#include "files/caliper_classes.hpp"
#include "files/readings_file.hpp"
#include "files/station_folder.hpp"
#include "report/amounts.hpp"
#include "report/station_report.hpp"
#include "station/geometry.hpp"
#include "units/input_error.hpp"
#include "units/nearest.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {
namespace {

constexpr const char* kSetup = "crosscut";

/// The answers so far; the station is built from them.
class Description {
 public:
  Description(Dialogue& talk, station::Store& store) : talk_(talk), store_(store) {
    station_.grid.pitch = units::Length::from_mm(96);
    station_.grid.hole_diameter = units::Length::from_mm(20);
    setup_.name = kSetup;
  }

  station::Station run() {
    const std::vector<void (Description::*)()> steps{
        &Description::name,        &Description::pitch,      &Description::diameter, &Description::size,
        &Description::rail_near,   &Description::rail_far,   &Description::face,     &Description::fence_left,
        &Description::fence_right, &Description::panel_side, &Description::keep,     &Description::held,
        &Description::tolerance,   &Description::caliper,    &Description::shims};
    constexpr std::size_t kFirstHole = 4, kAfterHoles = 9;
    std::size_t at = 0, end = steps.size();
    while (at < end) {
      try {
        (this->*steps[at])();
        ++at;
        if (at == end && !hangs_together()) {  // only what can be at fault is asked again
          at = kFirstHole;
          end = kAfterHoles;
        }
      } catch (const Back&) {
        if (at > 0) --at;
      }
    }
    return station_;
  }

 private:
  void echo(const std::string& text) { talk_.say("  " + text + "\n"); }

  void name() {
    talk_.ask("name", std::nullopt, [&](const std::string& typed) {
      files::hold_to_station_name(typed);  // now, not after fifteen answers
      const auto names = store_.list();
      if (std::find(names.begin(), names.end(), typed) != names.end()) {
        throw units::InputError("name", typed, "a new one; a station of that name is there");
      }
      station_.name = typed;
    });
    echo("station " + units::inert(station_.name));
  }

  void length(const std::string& question, const char* fallback, double least_mm, double most_mm,
              units::Length& into) {
    talk_.ask(question, fallback, [&](const std::string& typed) {
      // The answer in brackets is in mm whatever the person reads.
      const auto unit = typed == fallback ? units::Unit::mm : talk_.options.unit;
      const auto given = units::parse_length(typed, question, unit);
      if (!(given.mm() >= least_mm && given.mm() <= most_mm))
        throw units::InputError(question, typed,
                                report::size_range_text(least_mm, most_mm, talk_.options.unit));
      into = given;
    });
    echo(question + " " + report::size_text(into.mm(), talk_.options.unit));
  }
  void pitch() { length("hole spacing", "96 mm", 6, 1000, station_.grid.pitch); }
  void diameter() {
    length("hole diameter", "20 mm", 1, station_.grid.pitch.mm(), station_.grid.hole_diameter);
  }

  void size() {
    talk_.ask("columns, rows", std::nullopt, [&](const std::string& typed) {
      std::string plain = units::lowered(typed);
      std::ranges::replace(plain, 'x', ' ');  // 9 x 11
      const auto words = words_of_line(plain);
      if (words.size() != 2)
        throw units::InputError("columns, rows", typed, "two whole numbers, such as 9 11");
      std::string first = words[0];
      if (first.ends_with(',')) first.pop_back();
      station_.grid.columns = units::parse_whole(first, "columns", 2, 702);
      station_.grid.rows = units::parse_whole(words[1], "rows", 2, 9999);
      if (std::max(station_.grid.columns, station_.grid.rows) * station_.grid.pitch.mm() >
          station::kLongestMm)
        throw units::InputError("columns, rows", typed, "as many as fit on a table of 10 m");
    });
    echo(fmt::format("{} columns, A to {}; {} rows, 1 nearest you", station_.grid.columns,
                     station::Hole{station_.grid.columns, 1}.name().substr(
                         0, station::Hole{station_.grid.columns, 1}.name().size() - 1),
                     station_.grid.rows));
  }

  void hole(const std::string& question, station::Post& into, const char* dog) {
    const auto take = [&](const std::string& typed) {
      const auto given = station::parse_hole(typed);
      if (!station_.grid.has(given))
        throw units::InputError(question, typed, "a hole of the grid, column letter and row number");
      for (const auto* post :
           {&setup_.rail.first, &setup_.rail.second, &setup_.fence.first, &setup_.fence.second}) {
        if (post != &into && !post->dog.empty() && post->hole == given) {
          throw units::InputError(question, typed, "a hole without another dog", {},
                                  "the dog " + post->dog + " stands in it");
        }
      }
      into = {given, dog};
    };
    talk_.ask(question, std::nullopt, take, holes_of(station_.grid));
    echo(question + " in " + into.hole.name());
  }
  void rail_near() { hole("rail dogs, the near one", setup_.rail.first, "tall-1"); }
  void rail_far() { hole("the far one", setup_.rail.second, "tall-2"); }
  void fence_left() { hole("fence dogs, the left one", setup_.fence.first, "low-1"); }
  void fence_right() { hole("the right one", setup_.fence.second, "low-2"); }

  std::string chosen(const std::string& question, const std::optional<std::string>& fallback,
                     const std::vector<std::string>& words) {
    std::string word = words[talk_.choose(question, fallback, words)];
    echo(word);
    return word;
  }
  void face() {
    setup_.rail_on_face =
        chosen("the rail rests on their left or right face", std::nullopt, {"left", "right"}) == "left"
            ? station::Side::left
            : station::Side::right;
  }
  void panel_side() {
    // `before` is the same side, as the command line calls it.
    const bool beyond =
        talk_.choose("panel on your side of the fence or beyond", "mine", {"mine", "beyond", "before"}) == 1;
    setup_.panel_side = beyond ? station::PanelSide::beyond : station::PanelSide::before;
    echo(beyond ? "beyond the fence" : "before the fence, on your side");
  }
  void keep() {
    setup_.keep = chosen("you keep the part left or right of the rail", "left", {"left", "right"}) == "left"
                      ? station::Side::left
                      : station::Side::right;
  }
  void held() {
    const auto word =
        chosen("dogs are screwed, pushed or wedged", "screwed", {"screwed", "pushed", "wedged", "unknown"});
    const auto held = word == "screwed"  ? station::Held::screwed
                      : word == "pushed" ? station::Held::pushed
                      : word == "wedged" ? station::Held::wedged
                                         : station::Held::unknown;
    station_.dogs.clear();
    for (const char* dog : {"tall-1", "tall-2", "low-1", "low-2"}) {
      station::Dog made;
      made.name = dog;
      made.diameter = station_.grid.hole_diameter;
      made.held = held;
      station_.dogs[dog] = made;
    }
  }
  void tolerance() {
    talk_.ask("square within", "0.10 mm over 600 mm", [&](const std::string& typed) {
      setup_.tolerance = units::parse_tolerance(typed, talk_.options.unit);
    });
    echo(report::tolerance_words(*setup_.tolerance, talk_.options));
  }
  void caliper() {
    std::vector<std::string> classes;
    for (const auto& row : files::caliper_classes()) classes.push_back(row.caliper.name);
    const auto take = [&](const std::string& typed) {
      const std::string name = units::lowered(typed);
      files::caliper_of_class(name);
      station_.calipers = {{name, name}};
    };
    talk_.ask("caliper", "digital", take, classes);
    const auto caliper = files::caliper_of_class(station_.calipers.front().caliper_class);
    echo(caliper.name + ", reads to " + report::length_text(caliper.resolution_mm, talk_.options.unit, 3));
  }
  void shims() {
    station_.shims.clear();
    talk_.ask("shims you own, such as: foil tape 8 layers 0.56 (a ; between two)", "none",
              [&](const std::string& typed) {
                std::vector<station::Shim> given;
                std::string_view rest =
                    units::lowered(typed) == "none" ? std::string_view{} : std::string_view{typed};
                while (!rest.empty()) {
                  const auto end = std::min(rest.find(';'), rest.size());
                  given.push_back(app::parse_shim(rest.substr(0, end), talk_.options.unit));
                  rest.remove_prefix(std::min(end + 1, rest.size()));
                }
                station_.shims = given;
              });
    for (const auto& shim : station_.shims) {
      echo(fmt::format("{}: one layer {}", units::inert(shim.name),
                       report::length_text(shim.layer.mm(), talk_.options.unit, 3)));
    }
  }

  /// The rules of a station and of its lines. Says what is wrong.
  bool hangs_together() {
    station_.setups.clear();
    station_.setups[kSetup] = setup_;
    try {
      station::validate(station_);
      station::geometry_of(station_, setup_);
      return true;
    } catch (const units::InputError&) {
      talk_.say(said_of_current_exception().err + "Let us go through rail and fence again.\n");
      for (auto* post : {&setup_.rail.first, &setup_.rail.second, &setup_.fence.first, &setup_.fence.second})
        *post = {};
      return false;
    }
  }

  Dialogue& talk_;
  station::Store& store_;
  station::Station station_;
  station::Setup setup_;
};

}  // namespace

void Session::describe_station() {
  talk_.say("Describe yours (2 minutes; Enter takes the answer in brackets, undo goes back one question).\n");
  begin_draft("station add");
  auto station = Description(talk_, *context_.store).run();
  talk_.live();
  context_.log->together([&] {
    app::add_station(*context_.store, station);
    drafts_.take_out();
  });
  finish_draft();
  station_ = context_.store->find(station.name);
  context_.station = station.name;
  last_.reset();
  kept_.reset();
  taken_up_.clear();
  moved_.reset();
  talk_.say("Station " + units::inert(station.name) +
            " is kept. 'check' begins a check, 'help' lists the words.\n");
}

}  // namespace quarterturn::cli
