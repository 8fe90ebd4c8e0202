// The output folder of `compare` (docs/formats/changes.md).
#pragma once

#include "heatrow/compare/changes.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow {

struct ComparisonFolder {
    std::filesystem::path out;
    bool overwrite = false;
    std::string program_version;                // for the manifest
    std::vector<std::filesystem::path> inputs;  // the surveys' survey.gpkg, in the order of the comparison
    std::string profile;                        // id and version
    std::string page;                           // changes.html
};

// changes.csv, steps.csv, identities.csv, changes.gpkg, changes.html and manifest.json, written aside and put in place
// by one rename. Throws Error(output) as OutputFolder does.
void write_comparison(const Comparison& comparison,
                      std::span<const SurveyRecord* const> surveys,
                      const ComparisonFolder& folder);

}  // namespace heatrow
