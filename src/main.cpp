// SPDX-License-Identifier: MIT
#include "cli/program.hpp"

int main(int argc, char** argv) {
  return quarterturn::cli::run_program(argc, argv);
}
