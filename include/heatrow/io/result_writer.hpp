// The output folder of a run: survey.gpkg, pictures, what is drawn from the record (rendering.hpp), manifest.json.
#pragma once

#include "heatrow/core/for_each.hpp"
#include "heatrow/io/manifest.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/table_picture.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow {

// Bytes of a picture that the record names (SurveyRecord::pictures), in its order.
using PictureBytes = std::vector<std::string>;

// Writes everything aside and puts it in place at once (output_folder.hpp). Pages and tables are drawn from the record
// as it reads back from survey.gpkg, so that `report` draws the same. `record.run` describes the same run as `facts`.
// Throws Error(output) with nothing left behind, an earlier result untouched; Error(internal) if the record breaks one
// of its invariants. The record is let go once survey.gpkg holds it. for_each: as render_folder. Returns what the user
// should know of the files: characters that no installed font has.
std::vector<std::string> write_results(SurveyRecord record,
                                       const RunFacts& facts,
                                       const TablePictures& tables,
                                       const PictureBytes& pictures,
                                       const std::filesystem::path& folder,
                                       bool overwrite,
                                       const ForEach& for_each = one_after_the_other);

}  // namespace heatrow
