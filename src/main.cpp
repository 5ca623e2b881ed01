// SPDX-License-Identifier: MIT
#if __has_include(<malloc.h>)
#include <malloc.h>
#endif

#include "cli/program.hpp"

int main(int argc, char** argv) {
#ifdef M_TRIM_THRESHOLD
  // One run and over: memory that was given back would only be asked for again, page by page.
  mallopt(M_MMAP_THRESHOLD, 1 << 30);
  mallopt(M_TRIM_THRESHOLD, 1 << 30);
  mallopt(M_TOP_PAD, 1 << 18);
#endif
  return quarterturn::cli::run_program(argc, argv);
}
