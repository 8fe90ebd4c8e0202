// Pictures by which a person sees at a glance whether the layout fits the frames: each table's temperatures laid flat,
// with the outlines of its modules over them.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/table_picture.hpp"
#include "survey_inputs.hpp"

#include <vector>

namespace heatrow {

// One a table, in the order of the layout; those without a view are left out. Decodes again the few frames that show
// most of each table.
std::vector<TablePicture> make_table_strips(const SurveyInputs& inputs,
                                            const std::vector<FrameOutcome>& outcomes,
                                            const SurveyRecord& record,
                                            int threads,
                                            const Progress& progress);

}  // namespace heatrow
