// Module grids of single frames, in space relative to the camera.
#pragma once

#include "heatrow/georeference/grid_joining.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/site/module_type.hpp"
#include "survey_inputs.hpp"

#include <cstddef>
#include <string>
#include <vector>

namespace heatrow {

struct FrameGrids {
    std::vector<SeenGrid> grids;  // largest first
    std::string why_none;         // empty where there are some
};

// Of each frame of `inputs.files` that is wanted. `inputs` needs settings, profile, lens, flat field and files. Types
// give scale and shape.
std::vector<FrameGrids> see_grids(const SurveyInputs& inputs,
                                  const std::vector<std::size_t>& wanted,
                                  const std::vector<ModuleType>& types,
                                  int threads,
                                  const Progress& progress);

}  // namespace heatrow
