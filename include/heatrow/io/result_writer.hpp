// The output folder of a run: survey.gpkg, findings.csv, findings.xlsx, modules.csv, strings/, tables/,
// report.html, report.pdf, manifest.json.
#pragma once

#include "heatrow/io/manifest.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/table_picture.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow {

// Writes everything aside and puts it in place at once (output_folder.hpp). Throws Error(output) with nothing left
// behind, an earlier result untouched; Error(internal) if the record breaks one of its invariants. Returns what the
// user should know of the files: characters that no installed font has.
std::vector<std::string> write_results(const SurveyRecord& record,
                                       const RunFacts& facts,
                                       const std::vector<TablePicture>& tables,
                                       const std::filesystem::path& folder,
                                       bool overwrite);

}  // namespace heatrow
