// SPDX-License-Identifier: MIT
#include "cli/clock_note.hpp"

#include "files/dates.hpp"
#include "files/text_file.hpp"
#include "units/input_error.hpp"

namespace quarterturn::cli {

std::string clock_note(const Context& context) {
  constexpr std::int64_t kDay = 86400;  // clocks of two computers on one log differ a little
  if (context.log == nullptr) return {};
  try {
    const std::string last = context.log->last_recorded().substr(0, 10);  // its day
    if (last.empty() || files::parse_date(last, "date").utc_second <= context.now_utc + kDay) return {};
    return "note: the log was last written on " + last + ", and today is " +
           files::day_text(context.now_utc) +
           " here:\n  set the clock right if it is wrong, for due dates rest on it.\n";
  } catch (const files::FileTrouble&) {
    return {};  // the word itself has told it, or went without the log
  } catch (const units::InputError&) {
    return {};  // a moment that no program of this kind wrote: nothing follows from it
  }
}

}  // namespace quarterturn::cli
