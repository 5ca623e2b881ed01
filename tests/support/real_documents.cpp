// SPDX-License-Identifier: MIT
#include "support/real_documents.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

#include "support/run_program.hpp"

namespace quarterturn::test {
namespace {

using Words = std::vector<std::string>;

const std::string kExamples = QUARTERTURN_ROOT "/examples/";

std::string readings(const std::string& name) {
  return kExamples + "readings/" + name;
}
std::string station(const std::string& name) {
  return kExamples + "stations/" + name + ".json";
}

Words files_in(const std::string& folder) {
  Words found;
  for (const auto& entry : std::filesystem::directory_iterator(kExamples + folder))
    if (entry.is_regular_file()) found.push_back(entry.path().string());
  std::ranges::sort(found);
  return found;
}

class Maker {
 public:
  std::vector<RealDocument> documents;

  std::string run(const Words& arguments) {
    const auto ran = run_program(home_, arguments);
    std::string typed;
    for (const auto& word : arguments) typed += " " + word;
    if (ran.status != 0) throw std::runtime_error("refused:" + typed + "\n" + ran.err);
    return ran.out;
  }
  void keep(const std::string& schema, const Words& arguments) {
    std::string typed;
    for (const auto& word : arguments) typed += " " + word;
    documents.push_back({schema, typed, run(arguments)});
  }
  void json(const std::string& schema, Words arguments) {
    arguments.emplace_back("--json");
    keep(schema, arguments);
  }
  [[nodiscard]] const Home& home() const { return home_; }

