// Constant errors of a flight's logged heights and headings, found from how rows and tables lie in a few frames.
#pragma once

#include "coverage_match.hpp"
#include "heatrow/camera/lens.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/site/layout_index.hpp"

#include <Eigen/Core>

#include <map>
#include <utility>
#include <vector>

namespace heatrow::detail {

// Independent samples that the rows in one frame are worth (own choice: a handful of rows, a dozen modules long). The
// same for every height, or large heights, where more modules fit into the picture, would shout.
inline constexpr double kIndependentRows = 40.0;

// A frame of the search; keeps its reduced pictures.
class CoverageFrame {
  public:
    CoverageFrame(CountView counts, const FramePose& logged, double nodata)
        : counts_(counts), logged_(logged), nodata_(nodata) {}

    [[nodiscard]] const FramePose& logged() const { return logged_; }
    const BlockPicture& reduced(int block_px, double blur_blocks);

    // Scores at a pose over displacements up to reach_m, with blocks of about block_m on the modules.
    struct Match {
        ShiftScores scores;
        Eigen::Matrix2d shift_by_displacement;  // blocks per m of the camera to the east and to the north
        double block_m = 0.0;
        double pixel_m = 0.0;
    };
    // No scores (reach 0, empty) where no module can be in the picture.
    Match match(const LayoutIndex& site,
                const Lens& lens,
                const FramePose& pose,
                double block_m,
                double reach_m,
                double blur_m = 0.0);

  private:
    CountView counts_;
    FramePose logged_;
    double nodata_;
    std::map<std::pair<int, double>, BlockPicture> reduced_;
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
                                      const HeightSearch& search);

}  // namespace heatrow::detail
