// What a frame shows of each finding, cut out of the frame that shows it best.
#pragma once

#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "survey_inputs.hpp"

#include <vector>

namespace heatrow {

// In the order of the record's findings; those that no frame shows are left out. Decodes each frame that is chosen
// once more.
std::vector<FindingCrop> make_finding_crops(const SurveyInputs& inputs,
                                            const SurveyRecord& record,
                                            int threads,
                                            const Progress& progress);

}  // namespace heatrow
