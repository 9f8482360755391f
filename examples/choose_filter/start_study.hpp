// SPDX-License-Identifier: BSL-1.0
#pragma once

// A commented study to begin from: writes a study file and small tables of readings that run as they are.

#include <filesystem>
#include <map>
#include <string>

namespace choose_filter {

/// The files of the study to begin from, by name.
const std::map<std::string, std::string>& start_files();

/// Writes them into a directory, which is made if needed. Throws DataError, and writes nothing, if one of them is
/// there already.
void write_start_study(const std::filesystem::path& directory);

}   // namespace choose_filter
