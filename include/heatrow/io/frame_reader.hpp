// Frames to counts. Single-band 16-bit TIFF goes through a strict reader of our own, which never takes damaged or
// truncated DEFLATE data for pixels; everything else goes through GDAL; a text matrix of temperatures is read as float.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/io/frame_set.hpp"

#include <tl/expected.hpp>

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace heatrow {

struct FrameCounts {
    Image<float> counts;  // as stored, never scaled; NaN where the file says so
    int bits = 16;        // per pixel
    bool is_float = false;
    bool is_signed = false;
    std::string kind;  // in words, e.g. "TIFF, 16-bit unsigned, DEFLATE, predictor 2"
};

// The bytes of a file. Rejection::unreadable names the file and the reason.
tl::expected<std::vector<std::uint8_t>, Rejection> read_file_bytes(const std::filesystem::path& file);

// Decodes a whole file that lies in memory; `name` appears in reasons only. Thread-safe, no state.
// unreadable: damaged, truncated, of an unknown kind, too large (more than 400 million pixels).
// not_radiometric: 8-bit, palette or colour, with the export to make instead.
tl::expected<FrameCounts, Rejection> decode_frame(std::span<const std::uint8_t> bytes, const std::string& name);

// read_file_bytes, then decode_frame.
tl::expected<FrameCounts, Rejection> read_frame(const std::filesystem::path& file);

// Part of a raster, by the blocks it lies in; the window must lie within it.
tl::expected<FrameCounts, Rejection> read_frame_window(const std::filesystem::path& file, const RasterWindow& window);

}  // namespace heatrow
