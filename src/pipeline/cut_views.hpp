// Modules that no frame shows whole: what the pictures show of them. They speak for nothing else: names, levels,
// templates and references rest on whole views.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/georeference/naming.hpp"
#include "heatrow/pipeline/progress.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <span>
#include <vector>

namespace heatrow {

// Adds slots and views, flagged seen_in_part, of modules of which no frame has a slot, to frames whose names are
// decided and that show a module of the same table whole. `left_out`: modules whose place is not where the layout draws
// it. How their sides fit goes to `FrameOutcome::spread`. Frames that show such a module are read again.
void add_cut_views(const SurveyInputs& inputs,
                   const LayoutIndex& site,
                   std::span<const FrameName> names,
                   std::span<const int> left_out,
                   int threads,
                   const Progress& progress,
                   std::vector<FrameOutcome>& outcomes);

}  // namespace heatrow
