#include "heatrow/record/control_result.hpp"

namespace heatrow {

std::string_view to_string(ControlResult::Kind kind) {
    switch (kind) {
        case ControlResult::Kind::known_pixel:
            return "known_pixel";
        case ControlResult::Kind::control_point:
            return "control_point";
        case ControlResult::Kind::module_corner:
            return "module_corner";
    }
    return {};
}

std::string_view to_string(ControlResult::Use use) {
    switch (use) {
        case ControlResult::Use::used:
            return "used";
        case ControlResult::Use::held:
            return "held";
        case ControlResult::Use::refused:
            return "refused";
    }
    return {};
}

}  // namespace heatrow
