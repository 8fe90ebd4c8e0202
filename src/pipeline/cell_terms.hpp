// What the fit of cells leaves open of a cell's difference to its module.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/core/fused_cell.hpp"
#include "heatrow/site/module_type.hpp"
#include "survey_inputs.hpp"

#include <span>

namespace heatrow {

// Of the image of a module during one detector time constant, pixels of the detector.
struct CellMotion {
    double across_px = 0.0;    // by the log, along the module's rows; what the fit takes out
    double down_px = 0.0;      // the same along its columns
    double unlogged_px = 0.0;  // beyond it, as bands show it (frame_smear.hpp)
    double cells = 0.0;        // all of it over the sides of a cell along it
};

// What lies across the line of sight alone counts; the module is taken as seen squarely enough that its sides in the
// picture stand for all motion along them.
CellMotion motion_in_view(const SurveyInputs& inputs,
                          const FrameOutcome& outcome,
                          const ModuleSlot& slot,
                          const ModuleType& type);

// Over the views of a module; none: no motion.
CellMotion mean_motion(std::span<const CellMotion> views);

// Standard uncertainty, K per K: width of the point spread, length of the trail that the fit takes out, loss by motion
// that it does not know, light that strays beyond the spread, heat in the sheet (docs/radiometry.md).
double cell_relative_u(const SurveyInputs& inputs,
                       const ModuleType& type,
                       const FusedModule& fused,
                       const CellMotion& motion);

}  // namespace heatrow
