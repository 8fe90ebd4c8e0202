// Where a string's cables lead.
#pragma once

#include <string>

namespace heatrow {

// Ids as the layout has them; empty where they are not known.
struct StringHome {
    std::string combiner;
    std::string inverter;
    std::string input;  // of the inverter or the combiner
};

}  // namespace heatrow
