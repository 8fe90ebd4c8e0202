// Pictures by which a person sees at a glance whether the layout fits the frames: each table's temperatures laid flat,
// with the outlines of its modules over them.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/table_picture.hpp"
#include "survey_inputs.hpp"

#include <memory>
#include <vector>

namespace heatrow {

// Of each table with a view. Drawing decodes again the few frames that show most of the table; a frame that two tables
// need is decoded once where they are drawn soon after each other.
TablePictures make_table_strips(std::shared_ptr<const SurveyInputs> inputs,
                                const std::vector<FrameOutcome>& outcomes,
                                const SurveyRecord& record,
                                const Progress& progress);

}  // namespace heatrow
