// What pictures in visible light show on modules with hot cells.
#pragma once

#include "heatrow/core/placed_view.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/score/score.hpp"
#include "visible_partners.hpp"

#include <span>
#include <vector>

namespace heatrow {

// Sets ModuleInput::visible of modules with cells that are hotter than the rest by a candidate's difference, from the
// partners of up to three thermal frames that show them largest. Pictures that do not fit the layout have no say.
void look_at_visible_frames(const SurveyInputs& inputs,
                            const LayoutIndex& site,
                            const VisiblePartners& partners,
                            std::span<const PlacedView> views,
                            int threads,
                            const Progress& progress,
                            std::vector<ModuleInput>& modules);

}  // namespace heatrow
