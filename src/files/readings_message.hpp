// SPDX-License-Identifier: MIT
/// \file readings_message.hpp
/// The short form of readings, as a person types them into a message on a phone:
///
///     station: dock
///     panel 2
///     strip 1-5
///     20: 22.74 22.73 22.75
///     545: 22.14 22.13 22.15
///
/// and of a gap test, with `pair 2` or `ring 2` above the readings of the next joint:
///
///     test: turn-over
///     form: pair
///     20: 0.15
///     560: 0
#pragma once

#include <vector>

#include "files/csv.hpp"
#include "files/readings_cells.hpp"
#include "files/readings_keys.hpp"

namespace quarterturn::files {

/// Whether the first line that is no remark belongs to a message, not to a table.
bool is_message(const Text& text, const Head& head);

/// One line of a message, apart from the head's remarks.
struct MessageLine {
  Gatherer::Key strip;  ///< the strip it belongs to; to_cut 0: none was named
  Cell position, widths;
  std::string counted;      ///< `panel`, `pair` or `ring`, as it was named last; empty: it was not
  units::Place heading_at;  ///< of the heading named last
};

/// Widths stand under a strip, gaps under a pair or ring. \throws units::InputError
/// \param where  of the readings
void hold_to_headings(const MessageLine& line, const check::Check& check, const units::Place& where);

/// The lines of a message: its keys and its spots. \throws units::InputError on any other line
void read_message(const Text& text, const Head& head, std::vector<KeyLine>& keys,
                  std::vector<MessageLine>& spots);

}  // namespace quarterturn::files
