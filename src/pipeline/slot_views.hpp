// Temperatures of the slots of one frame.
#pragma once

#include "heatrow/core/slot_record.hpp"
#include "heatrow/fuse/fuse.hpp"
#include "heatrow/radiometry/measurement.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"
#include "view_conditions.hpp"

#include <vector>

namespace heatrow {

struct SlotViews {
    std::vector<ModuleView> views;             // temperatures of each slot of the record, in its order
    std::vector<ObjectConditions> conditions;  // under which they were computed
};

// The frame's conditions must be known.
SlotViews views_of(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   const ViewConditions& view_conditions,
                   const SlotRecord& record);

}  // namespace heatrow