 private:
  Home home_;
};

void put_checks(Maker& make) {
  for (const auto& file : files_in("readings")) {
    const std::string name = std::filesystem::path(file).stem().string();
    const std::string owner = name.substr(0, name.find('-'));
    Words arguments{"check", file, "--station", station(owner)};
    if (owner == "tour")
      arguments.insert(arguments.end(), {"--setup", name == "tour-frame" ? "mitre" : "crosscut"});
    make.json("check", arguments);
    if (name != "dock-rail") {
      Words more = arguments;
      more.insert(more.end(), {"--no-assumed", "--budget"});
      make.json("check", more);
    }
    arguments.front() = "correct";
    make.json("check", arguments);
  }
  for (const char* name : {"dock-progressive.csv", "dock-three-panels.csv", "dock-first.csv"})
    make.json("check", {"check", readings(name), "--station", station("dock"), "--budget", "--simulate"});
  for (const char* name : {"dock-first.csv", "dock-three-panels.csv"})
    make.json("check", {"check", readings(name), "--station", station("dock"), "--most-strips", "5"});
  const Words bare{"check",   "--fence-end", "22.74 22.73 22.75", "--free-end", "22.14 22.13 22.15",
                   "--apart", "525",         "--caliper",         "digital"};
  make.json("check", bare);
  Words whole = bare;
  whole.insert(whole.end(), {"--keep", "left", "--panel-side", "before", "--rail-baseline", "768",
                             "--tolerance", "0.10 over 600"});
  make.json("check", whole);
}

/// A year of checks, then a rail test, a turn-over, a move, a note, an amendment, a withdrawal.
void fill_log(Maker& make) {
  for (const char* name : {"dock", "loft", "tour"}) make.run({"station", "add", station(name)});
  Words import{"log", "import"};
  for (const char* folder : {"logs/dock-year", "logs", "logs/loft-seasons"}) {
    const auto files = files_in(folder);
    import.insert(import.end(), files.begin(), files.end());
  }
  make.run(import);
  make.run({"log", "add-summary", "dock", "--date", "2024-05-02", "--error", "0.20", "--over", "500",
            "--side", "over-90", "--plus-minus", "0.1", "--already-divided", "no"});
  make.run({"log", "note", "dock/1", "the caliper was cold"});
  make.run({"check", readings("dock-rail.csv"), "--station", "dock", "--save"});
  make.run({"check", readings("dock-pair.csv"), "--station", "dock", "--save"});
  make.run({"correct", readings("dock-first.csv"), "--station", "dock", "--done", "1"});
  make.run({"check", readings("tour-frame.csv"), "--station", "tour", "--setup", "mitre", "--save"});
  make.run({"log", "amend", "dock/3", "by", "Lea", "--reason", "the wrong name"});
  make.run({"log", "withdraw", "dock/2", "--reason", "another panel"});
}

void put_log(Maker& make) {
  make.json("log-list", {"log", "list"});  // with nothing in it
  make.json("stations", {"station", "list"});
  fill_log(make);
  make.json("log-list", {"log", "list"});
  make.json("log-list", {"log", "list", "loft"});
  for (const char* name : {"dock/1", "dock/2", "dock/3", "dock/6", "dock/7", "dock/8", "tour/1"})
    make.json("log-check", {"log", "show", name});
  make.keep("log", {"log", "export"});
  make.keep("log", {"log", "export", "tour"});
  for (const char* name : {"dock", "loft"}) {
    make.json("history", {"history", "--station", name});
    make.json("find", {"find", "--station", name});
    make.json("find",
              {"find", "--station", name, "--answer", "same-strip=no", "--answer", "paper-near=yes:0.20"});
    make.json("shims", {"shims", "list", "--station", name});
    make.json("calipers", {"caliper", "list", "--station", name});
  }
  make.json("stations", {"station", "list"});
  for (const char* name : {"dock", "loft", "tour"}) make.keep("station", {"station", "export", name});
  make.json("check", {"check", readings("dock-progressive.csv"), "--station", "dock"});
  make.json("check", {"check", readings("loft-wet.csv"), "--station", "loft"});
  make.json("plan", {"plan", "--station", "dock"});
  make.json("plan", {"plan", "--settle", "loft/9"});
  for (const char* name : {"dock/1", "dock/6", "dock/7", "tour/1", "loft/9"})
    make.keep("check", {"report", name, "--format", "json", "--output", "-"});
  make.keep("history", {"report", "loft", "--format", "json", "--output", "-"});
  make.keep("check", {"report", readings("dock-rail.csv"), "--format", "json", "--output", "-"});
}

void put_plans_and_surveys(Maker& make) {
  make.json("plan", {"plan", "--tolerance", "0.10 over 600", "--panel", "800 x 600", "--spots", "3",
                     "--apart", "400"});
  make.json("plan", {"plan", "--no-assumed", "--setup", "crosscut", "--station", station("tour")});
  make.json("plan", {"plan", "--settle", readings("dock-first.csv"), "--station", station("dock")});
  const std::string loft = kExamples + "surveys/loft.csv";
  make.json("survey", {"survey", kExamples + "surveys/loft-autumn.csv", "--against", loft, "--station",
                       station("loft"), "--pairs", "2", "--next", "3", "--tolerance", "0.10 over 600"});
  for (const char* word : {"correct", "check"})
    make.json("check", {word, readings("loft-wet.csv"), "--station", station("loft"), "--survey", loft});
  // One distance tells nothing of the table, but where two holes stand to each other.
  const auto one = make.home().write("one.csv",
                                     "kind,from,to,via,side,dog_from,dog_to,value,uncertainty\n"
                                     "distance,A1,B1,,outside,steel-1,steel-2,115.81,0.03\n");
  make.json("survey", {"survey", one, "--station", station("loft")});
  make.json("caliper-trial", {"caliper", "--trial", "22.74 22.73 22.75 22.74 22.74 22.72"});
}

}  // namespace

std::vector<RealDocument> real_documents() {
  Maker make;
  put_checks(make);
  put_plans_and_surveys(make);
  put_log(make);
  for (const auto& file : files_in("stations")) {
    std::ifstream in(file);
    make.documents.push_back({"station", file, {std::istreambuf_iterator<char>(in), {}}});
  }
  return std::move(make.documents);
}

}  // namespace quarterturn::test
