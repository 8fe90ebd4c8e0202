// The joints of one group on one axis: rise over the air, its 95 % interval, and where the siblings stand.
#pragma once

#include "heatrow/report/joint_page.hpp"

#include <string>
#include <vector>

namespace heatrow {

// `hottest`: end of the axis, the same for all groups of a page. Joints without a scaled rise are hatched.
std::string joint_ladder_svg(const std::vector<const JointLine*>& joints, KelvinDelta hottest);

// A round end of the axis for all joints of a page.
KelvinDelta ladder_end(const std::vector<JointLine>& joints);

}  // namespace heatrow
