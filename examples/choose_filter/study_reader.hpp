// SPDX-License-Identifier: BSL-1.0
#pragma once

// Reads a study: a TOML file and the CSV files that it names. Whatever contradicts itself or cannot be meant is
// refused with place and hint (DataError); what is merely absent stays absent.

#include <string>
#include <string_view>
#include <vector>

#include <filterflow/study/study_input.hpp>

#include "data_error.hpp"
#include "file_source.hpp"

namespace choose_filter {

/// Where the parts of a study stand in its file, for what only the whole study shows to be wrong.
class StudyPlaces {
public:
    /// A message that holds all these words is about this place.
    void add(std::vector<std::string> words, SourcePlace place);
    /// The place of most words that a message holds, of those the one it names last; the file alone where it holds
    /// none.
    SourcePlace place_of(std::string_view message, const std::string& file) const;

private:
    struct Entry {
        std::vector<std::string> words;
        SourcePlace place;
    };
    std::vector<Entry> entries_;
};

/// A study as read, with its places.
struct StudyFile {
    filterflow::StudyInput study;
    StudyPlaces places;
};

/// Reads a study file. Paths in it are relative to it. Throws DataError.
StudyFile read_study_file(const std::string& path, const FileSource& files);
StudyFile read_study_file(const std::string& path);
/// The study alone.
filterflow::StudyInput read_study(const std::string& path, const FileSource& files);
filterflow::StudyInput read_study(const std::string& path);

/// Keys of a table of the study file, as the manual page lists them; `table` is one of study_tables().
const std::vector<std::string>& study_keys(std::string_view table);
/// Names of the tables of a study file, as "study", "stand.flow_element", "system.part".
std::vector<std::string> study_tables();

}   // namespace choose_filter
