// What happens to one frame or one module view and does not end the run: counted and reported by name.
#pragma once

#include <string>
#include <string_view>

namespace heatrow {

enum class RejectReason {
    // frames
    unreadable,         // the file is damaged, truncated or of an unknown kind
    not_radiometric,    // 8-bit or colour picture: counts carry no temperature
    wrong_size,         // not the size that the camera description states
    no_pose,            // no row in the pose file, or no position in it
    no_time,            // no capture time, so no irradiance can be bound to it
    no_conditions,      // the conditions log does not speak for its capture time
    implausible_range,  // temperatures outside what the declared encoding allows on a plant
    sees_nothing,       // its footprint holds no module of the layout
    not_locked,         // the picture could not be aligned to the layout
    duplicate,          // the same pixels as an earlier frame
    // module views
    outside_frame,      // not wholly inside the picture
    too_few_pixels,     // fewer pixels in a cell than the profile asks for
    angle_too_shallow,  // seen more obliquely than the profile allows
    no_data,            // pixels marked as no data, or saturated
};

// The stable name used in files and reports, e.g. "no_pose".
std::string_view to_string(RejectReason reason);

struct Rejection {
    RejectReason reason;
    std::string detail;  // a sentence with the value and what to try
};

}  // namespace heatrow
