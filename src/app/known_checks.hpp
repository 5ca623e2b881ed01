// SPDX-License-Identifier: MIT
/// \file known_checks.hpp
/// What the log knows of a setup before a check: the earlier checks that its scatter may be learnt from, and
/// the last one. Maths METHOD.md (M18), (M40).
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "check/fit.hpp"
#include "correct/outcome.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

struct CheckRequest;

struct Known {
  std::vector<check::ScatterEvidence> earlier;  ///< by date; check_id is the record's id
  std::optional<correct::LastCheck> last;       ///< the check it is held against, if its side is known
  correct::Believed believed;                   ///< for the decision
  std::optional<correct::NotedCause> noted;     ///< since the newest check
  std::optional<correct::OtherTest> strips, turn_over;  ///< the newest of each as it stands now
  std::optional<correct::RailBow> rail;                 ///< the newest rail test of the rail as it is now
};

/// Checks of the setup on the same dogs, not withdrawn, since the last event after which it stood otherwise,
/// before `utc`. \param station  id in the log; \param as_now  the station as it is described now;
/// \param own_readings  of a check that does not count: the one that asks
/// \param as_recorded  with the log as it stood then, but for rail tests, which tell of the rail as it is
/// now; empty: as it stands
Known known_before(const logbook::Logbook& log, const std::string& station, const station::Station& as_now,
                   const std::string& setup, std::int64_t utc, const std::string& own_readings = {},
                   const std::string& own = {}, const files::Recorded& as_recorded = {});

/// Dogs, holes, faces and sides of one setup, as text to compare; the tolerance may change freely.
std::string places_of(const station::Station& station, const std::string& setup);

/// The station, setup and moment that a request asks about, as the log knows them.
struct AskedOf {
  std::string station, setup;  ///< station: its id
  std::int64_t utc = 0;
};
/// Empty when the log does not know the station.
std::optional<AskedOf> asked_of(const CheckRequest& request, const logbook::Logbook& log,
                                std::int64_t now_utc);

/// Puts into a request what the log knows of its setup before it, and says what that is. The check itself,
/// when it was kept already, also with other strips of the same panels, does not inform itself. Nothing when
/// the log does not know the station.
/// \param own  id of the check itself when it is kept and goes on; else empty
/// \param as_recorded  as in known_before
/// \throws units::InputError when its strips go on from a check after which something was moved
Known inform(CheckRequest& request, const logbook::Logbook& log, std::int64_t now_utc,
             const std::string& own = {}, const files::Recorded& as_recorded = {});

/// What the newest rail test told that still counts, whenever the check was that it is used for.
std::optional<correct::RailBow> newest_rail(const logbook::Logbook& log, const station::Station& station,
                                            const std::string& setup, std::int64_t now_utc);

/// Whether a check may be carried on with further cuts. \param kept  itself, when it is known; else it is
/// looked for by its strips \throws units::InputError when it was withdrawn, or something was moved since
void hold_to_go_on(const CheckRequest& request, const logbook::Logbook& log, std::int64_t now_utc,
                   const logbook::KeptCheck* kept = nullptr);

/// Earlier checks of a setup exactly as they stood when something was recorded: what a stored result was
/// computed with.
class EarlierAsKept {
 public:
  explicit EarlierAsKept(const logbook::Logbook& log);
  ~EarlierAsKept();
  std::vector<check::ScatterEvidence> at(const std::string& setup, const std::vector<std::string>& ids,
                                         const files::Recorded& recorded);

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
};

std::vector<std::string> ids_of(const std::vector<check::ScatterEvidence>& earlier);

}  // namespace quarterturn::app
