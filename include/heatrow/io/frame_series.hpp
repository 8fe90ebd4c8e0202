// Frames as a series: what does not belong to it, and what stands out in it. Frames are compared with each other only,
// so nothing is said of a single one.
#pragma once

#include "heatrow/io/frame_inspection.hpp"
#include "heatrow/score/profile.hpp"

#include <string>
#include <vector>

namespace heatrow {

// One remark on one frame.
struct SeriesRemark {
    enum class Kind {
        other_size,    // width and height of few frames
        other_kind,    // number type or file kind of few frames
        other_camera,  // make, model or serial number of few frames (EXIF)
        far_away,      // position (EXIF) farther from the middle of the series than the profile's stray_distance_m
        long_after,    // parted from most frames by a pause longer than the profile's stray_gap_min (EXIF)
        blurred,       // sharpness below the profile's blurred_ratio times the median of the series
        saturated,     // more pixels at the end of the range than the profile's saturated_share; single frames too
    };
    std::size_t frame = 0;
    Kind kind = Kind::other_size;
    std::string detail;  // with the figures
};
std::string_view to_string(SeriesRemark::Kind kind);

// By frame, then in the order of the kinds. Refused frames and later copies of the same bytes take no part.
std::vector<SeriesRemark> find_remarks(const std::vector<FrameInspection>& frames, const Profile& profile);

}  // namespace heatrow
