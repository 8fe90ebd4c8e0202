#include "heatrow/core/rejection.hpp"

namespace heatrow {

std::string_view to_string(RejectReason reason) {
    switch (reason) {
        case RejectReason::unreadable:
            return "unreadable";
        case RejectReason::not_radiometric:
            return "not_radiometric";
        case RejectReason::wrong_size:
            return "wrong_size";
        case RejectReason::no_pose:
            return "no_pose";
        case RejectReason::no_time:
            return "no_time";
        case RejectReason::no_conditions:
            return "no_conditions";
        case RejectReason::implausible_range:
            return "implausible_range";
        case RejectReason::sees_nothing:
            return "sees_nothing";
        case RejectReason::not_locked:
            return "not_locked";
        case RejectReason::duplicate:
            return "duplicate";
        case RejectReason::outside_frame:
            return "outside_frame";
        case RejectReason::too_few_pixels:
            return "too_few_pixels";
        case RejectReason::angle_too_shallow:
            return "angle_too_shallow";
        case RejectReason::no_data:
            return "no_data";
    }
    return {};
}

}  // namespace heatrow
