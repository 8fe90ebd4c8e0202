// Writes the survey folder: what the analyser reads beside the frames (docs/formats/).
#pragma once

#include "output_folder.hpp"
#include "truth.hpp"
#include "world.hpp"

#include <filesystem>
#include <vector>

namespace scene {

// In the survey folder: the visible-light frames, where the scene has any.
constexpr const char* kVisibleFolder = "visible";

// survey.toml, layout.geojson, poses.csv, corners.csv (handheld), conditions.csv, module-types/, visible.csv (with
// [visible]).
void write_survey(const World& world,
                  const std::vector<std::vector<ViewTruth>>& views,
                  const std::filesystem::path& folder);

}  // namespace scene
