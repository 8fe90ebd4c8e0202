// TIFF files made in memory, written independently of the reader under test.
#pragma once

#include <cstdint>
#include <vector>

namespace heatrow::testing {

struct TiffOptions {
    int width = 32;
    int height = 24;
    bool little_endian = true;
    int bits = 16;
    int samples = 1;
    int sample_format = 1;   // 1 unsigned, 2 signed, 3 float
    int compression = 8;     // 1 none, 8 and 32946 DEFLATE; other values are only written into the tag
    bool predictor = false;  // horizontal differences
    int rows_per_strip = 6;
};

// `samples` row by row, one or more a pixel, each of options.bits: 8, 16 or 32 (as bit pattern).
std::vector<std::uint8_t> make_tiff(const TiffOptions& options, const std::vector<std::uint32_t>& samples);

// A smooth scene with a hot spot and some texture, in counts near 30000.
std::vector<std::uint32_t> sample_scene(int width, int height);

}  // namespace heatrow::testing
