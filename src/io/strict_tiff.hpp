// Own reader for the frames of surveys: single-band 16-bit TIFF in strips, raw or DEFLATE.
//
// The usual readers take damaged DEFLATE strips for pixels, because they stop before the checksum. Here each strip must
// decompress to exactly its size, from exactly its bytes, with the right checksum, or the frame is refused.
// Format: TIFF 6.0 (Adobe 1992), DEFLATE and the predictor after Adobe's technical notes of 2002 and TIFF 6.0
// section 14.
#pragma once

#include "heatrow/io/frame_reader.hpp"

#include <tl/expected.hpp>

#include <cstdint>
#include <optional>
#include <span>

namespace heatrow::detail {

// "II*\0" or "MM\0*".
bool is_classic_tiff(std::span<const std::uint8_t> bytes);

// Counts; nothing where the file is a TIFF of a kind that is left to GDAL (tiles, other compressions, 32-bit samples);
// a Rejection without file name where it is damaged or not radiometric. A pure function of the bytes.
tl::expected<std::optional<FrameCounts>, Rejection> read_strict_tiff(std::span<const std::uint8_t> bytes);

// Why a picture of this kind carries no temperature, and which export to make.
Rejection not_radiometric(const std::string& what_it_is);

// More pixels than any detector has: a size beyond it is damage, not data.
inline constexpr std::uint64_t kMostPixels = 400'000'000;

}  // namespace heatrow::detail
