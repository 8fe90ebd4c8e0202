// Reviewers' decisions from a file (docs/formats/decisions.md): the JSON that report.html saves, a table (CSV, XLSX),
// or the findings of an edited survey.gpkg.
#pragma once

#include "heatrow/record/review_merge.hpp"

#include <filesystem>
#include <string>

namespace heatrow {

// By the file's suffix: .json, .csv, .xlsx, .gpkg. `survey`: id of the record's survey, which a JSON file must name.
// Throws Error(input) naming file, row and field for a file that cannot be read, an unknown key or column near a known
// one, an unknown verdict or pattern, or a time without a zone.
DecisionFile read_decisions(const std::filesystem::path& file, const std::string& survey);

}  // namespace heatrow
