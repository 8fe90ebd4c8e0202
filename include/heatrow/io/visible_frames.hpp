// Partner frames in visible light: which picture was taken when.
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/survey_settings.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct VisibleFrame {
    FrameFile file;
    UtcTime time{};
};

struct VisibleFrames {
    std::vector<VisibleFrame> frames;  // by time, then name
    std::vector<std::string> notes;    // pictures without a time and rows without a picture, in sentences
};

// The pictures of the folder with their times. Throws Error(input) for a folder without pictures and, naming file,
// line, field and value, for a table without its columns, a frame named twice, or a field that is no date and time.
VisibleFrames list_visible_frames(const VisibleFrameSettings& settings, const Clock& camera_clock);

}  // namespace heatrow
