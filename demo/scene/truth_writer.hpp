// Writes what is true about a rendered survey: truth/ (docs/formats/scene-truth.md).
#pragma once

#include "fault_truth.hpp"
#include "mirror_truth.hpp"
#include "truth.hpp"
#include "world.hpp"

#include <filesystem>
#include <vector>

namespace scene {

// faults.csv, outlines.csv, mirrors.csv, layout_errors.csv, poses.csv, cells.csv, scene.csv, hidden.csv. views and
// mirrors: of each shot; in_mosaic: of the orthomosaic, where one stands in for the frames.
void write_truth(const World& world,
                 const std::vector<std::vector<ViewTruth>>& views,
                 const std::vector<ViewTruth>& in_mosaic,
                 const std::vector<std::vector<MirrorTruth>>& mirrors,
                 const std::vector<FaultTruth>& faults,
                 const std::filesystem::path& folder);

}  // namespace scene
