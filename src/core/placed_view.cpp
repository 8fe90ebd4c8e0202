#include "heatrow/core/placed_view.hpp"

namespace heatrow {

std::string_view to_string(Placement placement) {
    switch (placement) {
        case Placement::placed:
            return "placed";
        case Placement::ambiguous:
            return "ambiguous";
        case Placement::not_seen:
            return "not_seen";
    }
    return {};
}

}  // namespace heatrow
