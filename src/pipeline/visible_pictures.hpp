// What partner frames in visible light show of findings.
#pragma once

#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "visible_partners.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct VisiblePictures {
    std::vector<VisiblePicture> pictures;  // in the order of the findings
    std::vector<std::string> notes;        // why findings that might have one do not, in sentences
};

// Of the gravest findings on modules, the module in the partner of the frame that shows it largest. Pictures that
// cannot be used are left out.
VisiblePictures make_visible_pictures(const SurveyInputs& inputs,
                                      const VisiblePartners& partners,
                                      const SurveyRecord& record,
                                      int threads,
                                      const Progress& progress);

}  // namespace heatrow
