// SPDX-License-Identifier: MIT
// What is typed is on disk before the next question, and is taken up again where it stopped.
#include <fmt/format.h>
#include <unistd.h>

#include "app/keep_check.hpp"
#include "app/taken_up.hpp"
#include "cli/prompt_session.hpp"
#include "files/text_file.hpp"
#include "report/draft_text.hpp"
#include "report/words.hpp"
#include "units/input_error.hpp"
#include "units/text.hpp"

namespace quarterturn::cli {

namespace {

constexpr const char* kDraftWords =
    "'drafts' lists what is unfinished; 'drafts show N', 'drafts resume N' and 'drafts drop N' take the "
    "number "
    "that it shows.";

}  // namespace

/// From here on what is typed belongs to one conversation. \param words  what begins it again \param check id
/// of the kept check that it goes on from \param cuts  that `more` has still to make
void Session::begin_draft(const std::string& words, const std::string& check, int cuts) {
  if (drafts_.is_open()) leave_draft();
  talk_.forget_shown();
  const auto keep = [this](const files::DraftLine& line) { keep_line(line); };
  talk_.on_live = [this](const auto& lines) { say_taken_up(lines); };
  if (!resuming_ && !check.empty()) resuming_ = left_at(words, check);
  if (resuming_) {
    const auto kept = *std::exchange(resuming_, std::nullopt);
    talk_.options.unit = kept.draft.begun.unit == "in" ? units::Unit::inch : units::Unit::mm;
    drafts_.take_up(kept);
    talk_.transcript.begin(keep, kept.draft.lines);
    talk_.nothing_lost = drafts_.on_disk();
    return;
  }
  files::DraftRecord begun;
  begun.utc = context_.now_utc;
  begun.station = station_ ? station_->name : "";
  begun.words = words;
  begun.check = check;
  begun.cuts = cuts;
  begun.unit = talk_.options.unit == units::Unit::inch ? "in" : "mm";
  begun.program = QUARTERTURN_VERSION;
  begun.apart = apart_mm_;
  if (panel_) {
    begun.width = panel_->width_mm;
    begun.depth = panel_->depth_mm;
    begun.thickness = panel_->thickness_mm;
  }
  begun.cuts_made = cuts_;
  begun.strip = strip_mm_;
  drafts_.begin(std::move(begun));
  talk_.transcript.begin(keep);
}

/// What was left unfinished by the same words on the same check: they go on with it.
std::optional<app::KeptDraft> Session::left_at(const std::string& words, const std::string& check) const {
  for (auto& kept : drafts_.list()) {
    if (!kept.in_use && kept.draft.begun.words == words && kept.draft.begun.check == check) return kept;
  }
  return std::nullopt;
}

void Session::keep_line(const files::DraftLine& line) {
  using Place = app::Drafts::Place;
  const Place place = drafts_.add(line);
  talk_.nothing_lost = place != Place::nowhere;
  if (place == Place::log || place == draft_place_) return;
  draft_place_ = place;
  const std::string trouble = "  " + drafts_.trouble() + ".\n";
  talk_.say(report::finished(
      trouble +
          (place == Place::spare
               ? "  What you type is kept in '" + units::inert(drafts_.spare_path(), 4096) + "' meanwhile.\n"
               : std::string("  What you type is NOT on disk until the check is done.\n")),
      talk_.options));
}

/// The conversation is over, and what it was for is kept or told.
void Session::finish_draft() {
  talk_.live();
  talk_.transcript.end();
  talk_.nothing_lost = false;
  try {
    drafts_.finish();
  } catch (const files::FileTrouble& trouble) {
    talk_.say("The draft is still in the log: " + trouble.message + "\n");
  }
}

/// The conversation is broken off. \returns whether it can be taken up again
bool Session::leave_draft() {
  talk_.live();
  talk_.transcript.hand_on();
  talk_.transcript.end();
  talk_.nothing_lost = false;
  const bool stays = drafts_.on_disk();
  drafts_.leave();
  return stays;
}

/// What was typed before, once the next question is a new one.
void Session::say_taken_up(const std::vector<files::DraftLine>& lines) {
  talk_.say(report::draft_lines_text(lines, talk_.options));
  const auto& left_out = talk_.transcript.left_out();
  if (left_out.empty()) return;
  drafts_.part_from(lines.size());
  talk_.say("  From here on other things are asked than then. Typed then, and still in 'drafts':\n" +
            report::draft_lines_text(left_out, talk_.options));
}

/// A kept check as the last one here, as when the program was left since.
void Session::take_up_check(const std::string& id) {
  auto kept = context_.log->check(id);
  if (kept.withdrawn) {
    throw units::InputError("check", app::name_of(*context_.log, kept), "one that was not withdrawn", {},
                            "'drafts show' shows what was typed");
  }
  take_over(app::take_up(*context_.log, std::move(kept), *station_, context_.now_utc));
}

void Session::resume(const app::KeptDraft& kept) {
  const auto& begun = kept.draft.begun;
  if (kept.in_use) {
    throw UsageError("that draft is open in another window. Hint: go on there, or close it first");
  }
  if (!begun.station.empty() && (!station_ || station_->name != begun.station)) take_station(begun.station);
  talk_.options.unit = begun.unit == "in" ? units::Unit::inch : units::Unit::mm;
  apart_mm_ = begun.apart;
  panel_.reset();
  if (begun.width && begun.depth) panel_ = check::PanelSize{*begun.width, *begun.depth, begun.thickness};
  cuts_ = begun.cuts_made;
  strip_mm_ = begun.strip;
  context_.now_utc = std::min(begun.utc, context_.now_utc);
  if (!begun.check.empty() && begun.words != "find") take_up_check(begun.check);
  if (begun.check.empty() && begun.words == "more")
    throw UsageError("the check that it goes on from was not kept. Hint: 'drafts show' shows the readings");
  cuts_left_ = begun.cuts;
  line_ = begun.words;
  talk_.say("Going on with " + report::draft_title(kept.draft) + ".\n");
  resuming_ = kept;
  try {
    obey_word(words_of_line(begun.words));
  } catch (...) {
    resuming_.reset();
    throw;
  }
  if (resuming_) {  // it was not asked for what was typed
    talk_.say(fmt::format("  Nothing of that draft is asked for any more; 'drafts drop {}' takes it away.\n",
                          number_of(kept)));
  }
  resuming_.reset();
  cuts_left_ = 0;
}

/// The number of a draft stays its own until the program ends, whatever is dropped.
int Session::number_of(const app::KeptDraft& kept) {
  auto found = std::ranges::find(numbered_, kept.draft.begun.id);
  if (found == numbered_.end()) found = numbered_.insert(numbered_.end(), kept.draft.begun.id);
  return static_cast<int>(found - numbered_.begin()) + 1;
}

/// Enter does not drop it.
void Session::drop_draft(const app::KeptDraft& kept) {
  talk_.say("  " + report::draft_title(kept.draft) + ": " + report::draft_size_words(kept.draft) + ".\n");
  bool drops = false;
  try {
    drops = talk_.yes("Drop it for good?", false);
  } catch (const Back&) {
    // As good as no.
  } catch (const Leave& leave) {
    if (leave.why != Leave::Why::later) throw;
  }
  if (drops) drafts_.drop(kept);
  talk_.say(drops ? "  Dropped: " + report::draft_title(kept.draft) + ".\n" : "  It stays in 'drafts'.\n");
}

void Session::drafts_word(const std::vector<std::string>& words) {
  const auto kept = drafts_.list();
  for (const auto& draft : kept) number_of(draft);
  if (words.size() == 1) {
    std::vector<report::DraftRow> rows;
    for (const auto& draft : kept)
      rows.push_back({&draft.draft, draft.in_spare, draft.in_use, number_of(draft)});
    talk_.say(report::drafts_text(rows, talk_.options));
    return;
  }
  const std::string what = units::lowered(words[1]);
  if (words.size() != 3 || (what != "show" && what != "resume" && what != "drop"))
    throw UsageError(kDraftWords);
  if (kept.empty()) throw UsageError("nothing is unfinished: there is no draft.");
  const int number =
      units::parse_whole(words[2], "number of the draft", 1, static_cast<int>(numbered_.size()));
  const auto named = std::ranges::find_if(kept, [&](const auto& each) { return number_of(each) == number; });
  if (named == kept.end())
    throw UsageError(
        fmt::format("draft {} is not there any more. Hint: 'drafts' lists those that are", number));
  if (what == "resume") {
    resume(*named);
  } else if (what == "show") {
    talk_.say(report::draft_title(named->draft) + "\n" +
              report::draft_lines_text(named->draft.lines, talk_.options, true));
  } else {
    drop_draft(*named);
  }
}

/// Whether a draft is of what is in use now, and can be gone on with.
bool Session::is_offered(const app::KeptDraft& kept) const {
  return !kept.in_use && kept.draft.begun.station == (station_ ? station_->name : "");
}

/// On a terminal the latest one is offered; a script is only told. \returns whether it was gone on with
bool Session::offer_draft() {
  const auto kept = drafts_.list();
  const auto found = std::ranges::find_if(kept, [&](const auto& draft) { return is_offered(draft); });
  if (found == kept.end()) return false;
  for (const auto& draft : kept) number_of(draft);
  const std::string number = std::to_string(number_of(*found));
  talk_.say("Unfinished: " + report::draft_title(found->draft) + ", " +
            report::draft_size_words(found->draft) + ".\n");
  const auto offered = std::ranges::count_if(kept, [&](const auto& draft) { return is_offered(draft); });
  if (offered > 1) talk_.say(fmt::format("  {} more in 'drafts'.\n", offered - 1));
  if (!talk_.is_with_person()) {
    talk_.say("  " + std::string(kDraftWords) + "\n");
    return false;
  }
  std::size_t chosen = 1;
  try {
    chosen =
        talk_.choose("go on with it, later or drop", "go on with it", {"go on with it", "later", "drop"});
  } catch (const Leave& leave) {
    if (leave.why != Leave::Why::later) throw;
  } catch (const Back&) {
    // Neither: it stays.
  }
  if (chosen == 1) talk_.say("  It stays in 'drafts'.\n");
  if (chosen == 0) obey("drafts resume " + number);
  if (chosen == 2) obey("drafts drop " + number);
  return chosen == 0;
}

}  // namespace quarterturn::cli
