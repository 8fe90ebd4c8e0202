// Outputs that are drawn from the record alone, by the names that `report --only` takes.
#pragma once

#include "heatrow/io/site_projection.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/report_model.hpp"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct Rendering {
    std::string_view name;                // "html"
    std::vector<std::string_view> files;  // files and folders below the result folder that it writes
    void (*write)(const ReportModel& model, const std::filesystem::path& folder);
};

// All of them, in the order in which they are written.
const std::vector<Rendering>& renderings();

// Those of the given names; all for no name. Throws Error(usage) for an unknown name, with the nearest known one.
std::vector<Rendering> renderings_named(const std::vector<std::string>& names);

// What a report needs beside the record that lies in the folder. Both must outlive it.
ReportContext context_beside(const SiteProjection& projection, const std::filesystem::path& folder);

// Draws the record that lies in the folder (survey.gpkg and the pictures beside it) into the folder, and returns it.
// None of the files may be there.
SurveyRecord render_folder(const std::filesystem::path& folder, const std::vector<Rendering>& which);

}  // namespace heatrow
