// The frames of a survey laid flat over the site: a georeferenced raster, as photogrammetry makes one.
#pragma once

#include "heatrow/core/image.hpp"
#include "truth.hpp"
#include "world.hpp"

#include <filesystem>
#include <vector>

namespace scene {

// `readings_c`: what the camera puts out, of every shot. Each pixel is taken from the frame that was taken nearest to
// overhead, through the true pose and the true surfaces; the CRS is the site's UTM zone. Counts 0 where no frame sees.
// Returns every module's true outline in pixels of the raster.
std::vector<ViewTruth> write_mosaic(const World& world,
                                    const std::vector<heatrow::Image<float>>& readings_c,
                                    const std::filesystem::path& file);

}  // namespace scene
