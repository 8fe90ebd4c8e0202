// Writes the survey folder and its truth (docs/formats/).
#pragma once

#include "heatrow/core/image.hpp"
#include "truth.hpp"
#include "world.hpp"

#include <cstdint>
#include <filesystem>
#include <vector>

namespace scene {

// 16-bit single-band TIFF, DEFLATE, predictor 2. Safe from several threads.
void write_frame(const std::filesystem::path& file, const heatrow::Image<std::uint16_t>& counts);

// survey.toml, layout.geojson, poses.csv, corners.csv (handheld), conditions.csv, module-types/.
void write_survey(const World& world,
                  const std::vector<std::vector<ViewTruth>>& views,
                  const std::filesystem::path& folder);

// faults.csv, outlines.csv, poses.csv, cells.csv.
void write_truth(const World& world,
                 const std::vector<std::vector<ViewTruth>>& views,
                 const std::vector<FaultTruth>& faults,
                 const std::filesystem::path& folder);

// Writes a text file; a failure is an Error.
void write_text(const std::filesystem::path& file, const std::string& text);

}  // namespace scene
