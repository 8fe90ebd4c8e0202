// Thermal pictures of findings: the module in frames that it was judged from.
#pragma once

#include "heatrow/io/result_writer.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "survey_inputs.hpp"

namespace heatrow {

struct FindingPictures {
    std::vector<FindingPicture> pictures;  // in the order of the findings
    PictureBytes bytes;                    // PNG, in the same order
};

// Of the gravest findings on modules, from two frames each: the one that shows the module largest, and the one taken
// longest before or after it. Apparent temperatures as exported, one colour scale for all. Frames that cannot be read
// again are left out.
FindingPictures make_finding_pictures(const SurveyInputs& inputs,
                                      const SurveyRecord& record,
                                      int threads,
                                      const Progress& progress);

}  // namespace heatrow
