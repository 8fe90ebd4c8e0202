// The `render` command.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace scene {

struct RenderOptions {
    std::filesystem::path scene;
    std::filesystem::path out;
    std::optional<std::uint64_t> seed;  // instead of the scene's
    int threads = 0;                    // 0 = all cores
    bool overwrite = false;
    bool plan_only = false;  // settings, layout and logs without frames, temperatures and truth of faults
};

struct RenderSummary {
    int frames = 0;
    int modules = 0;
    int strings = 0;
    int faults = 0;
    int in_scope = 0;
    double median_views = 0.0;  // whole views of a module
    std::string season;         // empty where the scene has none
};

// Frames done and of how many, of one survey; called from several threads, never at once.
using Progress = std::function<void(int, int)>;

// One summary for each survey that was rendered: for each season, or one.
std::vector<RenderSummary> render_scene(const RenderOptions& options, const Progress& progress);

}  // namespace scene
