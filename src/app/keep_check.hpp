// SPDX-License-Identifier: MIT
/// \file keep_check.hpp
/// Checks into the log and out of it again: what is kept is what was read, as it was typed, with the station
/// as it was; what it told can be computed again from that.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "app/run_check.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

/// What a check told, in the form that is kept.
files::StoredResult stored_result(const correct::Outcome& outcome, const CheckRequest& request,
                                  std::vector<std::string> used = {});

/// The two records of a new check. \param station, station_version  ids in the log
/// \throws units::InputError on a date in the future
std::pair<files::CheckRecord, files::CheckVersion> records_of(
    const CheckRequest& request, const correct::Outcome& outcome, const std::string& station,
    const std::string& station_version, std::int64_t now_utc, std::vector<std::string> used = {});

/// Why a check that was measured on has a further version.
inline constexpr const char* kMeasuredOn = "measured on: more cuts on the same panel";
inline constexpr const char* kJointAdded = "measured on: one more joint";

/// Keeps a check; one that goes on from a kept one as a further version of it. A station that the log does
/// not know is added, one that was described anew since is brought up to date. A check without a date is of
/// today. \param now_utc  seconds from 1970 \throws units::InputError without a station, on a date in the
/// future, when the same readings of that day are there already, or when its strips go on from a check after
/// which something was moved
logbook::KeptCheck keep_check(logbook::Logbook& log, const CheckRequest& request,
                              const correct::Outcome& outcome, std::int64_t now_utc,
                              std::vector<std::string> used = {});

/// The same readings of that day, if they are kept already.
std::optional<logbook::KeptCheck> kept_already(const logbook::Logbook& log, const CheckRequest& request,
                                               const correct::Outcome& outcome, std::int64_t now_utc);

/// The request that a kept check was, without the checks that informed it.
CheckRequest request_of(const logbook::Logbook& log, const files::CheckVersion& version);

/// Amends a check: a key of its readings' header (`date`, `by`, `note`, `caliper`, `panel-size`, …) gets
/// another value, or goes with an empty one; key `readings` takes all of a readings file. \throws
/// units::InputError on a key or value that is none, or without a reason
logbook::KeptCheck amend_check(logbook::Logbook& log, const logbook::KeptCheck& kept, const std::string& key,
                               const std::string& value, const std::string& reason, std::int64_t now_utc);

/// The same check, measured on: a further version of it, with the reason.
logbook::KeptCheck amend_with(logbook::Logbook& log, const logbook::KeptCheck& kept,
                              const CheckRequest& request, const correct::Outcome& outcome,
                              const std::string& reason, std::int64_t now_utc, std::vector<std::string> used);

/// A kept check, computed again.
struct Recomputed {
  std::string check, what;  ///< name, and what differs
};
/// Computes every version of every check again and holds it against what was kept: estimates, uncertainties
/// and half-widths to 1e-9 relative, verdicts exactly. \returns what differs, or cannot be computed any more
std::vector<Recomputed> recompute(const logbook::Logbook& log);

/// `dock/3`
std::string name_of(const logbook::Logbook& log, const logbook::KeptCheck& kept);

}  // namespace quarterturn::app
