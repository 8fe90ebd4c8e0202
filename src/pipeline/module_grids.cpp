#include "heatrow/pipeline/module_grids.hpp"

#include "heatrow/vision/framed_patches.hpp"

#include <utility>

namespace heatrow {

tl::expected<std::vector<ModuleGrid>, Rejection> find_module_grids(CountView counts, const GridOptions& options) {
    FramedPatchOptions patch_options;
    patch_options.nodata = options.nodata;
    std::vector<PatchSet> sets;
    for (FramedPatches& found : find_framed_patches(counts, patch_options)) {
        sets.push_back({found.dark_lines, found.line_sigma_px, std::move(found.corners_px)});
    }
    return fit_module_grids(sets, counts, options);
}

}  // namespace heatrow
