// The dark bands between neighbouring modules as a picture shows them: how widely it spreads them, which tells a smeared
// frame whose motion no log knows, and whether they are where the layout has them, which tells modules of another size.
#pragma once

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/site/layout_index.hpp"

#include <span>
#include <vector>

namespace heatrow {

// Of the bands that run one way.
struct BandSpread {
    // Second central moment of the mean dip across the bands, px^2; NaN: too few to tell. Cuts end 7 px from the band, so
    // that trails longer than 1.5 px read too short, though long.
    double variance_px2 = kNaN;
    double width_px2 = kNaN;     // the part of it that the bands' own width makes: width^2 / 12, mean
    int bands = 0;
};

// Of one slot: bands beside it that were cut, and those of them whose dip lies where the layout draws the band.
struct BandFit {
    int cut = 0;
    int fitting = 0;
};

struct FrameSpread {
    BandSpread along;   // across bands beside modules of one tier: spread along the row
    BandSpread across;  // across bands between tiers: spread up the slope
    std::vector<BandFit> fits;  // of each slot, in their order
};

// From straight cuts across the bands between neighbours among the slots of a frame (in layout order), averaged. Neither levels nor
// contrast nor sign of the bands matter, since moments are taken of the dip over its own area. nodata: count that means
// no data.
FrameSpread band_spread(const LayoutIndex& site,
                        std::span<const ModuleSlot> slots,
                        const PosedCamera& camera,
                        CountView counts,
                        double nodata);

}  // namespace heatrow
