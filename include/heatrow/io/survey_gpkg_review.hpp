// The review log inside a survey.gpkg.
#pragma once

#include "heatrow/record/review.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow {

struct KeptReview {
    std::string survey;            // id
    std::vector<ReviewEntry> log;  // empty also for a file of a version that kept none
};

// Throws Error(input) if the file is no survey.gpkg.
KeptReview read_review_log(const std::filesystem::path& gpkg);

// Adds rows to the log and writes what now holds into the layer `findings`; nothing else of the file is touched, styles
// and columns that others added included. `log`: the whole log, of which the last `added` entries are new.
// Throws Error(output).
void append_review_log(const std::filesystem::path& gpkg, const std::vector<ReviewEntry>& log, std::size_t added);

// Writes what the review log makes of findings, modules and strings (standing_review.hpp) into their layers, beside
// what the program found; for a file that was written with a log. Throws Error(output).
void write_standing(const std::filesystem::path& gpkg);

}  // namespace heatrow
