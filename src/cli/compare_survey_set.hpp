// The surveys that `compare` was given, in the order of their times.
#pragma once

#include "heatrow/compare/changes.hpp"

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace heatrow::cli {

struct SurveySet {
    std::vector<std::filesystem::path> files;  // survey.gpkg
    std::vector<std::unique_ptr<SurveyRecord>> owned;
    std::vector<const SurveyRecord*> records;  // those
    std::vector<std::string> names;            // "2027 (FILE)", for messages
    bool reordered = false;                    // they were given in another order
};

// Ids that several surveys share get their date behind them. Throws Error(input) where one cannot be read, Error(usage)
// where two are the same survey or none of one's frames was scored.
SurveySet read_surveys(const std::vector<std::filesystem::path>& folders_or_files);

}  // namespace heatrow::cli
