// SPDX-License-Identifier: MIT
// The whole job from inside another program:  embed READINGS STATION
#include <app/run_check.hpp>
#include <files/readings_file.hpp>
#include <files/station_file.hpp>
#include <iostream>
#include <report/check_report.hpp>
#include <units/input_error.hpp>

using namespace quarterturn;

int main(int argc, char** argv) try {
  if (argc != 3) return 2;
  app::CheckRequest request;
  request.check = files::parse_readings(files::read_text(argv[1]));
  request.station = files::parse_station(files::read_text(argv[2]));
  const auto outcome = app::run_check(request);
  std::cout << report::answer_sentence(outcome, {}) << "\n" << report::check_json(outcome);
} catch (const units::InputError& error) {
  std::cerr << error.what() << "\n";
  return 3;
} catch (const files::FileTrouble& trouble) {
  std::cerr << trouble.message << "\n";
  return 4;
}
