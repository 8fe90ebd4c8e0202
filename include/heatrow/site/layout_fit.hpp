// A layout as drawn against surveyed corners of its modules.
#pragma once

#include "heatrow/site/layout.hpp"

#include <Eigen/Core>

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

struct SurveyedCorner {
    std::string name;                              // of the surveyed point
    int module = 0;                                // layout index
    int corner = 0;                                // in Module::corners_in_site
    Eigen::Vector3d point_in_site{0.0, 0.0, 0.0};  // m, as surveyed
    bool has_height = true;                        // else the height in `point_in_site` says nothing
    bool held = false;                             // not used, only compared
    std::string where;                             // file and line, for messages
};

// Turns about the up axis through `pivot`, then moves: what the layout is drawn wrongly by as a whole.
struct LayoutShift {
    Eigen::Vector3d pivot_in_site{0.0, 0.0, 0.0};
    Radians turn{0.0};                             // of azimuths, clockwise
    Eigen::Vector3d shift_in_site{0.0, 0.0, 0.0};  // m

    [[nodiscard]] Eigen::Vector3d apply(const Eigen::Vector3d& point_in_site) const;
};

// Least squares over the corners that are not held. The turn is zero where they lie within `least_base_m` of each
// other: a survey's centimetres would turn the rest of the layout by metres. The height moves by the mean of those that
// have one. Nothing without corners that count.
std::optional<LayoutShift> fit_layout_shift(const Layout& layout,
                                            const std::vector<SurveyedCorner>& corners,
                                            double least_base_m = 20.0);

// The surveyed corner less the drawn one, m, site frame.
Eigen::Vector3d corner_residual(const Layout& layout, const SurveyedCorner& corner);

void move_layout(const LayoutShift& shift, Layout& layout);

}  // namespace heatrow
