// What a survey knows by name on the ground: known pixels, surveyed points, surveyed corners of modules
// (docs/control.md).
#pragma once

#include "heatrow/core/control_mark.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/layout_fit.hpp"

#include <string_view>
#include <vector>

namespace heatrow {

// The known pixels of survey.toml, in its order. Throws Error(usage) where the survey has no such frame or the layout
// no such module, with the nearest name.
std::vector<ControlMark> known_pixel_marks(const FrameSettings& settings,
                                           const std::vector<FrameFile>& files,
                                           const Layout& layout);

struct ControlPoints {
    std::vector<ControlMark> marks;       // points in frames, as the table of marks has them
    std::vector<SurveyedCorner> corners;  // points at corners of modules
};

// The two tables of [control]. Throws Error naming file, line, field, value and remedy: a column missing, a field that
// is no number, a point named twice or in no row, a frame or module that is not there, a pixel outside the picture,
// points that do not lie near the layout (with the swap of coordinates that would explain it) or far above or below it.
ControlPoints read_control_points(const ControlSettings& settings,
                                  const CameraSettings& camera,
                                  const std::vector<FrameFile>& files,
                                  const Layout& layout);
// The same for texts; reads no file.
ControlPoints parse_control_points(std::string_view points,
                                   std::string_view marks,
                                   const ControlSettings& settings,
                                   const CameraSettings& camera,
                                   const std::vector<FrameFile>& files,
                                   const Layout& layout);

}  // namespace heatrow
