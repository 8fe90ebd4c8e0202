// What modules read too much or too little in a view together: by causes common to the survey, such as the temperature
// of the ground that they mirror, which weigh more in oblique views; by where in the picture they lie (vignetting, what
// the shutter leaves); and by what all modules of a table share in a frame, where plane and line of sight are alike.
// Modules seen from other lanes than their neighbours differ by it.
#pragma once

#include <Eigen/Core>

#include <array>
#include <cstddef>
#include <span>
#include <vector>

namespace heatrow {

inline constexpr std::size_t kViewCauses = 2;

// Level of one module in one view.
struct ViewLevel {
    int module = 0;
    int group = 0;                                 // what shares an offset: a table in a frame, from zero
    double level_c = 0;                            // degC; finite
    std::array<double, kViewCauses> by_cause_k{};  // how much a standard uncertainty of each cause moves it
    Eigen::Vector2d place{0.0, 0.0};  // of the module in the picture: from its centre, over half of its diagonal
};

// What is to be taken off each level, K, in their order. Robust least squares of
//
//   level = module's temperature + sum of cause x by_cause_k + field(place) + offset of its group + scatter
//
// with causes about zero with a standard deviation of one, a field over the picture that is the same in all frames, and
// offsets about zero with the standard deviation that the levels show: the
// best linear unbiased prediction of a mixed model (Henderson 1975, from memory), views that do not fit weighted down
// (Huber). Only modules seen in several views tell anything: without them all is zero. `groups`: their number.
// `scatter_k`: standard deviation of a level beyond all this, above 0; of the first round, later ones take the levels'.
std::vector<double> view_offsets(std::span<const ViewLevel> levels, int groups, double scatter_k);

}  // namespace heatrow
