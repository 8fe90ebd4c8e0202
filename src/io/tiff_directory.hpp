// The first image directory of a TIFF, checked against the bytes that are there.
#pragma once

#include <tl/expected.hpp>

#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace heatrow::detail {

// Tags of TIFF 6.0 that a frame can have.
enum class TiffTag : std::uint16_t {
    image_width = 256,
    image_length = 257,
    bits_per_sample = 258,
    compression = 259,
    photometric = 262,
    fill_order = 266,
    strip_offsets = 273,
    samples_per_pixel = 277,
    rows_per_strip = 278,
    strip_byte_counts = 279,
    predictor = 317,
    tile_width = 322,
    sample_format = 339,
};

// Reads integers of either byte order from within the bytes only.
class TiffBytes {
  public:
    TiffBytes(std::span<const std::uint8_t> bytes, bool little_endian) : bytes_(bytes), little_endian_(little_endian) {}
    [[nodiscard]] bool holds(std::uint64_t offset, std::uint64_t size) const {
        return offset <= bytes_.size() && size <= bytes_.size() - offset;
    }
    // Precondition: holds(offset, 2) or (offset, 4).
    [[nodiscard]] std::uint16_t u16(std::uint64_t offset) const {
        const std::uint8_t* at = bytes_.data() + offset;
        const unsigned low = at[little_endian_ ? 0 : 1];
        const unsigned high = at[little_endian_ ? 1 : 0];
        return static_cast<std::uint16_t>(low | (high << 8U));
    }
    [[nodiscard]] std::uint32_t u32(std::uint64_t offset) const {
        const std::uint32_t first = u16(offset);
        const std::uint32_t second = u16(offset + 2);
        return little_endian_ ? first | (second << 16U) : second | (first << 16U);
    }
    [[nodiscard]] std::span<const std::uint8_t> part(std::uint64_t offset, std::uint64_t size) const {
        return bytes_.subspan(static_cast<std::size_t>(offset), static_cast<std::size_t>(size));
    }
    [[nodiscard]] bool little_endian() const { return little_endian_; }
    [[nodiscard]] std::uint64_t size() const { return bytes_.size(); }

  private:
    std::span<const std::uint8_t> bytes_;
    bool little_endian_;
};

class TiffDirectory {
  public:
    // The reason, where the directory is damaged. Precondition: at least 8 bytes, classic TIFF.
    static tl::expected<TiffDirectory, std::string> read(std::span<const std::uint8_t> bytes);

    // Values of a tag of type SHORT or LONG; nothing where the tag is missing.
    [[nodiscard]] std::optional<std::vector<std::uint32_t>> values(TiffTag tag) const;
    // The one value of a tag, or `otherwise` where it is missing; nothing where it has several.
    [[nodiscard]] std::optional<std::uint32_t> value(TiffTag tag, std::optional<std::uint32_t> otherwise) const;
    [[nodiscard]] const TiffBytes& bytes() const { return bytes_; }

  private:
    explicit TiffDirectory(TiffBytes bytes) : bytes_(bytes) {}

    TiffBytes bytes_;
    std::map<std::uint16_t, std::vector<std::uint32_t>> tags_;
};

}  // namespace heatrow::detail
