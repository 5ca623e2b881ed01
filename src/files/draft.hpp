// SPDX-License-Identifier: MIT
/// \file draft.hpp
/// A conversation at the prompt that is not finished: every line that was typed, with its question. Typed
/// again in the same order the lines lead to where it stopped. A draft is deletable, and stays out of
/// exchange files: it is no record of anything yet.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "files/log_document.hpp"

namespace quarterturn::files {

struct DraftRecord {
  std::string id;
  Recorded recorded;
  std::int64_t utc = 0;  ///< of its first line, seconds from 1970: the check is of then
  std::string station;   ///< name; empty: none was in use
  std::string words;     ///< what began it: `check --most-strips 8`
  std::string check;     ///< id of the kept check that it goes on from; empty: none
  int cuts = 0;          ///< still to be made by `more`; 0: as many as it makes
  std::string unit;      ///< mm or in: what bare numbers are
  std::string program;   ///< version
  std::string holder;    ///< who has it open; empty: nobody
  // What the prompt knew of the panel in hand when it began, and offered.
  double apart = 0;                               ///< mm, 0: nothing
  std::optional<double> width, depth, thickness;  ///< mm
  int cuts_made = 0;
  double strip = 0;  ///< mm
};

struct DraftLine {
  std::string question, answer;
};

struct Draft {
  DraftRecord begun;
  std::vector<DraftLine> lines;
};

template <typename Walk>
void fields(Walk& walk, DraftRecord& r) {
  walk("id", r.id);
  walk("recorded", r.recorded);
  walk("utc", r.utc);
  walk("station", r.station);
  walk("words", r.words);
  walk("check", r.check);
  walk("cuts", r.cuts);
  walk("unit", r.unit);
  walk("program", r.program);
  walk("holder", r.holder);
  walk("apart_mm", r.apart);
  walk("width_mm", r.width);
  walk("depth_mm", r.depth);
  walk("thickness_mm", r.thickness);
  walk("cuts_made", r.cuts_made);
  walk("strip_mm", r.strip);
}

}  // namespace quarterturn::files
