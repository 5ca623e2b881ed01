// SPDX-License-Identifier: MIT
#include "cli/program.hpp"
#include "stats/large_pages.hpp"

int main(int argc, char** argv) {
  quarterturn::stats::keep_memory();  // one run and over
  return quarterturn::cli::run_program(argc, argv);
}
