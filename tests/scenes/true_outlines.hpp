// What the renderer says of the modules in its frames (docs/formats/scene-truth.md), for the figures of tests/scenes.
#pragma once

#include <Eigen/Core>

#include <array>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

struct TrueModule {
    std::string id;
    std::array<Eigen::Vector2d, 4> corners_px;
    bool whole = false;  // in the picture
};

// Modules of each frame, from truth/outlines.csv.
std::map<std::string, std::vector<TrueModule>> read_true_outlines(const std::filesystem::path& file);
