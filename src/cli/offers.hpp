// SPDX-License-Identifier: MIT
/// \file offers.hpp
/// What may stand at each place of a command line, drawn from the table of options: a new row there needs
/// nothing here. What shells complete with is made of it.
///
/// A place is known by how the table writes it: `FILE` is a file, `NAME` or `STATION` a station, `NAME|FILE`
/// either, `mm|in` or `within` (small letters) those words, `EVENT`, `CAUSE`, `CLASS`, `TEST=yes|no` the
/// words of their tables, `SIDE`, `KIND`, `FORM` and `WHEN` those of their words that the option's help
/// names.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "cli/options.hpp"

namespace quarterturn::cli {

struct Offer {
  std::vector<std::string> words;
  bool stations = false, files = false;
  bool open_ended = false;  ///< the words are beginnings: more follows without a blank
};

/// What a placeholder stands for, by itself: `EVENT`, `CLASS`, `mm|in`.
Offer offer_of_name(std::string_view value);

/// What may follow an option. Nothing, where only the person can know.
Offer offer_of(const OptionRow& option);

/// One way to write what follows a word: `add FILE`.
struct WrittenForm {
  std::string sub_word;       ///< `add`; empty: the arguments come at once
  std::vector<Offer> places;  ///< of the arguments, one by one
  bool on_and_on = false;     ///< the last one may come again and again
};
std::vector<WrittenForm> forms_of(const WordRow& row);

/// The sub-words of a word, in its order.
std::vector<std::string> sub_words(const WordRow& row);

}  // namespace quarterturn::cli
