// The frames of a survey: files of a folder by a name pattern.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Part of a raster, px from its upper left pixel.
struct RasterWindow {
    int left = 0;
    int top = 0;
    int width = 0;
    int height = 0;
};

struct FrameFile {
    std::string name;  // file name, the frame's id everywhere
    std::filesystem::path path;
    std::optional<RasterWindow> window{};  // of an orthomosaic (mosaic.hpp); else the frame is the whole file
    std::string sha256{};                  // of the file, where it is known before it is read
};

// Files of `folder` whose name matches `pattern` ('*' any run, '?' any one character), in natural order of names.
// Throws Error(input) where the folder is missing or no file matches, naming what the folder holds instead.
std::vector<FrameFile> list_frames(const std::filesystem::path& folder, std::string_view pattern);

bool matches_pattern(std::string_view name, std::string_view pattern);

}  // namespace heatrow
