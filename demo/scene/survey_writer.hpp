// Writes the survey folder and its truth (docs/formats/).
#pragma once

#include "fault_truth.hpp"
#include "output_folder.hpp"
#include "world.hpp"

#include <filesystem>
#include <vector>

namespace scene {

// survey.toml, layout.geojson, poses.csv, corners.csv (handheld), conditions.csv, module-types/.
void write_survey(const World& world,
                  const std::vector<std::vector<ViewTruth>>& views,
                  const std::filesystem::path& folder);

// faults.csv, outlines.csv, poses.csv, cells.csv, hidden.csv.
void write_truth(const World& world,
                 const std::vector<std::vector<ViewTruth>>& views,
                 const std::vector<FaultTruth>& faults,
                 const std::filesystem::path& folder);

}  // namespace scene
