// Shade and snow that nothing predicts, told by the cells that they cool.
#pragma once

#include "heatrow/score/profile.hpp"
#include "heatrow/score/score.hpp"
#include "heatrow/site/layout.hpp"

#include <vector>

namespace heatrow {

// Gives modules of which a part is as warm as like modules and the rest much cooler than these, beyond a straight line
// or in a box at the rim (the corner of a shadow), a `shade` that nothing throws: it is seen, not predicted. Only
// modules without predicted shade, of which a frame shows all. Cool cells are shaded, others that touch them lie at its
// edge.
//
// Much cooler: by *candidate_cool_k* below the median of like modules over the survey, and below the module's other
// part. Nothing electrical cools a cell below its healthy like, and bypassed substrings are no warmer than like modules
// by that: a module all of whose cells are as cool keeps its own finding (module_cooler).
void see_covers(const Layout& layout, const Profile& profile, std::vector<ModuleInput>& modules);

}  // namespace heatrow
