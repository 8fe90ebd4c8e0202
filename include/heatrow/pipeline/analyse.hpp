// The whole run: a survey folder to a survey record.
#pragma once

#include "heatrow/io/manifest.hpp"
#include "heatrow/io/result_writer.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/table_picture.hpp"

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

struct AnalyseOptions {
    int threads = 0;                // 0 = all cores; the result does not depend on it
    std::vector<std::string> hold;  // frames, modules or points whose control is only compared
    std::string program_version;
    Progress progress;  // may be empty
    // Folder that keeps what was measured in frames, for later runs (docs/formats/slot-records.md); absent: none.
    std::optional<std::filesystem::path> cache;
};

// What became of the records of earlier runs. Nothing of it shows in the results.
struct KeptRecords {
    std::size_t frames = 0;  // whose records were found: their pixels were not measured anew
    std::size_t of_frames = 0;
    std::filesystem::path file;  // empty: none are kept
    std::string problem;         // why none are kept although they were asked for; empty where all is well
};

struct AnalyseResult {
    SurveyRecord record;
    RunFacts facts;
    TablePictures tables;   // to see how the layout fits; drawing them decodes frames again
    PictureBytes pictures;  // of findings, in the order of record.pictures
    // What lies outside the limits of the profile or is incomplete, one sentence each; empty where all is within.
    std::vector<std::string> outside_limits;
    KeptRecords records;
};

// survey: the folder, or its survey.toml. Writes nothing; see io/result_writer.hpp.
// Throws Error where the run cannot go on (settings, layout, log of another day, no usable frame), Interrupted where
// the user stopped it. Frames that cannot be used are counted and named in the record.
AnalyseResult analyse(const std::filesystem::path& survey, const AnalyseOptions& options);

}  // namespace heatrow
