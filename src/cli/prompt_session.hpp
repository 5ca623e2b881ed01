// SPDX-License-Identifier: MIT
/// \file prompt_session.hpp
/// What the prompt keeps between lines, and the conversations it leads. Each conversation has its own .cpp
/// file.
#pragma once

#include <functional>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "app/drafts.hpp"
#include "app/find_memory.hpp"
#include "app/find_step.hpp"
#include "app/run_check.hpp"
#include "app/taken_up.hpp"
#include "app/thread.hpp"
#include "app/typed_readings.hpp"
#include "cli/commands.hpp"
#include "cli/dialogue.hpp"
#include "correct/outcome.hpp"
#include "report/gap_test_words.hpp"

namespace quarterturn::cli {

/// A check that was computed, with what it was computed from.
struct Computed {
  app::CheckRequest request;
  correct::Outcome outcome;
  bool edges_old = false;  ///< something was moved since: no strip may lie across it
};

/// The rail turned end for end, by the widest gap alone.
struct RailTried {
  double gap_mm = 0;
  bool at_ends = false;  ///< widest there, else in the middle
  double over_mm = 0;    ///< 0: not known
};

/// A search for a cause as far as it was asked.
struct FindAsked {
  app::FindRequest request;
  std::vector<std::string> asked;  ///< codes of its tests, in order
};

class Session {
 public:
  Session(const Context& context, const Parsed& parsed, Dialogue& dialogue)
      : context_(context),
        confidence_(parsed),
        talk_(dialogue),
        drafts_(*context.log, context.spare_drafts) {}

  /// Greets, describes a station when there is none. \param check_now  begins with a check
  int run(bool check_now);

 private:
  // prompt.cpp: the words
  void greet();
  [[nodiscard]] std::string first_line() const;
  bool obey(const std::string& typed);
  void obey_word(const std::vector<std::string>& words);
  void take_station(const std::string& name);
  void station_word(const std::vector<std::string>& words);
  [[nodiscard]] Context in_use() const;

  // prompt_drafts.cpp
  void begin_draft(const std::string& words, const std::string& check = {}, int cuts = 0);
  [[nodiscard]] std::optional<app::KeptDraft> left_at(const std::string& words,
                                                      const std::string& check) const;
  void keep_line(const files::DraftLine& line);
  void finish_draft();
  bool leave_draft();
  void say_taken_up(const std::vector<files::DraftLine>& lines);
  void take_up_check(const std::string& id);
  void resume(const app::KeptDraft& kept);
  void drafts_word(const std::vector<std::string>& words);
  [[nodiscard]] bool is_offered(const app::KeptDraft& kept) const;
  int number_of(const app::KeptDraft& kept);
  void drop_draft(const app::KeptDraft& kept);
  bool offer_draft();

  // prompt_station.cpp
  void describe_station();

  // prompt_check.cpp
  void guided_check(std::optional<int> most_strips, int strips = 1);
  app::CheckRequest begun_check(std::optional<int> most_strips);
  void say_what_to_expect(const app::CheckRequest& request);
  void check_of_words(const std::vector<std::string>& words);
  void show_cuts(int first_cut, int last_cut, const station::Setup* setup, int strips = 1);
  bool compute(app::CheckRequest request, const std::string& more_of);

  // prompt_gaps.cpp
  void guided_gaps(const GapTestNamed& named);
  app::CheckRequest begun_gaps(GapTestNamed named);
  void ask_pieces(check::Check& check);
  void ask_gap_setup(check::Check& check);
  void ask_pieces_size(check::Check& check, const station::Setup* setup);
  void show_gap_test(const check::Check& check, const station::Setup* setup);

  // prompt_joints.cpp
  void ask_joints(check::Check& check);
  bool ask_joint(check::Check& check);
  double offered_apart(const check::Check& check) const;
  void one_more_joint();

  // prompt_more.cpp
  void more_cuts();
  bool one_more_cut(const Computed& base, int cuts_left);
  void go_on();

  // prompt_panel.cpp
  void ask_panel(check::Check& check, const station::Setup* setup, int cuts);
  check::PanelSize ask_panel_size(int cuts);
  [[nodiscard]] std::optional<check::PanelSize> panel_left() const;
  bool stays_large_enough(const check::PanelSize& panel, int cuts, double strip_mm);

  // prompt_strip.cpp
  std::optional<app::Ends> ask_strip(const std::string& name, double apart_mm, int last_cut,
                                     check::Check& check);
  bool ask_strips(check::Check& check, int strips);
  static constexpr double kLeastApartMm = 50;
  /// \param longest_mm  how long the strip may be: farther apart is asked about; 0 = not known
  double ask_apart(double fallback_mm, double least_mm, double longest_mm = 0);
  double ask_distance(double fallback_mm, double least_mm);
  bool confirm_ends(std::span<app::Ends> strips, int last_cut);
  void hold_against_move(app::CheckRequest& request);

