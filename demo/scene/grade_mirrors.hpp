// What is mirrored in the modules: disturbances that must not be reported, faults that lie among them.
#pragma once

#include "grade_input.hpp"

#include <string>
#include <vector>

namespace scene {

struct MirrorSums {
    int sun = 0;           // disturbances: one kind in one module of one frame
    int others = 0;        // cloud edges, walls, operator
    int sun_reported = 0;  // of them, those whose cells a false finding shares
    int others_reported = 0;
    int zone_faults = 0;  // faults in scope that some frame shows under a mirrored sun
    int zone_faults_found = 0;
};

// Adds one survey's. Surveys that were refused must not be given.
void add_mirrors(MirrorSums& sums, const GradeInput& input);

}  // namespace scene
