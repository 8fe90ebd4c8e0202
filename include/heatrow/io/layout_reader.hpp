// Layout files: any vector file that GDAL reads, one polygon per module (docs/formats/layout.md).
#pragma once

#include "heatrow/io/module_type_reader.hpp"
#include "heatrow/site/layout.hpp"

#include <filesystem>
#include <optional>

namespace heatrow {

// `origin` absent: south-west corner of the bounding box of the outlines in WGS 84 degrees, height 0. `elevation`:
// raster of the ground's heights; heights of modules then count from the ground (docs/formats/layout.md). Throws
// Error(input) naming file, module and value for every error that layout.md lists.
Layout read_layout(const std::filesystem::path& file,
                   const ModuleTypeCatalogue& types,
                   const std::optional<SiteOrigin>& origin,
                   const std::optional<std::filesystem::path>& elevation = std::nullopt);

}  // namespace heatrow
