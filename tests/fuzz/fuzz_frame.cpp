// Frames of any kind: TIFF by the strict reader, other pictures by GDAL, matrices of text.
#include "heatrow/io/frame_reader.hpp"

#include <cstdlib>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto frame = heatrow::decode_frame({data, size}, "fuzz");
    if (!frame && frame.error().detail.empty()) {
        std::abort();  // a refusal must give its reason
    }
    return 0;
}
