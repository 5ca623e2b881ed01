// SPDX-License-Identifier: MIT
/// \file completion_sources.hpp
/// What the person has, for completion: stations and what belongs to them, checks, files.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/commands.hpp"
#include "cli/completion.hpp"
#include "station/station.hpp"

namespace quarterturn::cli {

/// \param in_use  the station whose setups, dogs, holes, shims and calipers come; none: those of all
std::vector<std::string> known_things(const Context& context, const std::optional<station::Station>& in_use,
                                      Known kind, const std::string& beginning);

/// Paths that begin so, folders with a `/` at their end. Hidden ones only where their dot was typed.
std::vector<std::string> paths_that_begin(const std::string& beginning);

std::vector<std::string> holes_of(const station::Grid& grid);

}  // namespace quarterturn::cli
