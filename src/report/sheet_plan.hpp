// The plan on a sheet: modules, strings, wiring, ids.
#pragma once

#include "canvas.hpp"
#include "heatrow/site/layout.hpp"
#include "label_room.hpp"

namespace heatrow {

// What could not be written at this scale.
struct PlanOmissions {
    bool module_ids = false;
    int string_ids = 0;
    int table_ids = 0;
};

// North up, the array in the middle of the window. px_per_m: scale of the drawing.
PlanOmissions draw_sheet_plan(Canvas& canvas, const Layout& layout, const PlanRect& window, double px_per_m);

// Ground that the modules cover, east and north, m.
PlanRect ground_of(const Layout& layout);

}  // namespace heatrow
