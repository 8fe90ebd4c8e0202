// What partner frames in visible light show of findings.
#pragma once

#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "visible_partners.hpp"

#include <vector>

namespace heatrow {

// Of the gravest findings on modules, the module in the partner of the frame that shows it largest. Pictures that
// cannot be read are left out.
std::vector<VisiblePicture> make_visible_pictures(const SurveyInputs& inputs,
                                                  const VisiblePartners& partners,
                                                  const SurveyRecord& record,
                                                  int threads,
                                                  const Progress& progress);

}  // namespace heatrow
