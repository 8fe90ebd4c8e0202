// An orthomosaic, a georeferenced raster of temperatures, in place of frames: cut into windows that are read one by
// one, each with a camera that looks straight down from so high that its picture is a map (docs/mosaic.md).
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/site/layout.hpp"

#include <Eigen/Core>

#include <filesystem>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

struct MosaicTile {
    RasterWindow window;
    FramePose pose;
    // Tiles overlap; a module belongs to the one within whose own part it is seen. px of the tile, the outermost reach
    // to infinity.
    Eigen::Vector2d own_from{0.0, 0.0};
    Eigen::Vector2d own_to{0.0, 0.0};
};

struct Mosaic {
    // Of the cameras above the modules, m: heights of modules then shift a pixel in a thousand at most.
    static constexpr double kHeight_m = 5000.0;

    Lens lens;  // of every tile
    double pixel_m = 0.0;
    std::optional<double> nodata;   // as the raster states it
    std::vector<MosaicTile> tiles;  // those that may show modules, row by row
    std::vector<FrameFile> files;   // one for each, named by the raster and the place in it: plant.tif-x640-y1280

    // Whether the module seen about `centre_px` of a tile belongs to it.
    [[nodiscard]] bool is_own(std::size_t tile, const Eigen::Vector2d& centre_px) const;
};

// Reads where the raster lies, no pixel. reach_m: how far it may be off. Throws Error(input) naming the file: no such
// file, no GeoTIFF of one band, no georeference or CRS, pixels that are not square or mirrored, nothing of the layout
// in it.
Mosaic plan_mosaic(const std::filesystem::path& file, const Layout& layout, double reach_m);

}  // namespace heatrow
