// The output folder of a run: survey.gpkg, findings.csv, modules.csv, strings/, tables/, report.html, manifest.json.
#pragma once

#include "heatrow/io/manifest.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/table_picture.hpp"

#include <filesystem>
#include <vector>

namespace heatrow {

// Writes everything aside and puts it in place at once (output_folder.hpp). Throws Error(output) with nothing left
// behind, an earlier result untouched; Error(internal) if the record breaks one of its invariants.
void write_results(const SurveyRecord& record,
                   const RunFacts& facts,
                   const std::vector<TablePicture>& tables,
                   const std::filesystem::path& folder,
                   bool overwrite);

}  // namespace heatrow
