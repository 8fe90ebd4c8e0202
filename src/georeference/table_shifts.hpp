// Where the gaps between the modules of each table in the picture are along the row, whatever the lock was made of: a
// layout that draws a row half a module off is seen in this, as its gaps and those of other rows do not fit together.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/edges/band_probe.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <vector>

namespace heatrow::detail {

// Tables in view whose gaps tell one shift clearly from all others of a pitch, ascending. Gaps between cells repeat as
// well, several times a module, but show less.
std::vector<TableShift> table_shifts(const LayoutIndex& site,
                                     const PosedCamera& camera,
                                     BandProber& prober,
                                     const Eigen::Vector3d& camera_motion);

}  // namespace heatrow::detail
