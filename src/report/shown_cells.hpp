// Of which modules the cells are drawn.
#pragma once

#include "heatrow/record/survey_record.hpp"

namespace heatrow {

// It is assessed, or the picture's border cuts it and what the pictures show was looked at.
bool shows_cells(const ModuleResult& result);

}  // namespace heatrow
