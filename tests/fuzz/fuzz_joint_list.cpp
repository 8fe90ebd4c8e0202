#include "heatrow/core/error.hpp"
#include "heatrow/io/joint_list.hpp"

#include <cstddef>
#include <cstdint>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        (void)heatrow::parse_joint_list({reinterpret_cast<const char*>(data), size}, "board.csv");
    } catch (const heatrow::Error&) {  // a refusal; anything else ends the program
    }
    return 0;
}
