// Constant errors of a flight's logged heights and headings, found from how rows and tables lie in a few frames.
#pragma once

#include "coverage_match.hpp"
#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <map>
#include <tuple>
#include <utility>
#include <vector>

namespace heatrow::detail {

// A frame of the search; keeps its reduced pictures. Two things tell modules from the rest: their level, either way,
// and the lines of rims and gaps. Where ground is as warm as glass, or shadows lie beside rows, the lines still speak.
class CoverageFrame {
  public:
    CoverageFrame(CountView counts, const FramePose& logged, double nodata)
        : counts_(counts), logged_(logged), nodata_(nodata) {}

    [[nodiscard]] const FramePose& logged() const { return logged_; }

    // What a pose explains of the picture under displacements up to a reach.
    struct Match {
        int reach = 0;                          // blocks
        Eigen::Matrix2d shift_by_displacement;  // blocks per m of the camera to the east and to the north
        double block_m = 0.0;
        double independent = 0.0;  // samples that the picture is worth
        // Shares over shifts, as explained_by_shift: of the counts, and of how strong lines are.
        Eigen::ArrayXXf counts;
        Eigen::ArrayXXf lines;

        [[nodiscard]] bool empty() const { return counts.size() == 0; }
        // Natural log of the likelihood gain over a layout that is not there.
        [[nodiscard]] Eigen::ArrayXXf gain(bool warmer) const;
    };
    // With blocks of about block_m on the modules. Empty where no module can be in the picture, or hardly one fits into
    // it.
    Match match(const LayoutIndex& site,
                const Lens& lens,
                const FramePose& pose,
                double block_m,
                double reach_m,
                double blur_m = 0.0,
                int smallest_block = 3);

  private:
    enum class Channel { counts, lines };
    const BlockPicture& blocks_of(Channel channel, int block_px);
    const BlockPicture& reduced(Channel channel, int block_px, double blur_blocks);

    CountView counts_;
    Image<float> lines_;  // made when first asked for
    FramePose logged_;
    double nodata_;
    std::map<std::pair<Channel, int>, BlockPicture> blocks_;  // blurs are many, each with its height: sizes are few
    std::map<std::tuple<Channel, int, double>, BlockPicture> reduced_;
};

struct HeightSearch {
    double height_m = 120.0;  // the error is at most that, up or down
    Radians heading = degrees(6.0);
    double displacement_m = 6.0;
};

struct HeightHeading {
    double height_m = 0.0;  // to add to logged heights
    Radians heading{0.0};   // to add to logged yaws
    bool warmer = true;     // modules than the rest
    // Natural log of how much more probable that is than the best quite different one (another scale by a tenth or
    // more, or the other sign).
    double margin = 0.0;
};

// Every frame votes, with a bounded vote, for the height, heading and sign under which some displacement of its own
// explains the picture best: first a grid over all of the search with blocks of half a metre, then steps that halve
// about the best, with finer blocks. Displacements of frames need not agree: a drifting bias does not disturb it.
HeightHeading find_height_and_heading(const LayoutIndex& site,
                                      const Lens& lens,
                                      std::vector<CoverageFrame>& frames,
                                      const HeightSearch& search,
                                      const ForEach& for_each);

}  // namespace heatrow::detail
