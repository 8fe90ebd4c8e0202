// A result folder made anew from one that is there: the same record, drawn again, or with more in its review log.
#pragma once

#include "heatrow/io/rendering.hpp"
#include "heatrow/record/survey_record.hpp"

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace heatrow {

struct RemakeOptions {
    std::filesystem::path from;  // result folder, or a survey.gpkg
    std::filesystem::path to;    // may be the same folder as `from`
    bool overwrite = false;
    std::vector<Rendering> renderings;  // the others are taken over as they are
    std::string command;                // for the manifest, e.g. "report"
    std::string program_version;        // e.g. "0.1.0"
    // Changes survey.gpkg before it is drawn; may be empty.
    std::function<void(const std::filesystem::path& gpkg)> change;
};

// The record of a result folder, or the file itself. Throws Error(input) if there is none.
std::filesystem::path record_file(const std::filesystem::path& folder_or_file);

// Writes aside and renames (output_folder.hpp). Every file of the old folder that is not drawn again is taken over,
// also those that are not the program's. Throws Error as render_folder, OutputFolder and `change`
// do; then nothing was changed.
RenderedFolder remake_result(const RemakeOptions& options);

}  // namespace heatrow
