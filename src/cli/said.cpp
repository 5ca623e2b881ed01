// SPDX-License-Identifier: MIT
#include "cli/said.hpp"

#include <new>

#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

Said said_of_current_exception() {
  try {
    throw;
  } catch (const UsageError& fault) {
    return {"", std::string("error: ") + fault.what() + "\n", kWrongUse};
  } catch (const units::InputError& fault) {
    return {"", std::string("error: ") + fault.what() + "\n", kBadInput};
  } catch (const files::FileTrouble& trouble) {
    return {"", "error: " + trouble.message + "\n", kFileTrouble};
  } catch (const OutputGone&) {
    return {"", "error: standard output cannot be written\n", kFileTrouble};
  } catch (const std::bad_alloc&) {
    return {"",
            "error: out of memory. Nothing in a test needs that much: this is our bug, please report it.\n",
            kOurBug};
  } catch (const std::exception& bug) {
    return {
        "",
        std::string("error: ") + bug.what() + ". This is our bug, please report it with what you typed.\n",
        kOurBug};
  } catch (...) {
    return {"",
            "error: something unknown was thrown. This is our bug, please report it with what you typed.\n",
            kOurBug};
  }
}

}  // namespace quarterturn::cli
