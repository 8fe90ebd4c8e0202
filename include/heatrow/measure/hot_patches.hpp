// Hot cell-like patches of a close-up thermogram, found without a layout.
//
// How: the picture is smoothed and cut at many levels; a connected set of pixels above a level is a candidate. Of the
// candidates that run along the same edge the steepest wins: its level runs along the middle of the edge. What then
// tells a hot cell from warm blobs, clouds, frames and mirrored things:
//   1. it is hotter than the ring around it (what is local: gradients over the picture do not count), and
//   2. hotter than the picture's median, by three quarters of the least contrast: beside a cold frame or under a
//      grazing view a normal cell stands out of its ring, but not out of the module (not by all of the least contrast,
//      because hot cells raise the median);
//   3. it has four straight sides: most of its outline lies on them, and it fills the quadrilateral around it;
//   4. its edge is narrow against its size;
//   5. enough of it is inside the picture to tell.
// Cells must be some 25 px across and the module must fill most of the picture: a small module before a cold sky is a
// warm patch with straight sides too. This is for close-ups, not for surveys.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/measure/mask.hpp"

#include <Eigen/Core>

#include <optional>
#include <string_view>
#include <vector>

namespace heatrow {

// Defaults were set on eight open close-up frames (docs/radiometry.md) except where a comment says otherwise.
struct HotPatchOptions {
    // Rule 1. The program takes the profile's candidate_cell_k.
    KelvinDelta least_contrast{4.0};
    // Ring around the patch; pixels nearer to the outline than the margin do not count for the patch's median.
    double inside_margin_px = 8.0;
    double ring_from_px = 12.0;
    double ring_to_px = 30.0;
    // Rule 2, as a share of the least contrast. At a half, strips of module frame pass.
    double least_share_above_picture = 0.75;
    // Rule 3: share of the outline on its four longest sides. A disc has about half; half a disc, cut by the border and
    // with three sides counted, three quarters.
    double least_straight_share = 0.65;
    double least_straight_share_cut = 0.80;
    double outline_tolerance_share = 0.07;  // of the root of the area: what counts as straight
    // Rule 3: area over that of the quadrilateral around it. An ellipse fills pi/4 at most.
    double least_fill = 0.80;
    // Rule 4: width of the edge over the root of the area.
    double widest_edge_share = 0.5;
    // Rule 5: squared length along the border over the area: seen to two thirds of the cut's length deep.
    double longest_cut_ratio = 1.5;
    // Candidates: width of the largest circle inside, share of the picture.
    double least_width_px = 24.0;
    double largest_picture_share = 0.35;
    // A candidate may stand in for the steepest one along its edge if its slope is at least this share of that.
    double least_share_of_steepest = 0.9;
    // For finding only: figures are taken from the picture as measured.
    double smoothing_sigma_px = 2.0;
    KelvinDelta level_step{0.25};
};

// What is wrong with the options, as a sentence; empty if nothing.
std::string_view problem_with(const HotPatchOptions& options);

// Why a patch that is warmer than its ring is not taken for a hot cell; the first of the rules that it breaks.
enum class PatchObjection {
    not_above_picture,  // rule 2
    not_straight,       // rule 3
    soft_edge,          // rule 4
    cut_off,            // rule 5, or cut in two places
};
std::string_view to_string(PatchObjection objection);

struct HotPatch {
    std::vector<int> pixels;                  // row-major indices, ascending
    std::vector<Eigen::Vector2d> corners_px;  // enclosing quadrilateral
    Eigen::Vector2d centre_px{0.0, 0.0};      // mean of the pixels
    Celsius median{kNaN};                     // inside, `inside_margin_px` from the outline
    Celsius ring_median{kNaN};
    KelvinDelta contrast{kNaN};       // their difference
    KelvinDelta above_picture{kNaN};  // median minus the picture's median
    double edge_k_per_px = kNaN;      // mean slope along the outline
    double straight_share = kNaN;
    double fill = kNaN;
    std::optional<PatchObjection> objection;  // none: a hot cell

    [[nodiscard]] bool contains(int x, int y, int picture_width) const;
};

// All patches warmer than their ring by the least contrast, hot cells first, each group by falling contrast; they do
// not overlap. NaN pixels belong to nothing.
std::vector<HotPatch> find_warm_patches(ImageView<const float> temperature_c, const HotPatchOptions& options = {});

// Those without an objection.
std::vector<HotPatch> find_hot_patches(ImageView<const float> temperature_c, const HotPatchOptions& options = {});

}  // namespace heatrow
