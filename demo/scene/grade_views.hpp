// Names, places and outlines of views against the true outlines.
#pragma once

#include "grade_input.hpp"

#include <string>
#include <vector>

namespace scene {

struct ViewSums {
    int views = 0, right = 0, wrong = 0, elsewhere = 0, ambiguous = 0;
    int whole_outlines = 0, whole_outlines_named = 0;
    int visible_modules = 0, unnamed_modules = 0, ambiguous_modules = 0;  // ambiguous: no view named, some ambiguous
    int modules = 0, modules_assessed = 0;
    std::vector<double> outline_errors_px;  // of right views: mean distance of the corners
    std::vector<double> place_errors_m;     // of right views: the middle, in the module's plane
    std::vector<std::string> notes;         // views that are not right
};

// Adds one survey's. Surveys that were refused must not be given.
void add_views(ViewSums& sums, const GradeInput& input);

}  // namespace scene