  // prompt_log.cpp
  void say_state();
  void keep(const app::CheckRequest& request, const correct::Outcome& outcome, const std::string& more_of);
  void hold_to_kept(const logbook::KeptCheck& now) const;
  void keep_done(std::size_t move);
  std::optional<logbook::KeptCheck> kept_of(const std::function<logbook::KeptCheck()>& keep);
  void find_pending(const std::string& setup);

  // prompt_find.cpp
  void find_now();
  void ask_what_happened(const history::Search& search, const std::string& bad);
  void keep_happened(const history::Search& search, const std::string& bad, char letter,
                     const std::string& date, const std::string& about);
  [[nodiscard]] std::pair<std::string, std::string> between(const std::string& typed,
                                                            const std::string& since,
                                                            const std::string& until) const;
  bool say_noted_before(const std::string& bad);
  history::Answer ask_test(const history::TestRow& test, const history::Search& search);
  void ask_amount(const history::TestRow& test, history::Answer& answer);
  history::Answer ask_same_strip(const history::Search& search);
  history::Answer read_same_strip(const history::Search& search);
  void say_change_of_mind(const history::Search& before, const history::Search& now);
  void say_found_besides(const history::Search& search);
  bool end_search(const history::Search& search, std::size_t steps);
  bool end_unsettled(const history::Search& search, std::size_t steps);
  std::string ask_known_cause(const history::Search& search);
  bool ask_proof(const std::string& cause, std::size_t step);

  // prompt_correct.cpp
  void correct_now();
  void show_table(const correct::Outcome& outcome, std::size_t move);
  void ask_survey();
  void why();
  bool why_of_words();
  void ask_done(std::size_t move);
  void follow_noted_cause();
  bool ask_what_was_done(std::size_t move);
  void note_done(std::size_t move, bool already_told);

  // prompt_survey.cpp
  void guided_survey();

  // prompt_rail.cpp
  bool ask_rail(std::optional<logbook::KeptCheck>& kept);
  RailTried ask_tried();
  double ask_gap();
  double ask_rail_length();
  correct::Outcome take_rail(const RailTried& tried, std::optional<logbook::KeptCheck>& kept);
  [[nodiscard]] double rail_length_mm(const std::string& setup) const;

  // prompt_thread.cpp
  const Computed& last();
  void take_up_last();
  void take_over(app::TakenUp taken);
  void take_up_bench();
  bool edges_untouched();
  [[nodiscard]] bool stands_otherwise() const;
  [[nodiscard]] app::Advised advised_now(const std::string& station);
  [[nodiscard]] std::string thread_line(bool only_open);
  void say_thread(bool only_open = false);

  // prompt_proof.cpp
  struct Closing {
    history::Search search;  ///< for the cause of the bad check, as it stood before the proof
    app::NotedBehind noted;
    std::string bad;  ///< id of that check
  };
  [[nodiscard]] std::optional<Closing> search_to_close(const app::CheckRequest& request) const;
  void close_search(const Closing& closing, const correct::Outcome& proof);

  Context context_;
  Parsed confidence_;
  Dialogue& talk_;
  std::optional<station::Station> station_;
  std::optional<Computed> last_;
  std::optional<logbook::KeptCheck> kept_;  ///< the last check as it was kept
  std::string taken_up_;                    ///< `dock/3 of 14 March`, where that was out of the log
  bool taken_up_told_ = false;              ///< by the word in hand
  std::optional<FindAsked> search_;         ///< the last one
  std::pair<std::string, std::vector<std::string>> letters_;  ///< id of its check, codes by their letters
  std::vector<std::string> asked_;                            ///< the line whose answer `why` explains
  std::string thread_told_;                                   ///< the line that was shown last
  std::optional<correct::PendingMove> moved_;
  std::optional<app::SurveyInUse> surveyed_;  ///< the survey run last
  double apart_mm_ = 0;
  std::optional<check::PanelSize> panel_;  ///< as it was before its first cut
  int cuts_ = 0;                           ///< made on it since
  double strip_mm_ = 0;                    ///< width of its last strip
  bool cared_ = false;
  std::set<report::GapTestShown::Kind> gaps_cared_;  ///< whose cautions were told
  bool checking_ = false;
  bool correcting_ = false;
  bool rail_kept_ = false;  ///< by the word in hand, on its way to something else
  app::Drafts drafts_;
  std::vector<std::string> numbered_;                         ///< ids of drafts, as they came to be listed
  app::Drafts::Place draft_place_ = app::Drafts::Place::log;  ///< that was told
  std::optional<app::KeptDraft> resuming_;                    ///< until its conversation begins
  std::string line_;                                          ///< the words in hand, as they were typed
  int cuts_left_ = 0;                                         ///< that a draft of `more` has still to make
  int told_ = 0;  ///< strips of the check in hand that were told: they stand whatever comes
};

}  // namespace quarterturn::cli
