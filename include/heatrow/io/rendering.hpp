// Outputs that are drawn from the record alone, by the names that `report --only` takes.
#pragma once

#include "heatrow/core/for_each.hpp"
#include "heatrow/io/site_projection.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/report_model.hpp"

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct Rendering {
    std::string_view name;  // "html"
    // Files and folders below the result folder that it writes; some of them only where there is cause to. `*` at the
    // end of a name stands for any rest.
    std::vector<std::string_view> files;
    // Returns what the user should know of the files.
    std::vector<std::string> (*write)(const ReportModel& model, const std::filesystem::path& folder);
};

// Whether a rendering writes a file or folder of this name.
bool is_written_by(const Rendering& rendering, std::string_view name);

// All of them, in the order in which they are written.
const std::vector<Rendering>& renderings();

// Those of the given names; all for no name. Throws Error(usage) for an unknown name, with the nearest known one.
std::vector<Rendering> renderings_named(const std::vector<std::string>& names);

// What a report needs beside the record that lies in the folder. Both must outlive it.
ReportContext context_beside(const SiteProjection& projection, const std::filesystem::path& folder);

struct RenderedFolder {
    SurveyRecord record;
    std::vector<std::string> notes;  // what the user should know of the files: characters that no font has
};

// Files that are written into the folder meanwhile, and count as lying there.
struct OtherFiles {
    std::vector<std::string> names;
    std::function<void(std::size_t)> write;  // the i-th; on any thread
};

// Draws the record that lies in the folder (survey.gpkg and the pictures beside it) into the folder. None of the files
// may be there. for_each: over renderings and other files; the files do not depend on it.
RenderedFolder render_folder(const std::filesystem::path& folder,
                             const std::vector<Rendering>& which,
                             const ForEach& for_each = one_after_the_other,
                             const OtherFiles& others = {});

}  // namespace heatrow
