// Pictures in visible light laid onto the layout: by the thermal frames around them in time, then by their own edges.
#pragma once

#include "frame_pass.hpp"
#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/report/difference_scale.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <tl/expected.hpp>

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

namespace heatrow {

// A picture and the camera that took it. Never good to the pixel: lens and mount of that camera are as stated.
struct LaidPicture {
    Image<Colour> pixels;
    PosedCamera camera;
    bool fits = false;  // its edges lie where the layout has modules; else the thermal frames' word is all there is
};

class VisiblePartners {
  public:
    // Keeps references to both. Poses: of the thermal frames that were placed.
    VisiblePartners(const SurveyInputs& inputs, const LayoutIndex& site, const std::vector<FrameOutcome>& outcomes);

    // Index in SurveyInputs::visible of the picture nearest in time to a thermal frame; nothing where none was taken
    // within a second of it, or no thermal frame was placed at about that time.
    [[nodiscard]] std::optional<std::size_t> of_frame(int frame) const;

    // Reads a picture and finds its place. Thread-safe. Rejected: unreadable, or not of the size that was declared.
    [[nodiscard]] tl::expected<LaidPicture, Rejection> lay(std::size_t picture) const;

  private:
    [[nodiscard]] std::optional<FramePose> pose_at(UtcTime time) const;

    const SurveyInputs& inputs_;
    const LayoutIndex& site_;
    std::vector<std::pair<UtcTime, FramePose>> placed_;  // by time
};

}  // namespace heatrow
