// SPDX-License-Identifier: MIT
/// \file measured_on.hpp
/// Strips are told one by one, and two lots of them are one check as long as nothing was moved between them:
/// a strip whose corners lie on both sides of a move tells of neither.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "check/check.hpp"
#include "logbook/logbook.hpp"

namespace quarterturn::app {

/// How the strips of a check stand to those of a kept one.
enum class Overlap {
  none,
  same,     ///< the same strips, whatever the day
  goes_on,  ///< all of the kept check's, and more
  part      ///< some of the kept check's, and no others
};

/// Strips are the same when panel, cuts, places and all readings are; fewer than four readings may be so by
/// chance, as gaps may, and count on the same day only.
Overlap overlap(const check::Check& now, const check::Check& kept);

/// A kept check that has strips in common with another.
struct Shared {
  std::string id, date, recorded;
  std::int64_t utc = 0;
  Overlap overlap = Overlap::none;
};

/// The first event after a kept check behind which a strip tells of another stand.
std::optional<files::EventRecord> moved_after(const logbook::Logbook& log, const std::string& station,
                                              const std::string& setup, const Shared& shared);

/// So many checks are looked through for strips in common.
inline constexpr std::size_t kNewest = 20;

/// Among the newest checks of the setup. \param now  with its date
/// \param measured_now  strips that were cut today behind a move are new ones, though they read the same
std::optional<Shared> shared_strips(const logbook::Logbook& log, const std::string& station,
                                    const std::string& setup, const check::Check& now, bool measured_now);

/// \throws units::InputError when the strips go on from a check after which something was moved
void hold_to_one_stand(const logbook::Logbook& log, const std::string& station, const std::string& setup,
                       const Shared& shared, const std::string& source);

/// The most strips that the kept check was planned for, which its further strips keep to. \param planned  as
/// asked for; empty: not said
/// \throws units::InputError when another number was asked for: it is fixed before the first cut
std::optional<int> planned_strips_of(const logbook::Logbook& log, const Shared& shared,
                                     std::optional<int> planned);

/// The rows of the first strip without their notes: the same in all readings that go on from it.
/// \param readings  as files::write_readings writes them
std::string first_strip(std::string_view readings);

}  // namespace quarterturn::app
