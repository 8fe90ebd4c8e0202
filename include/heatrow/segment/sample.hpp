// Figures of every cell of every module in view, taken from the frame as it is.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/edges/point_spread.hpp"
#include "heatrow/segment/cell_sheet.hpp"
#include "heatrow/segment/light_scale.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <algorithm>
#include <memory>
#include <optional>
#include <vector>

namespace heatrow {

namespace detail {
class AxisFits;
}

// What is kept clear on each side of a cell that is sampled, since edges blur most there: `edge`, but at most a fifth
// of the cell's side. In any one unit.
inline double kept_clear(double side, double edge) {
    constexpr double kLargest = 0.2;
    return std::min(edge, kLargest * side);
}

// What holds for a whole run.
struct SampleOptions {
    double nodata = kNaN;        // count that means no data; NaN = none. Such pixels have no weight
    double lowest_count = kNaN;  // counts at or below, or at or above, are at the end of the camera's range
    double highest_count = kNaN;
    double minimum_cell_px = 0.0;     // below: too_few_pixels
    Radians minimum_elevation{0.0};   // between line of sight and module plane; below: angle_too_shallow
    double maximum_smear_px = kNaN;   // above: smeared
    std::vector<SpreadTerm> spread;   // point spread of optics and pixel together; none = plain means
    std::optional<CellSheet> sheet;   // heat between cells, for the fit; none = cells are even
    std::optional<LightScale> light;  // of the counts, for the fit; none = counts are light
    double edge_px = 0.5;             // see kept_clear
};

// Sets and clears the flags that the options' limits decide, from what the slot says of itself.
void judge_view(const SampleOptions& options, ModuleSlot& slot);

// What holds for one frame.
struct FrameCircumstances {
    // Of the camera during one detector time constant, m (velocity times time constant); NaN = not known: smear is not
    // judged, and the fit takes the camera for still.
    Eigen::Vector3d camera_motion_in_site{kNaN, kNaN, kNaN};
    double loss_w_m2k = CellSheet{}.loss_w_m2k;  // of the sheet in the frame's wind
    double highest_count = kNaN;                 // as in SampleOptions, where each frame shows its own end of range
};

// Samples frames of one site. Frames share what depends on few rounded figures, so that it is made once; what comes out
// depends on the frame alone.
class ModuleSampler {
  public:
    // `site` must outlive the sampler.
    ModuleSampler(const LayoutIndex& site, const SampleOptions& options);
    ~ModuleSampler();
    ModuleSampler(const ModuleSampler&) = delete;
    ModuleSampler& operator=(const ModuleSampler&) = delete;

    // Modules that lie wholly inside the picture and face the camera, in layout order. Corners come through the lens;
    // every cell's own corners too, so that distortion inside a module is kept. May be called from several threads.
    //
    // A cell's inside is the cell less `edge_px` on every side, but at least 60 % of its width. Each pixel weighs as
    // much as of it lies inside (Quad::coverage). `spread` and `pixels` are over that inside; `hottest` is the largest
    // 3 x 3 mean of which all nine pixels lie inside the whole cell.
    //
    // With a point spread `mean` is the fitted mean temperature of the whole cell, as docs/conventions.md defines a
    // cell's: cells and the surroundings of the module are taken as even sources, cells warming each other through the
    // sheet; the inside mean of each is a sum of all weighted by heat, blur and trail, and the rows x columns system is
    // solved, in light. These being taken as separable along the module's axes, that is one small matrix for rows and
    // one for columns. Where the fit would multiply noise more than fourfold, or a cell has no data, plain means stand.
    // Windows follow the middle of mass of a trailing picture.
    [[nodiscard]] std::vector<ModuleSlot> sample(const PosedCamera& camera,
                                                 CountView counts,
                                                 const FrameCircumstances& circumstances = {}) const;

    // The same of one module that the picture's border cuts and that faces the camera, flagged seen_in_part: cells that
    // are not wholly in the picture have no figures. Corners may lie outside the picture. In the fit the part that is
    // in the picture stands for a cell that the border cuts, and the nearest cell in the picture for one beyond it.
    // Nothing where the module is whole, or no cell is in the picture.
    [[nodiscard]] std::optional<ModuleSlot> sample_part(int module,
                                                        const PosedCamera& camera,
                                                        CountView counts,
                                                        const FrameCircumstances& circumstances = {}) const;

  private:
    const LayoutIndex& site_;
    SampleOptions options_;
    std::unique_ptr<detail::AxisFits> fits_;
};

}  // namespace heatrow
