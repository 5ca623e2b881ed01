// SPDX-License-Identifier: MIT
/// \file placing.hpp
/// Files and folders put in their place so that they are there after a power cut too: a name is on the disk
/// once its folder was synced, not before.
#pragma once

#include <string>

namespace quarterturn::files {

/// Makes the folder and those above it that are not there. \throws FileTrouble
void make_folders(const std::string& folder);

/// Syncs the folder that `path` stands in. Not every file system can; that is no failure.
void sync_folder_of(const std::string& path);

/// `path`, or where it leads as a symbolic link, also to a file that is not there yet.
std::string behind_links(const std::string& path);

/// A name beside `path` that nothing has: `log.db.new-1234-0`.
std::string name_beside(const std::string& path);

/// Gives `from` the name `to`, and syncs the folder. What stands there already stays. \returns whether it was
/// free. \throws FileTrouble
bool place_new(const std::string& from, const std::string& to);

/// The same, over what stands there. \throws FileTrouble
void place_over(const std::string& from, const std::string& to);

}  // namespace quarterturn::files
