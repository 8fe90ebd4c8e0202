#include "tiff_directory.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace heatrow::detail {
namespace {

constexpr std::uint64_t kEntrySize = 12;
constexpr std::uint16_t kShort = 3;
constexpr std::uint16_t kLong = 4;

bool is_needed(std::uint16_t tag) {
    constexpr std::array<TiffTag, 13> kNeeded{TiffTag::image_width,
                                              TiffTag::image_length,
                                              TiffTag::bits_per_sample,
                                              TiffTag::compression,
                                              TiffTag::photometric,
                                              TiffTag::fill_order,
                                              TiffTag::strip_offsets,
                                              TiffTag::samples_per_pixel,
                                              TiffTag::rows_per_strip,
                                              TiffTag::strip_byte_counts,
                                              TiffTag::predictor,
                                              TiffTag::tile_width,
                                              TiffTag::sample_format};
    for (const TiffTag needed : kNeeded) {
        if (static_cast<std::uint16_t>(needed) == tag) {
            return true;
        }
    }
    return false;
}

// Whether one whole number can be the value of this tag. Between 254 and 347 every tag is assigned by TIFF 6.0 and its
// supplements (tag numbers from memory); a number there that is not among them, or belongs to a tag of another kind, is
// a damaged tag, and the tag that it was is missing: a lost predictor would pass for other pixels without a word.
bool can_be_one_integer(std::uint16_t tag) {
    constexpr std::uint16_t kFirst = 254;
    constexpr std::uint16_t kLast = 347;
    constexpr std::array<std::uint16_t, 43> kIntegers{
        254, 255, 256, 257, 258, 259, 262, 263, 264, 265, 266, 273, 274, 277, 278, 279, 280, 281, 284, 288, 289, 290,
        292, 293, 296, 317, 322, 323, 324, 325, 326, 327, 328, 330, 332, 334, 336, 338, 339, 340, 341, 343, 346};
    return tag < kFirst || tag > kLast || std::find(kIntegers.begin(), kIntegers.end(), tag) != kIntegers.end();
}

std::vector<std::uint32_t> read_integers(const TiffBytes& bytes,
                                         std::uint64_t at,
                                         std::uint16_t type,
                                         std::uint32_t count) {
    std::vector<std::uint32_t> values;
    values.reserve(count);
    for (std::uint32_t i = 0; i < count; ++i) {
        values.push_back(type == kShort ? bytes.u16(at + 2ULL * i) : bytes.u32(at + 4ULL * i));
    }
    return values;
}

}  // namespace

tl::expected<TiffDirectory, std::string> TiffDirectory::read(std::span<const std::uint8_t> bytes) {
    TiffDirectory directory(TiffBytes(bytes, bytes[0] == 'I'));
    const TiffBytes& file = directory.bytes_;
    const std::uint64_t start = file.u32(4);
    if (start < 8 || !file.holds(start, 2)) {
        return tl::unexpected(fmt::format("its directory would lie at byte {} of {}", start, file.size()));
    }
    const std::uint16_t entries = file.u16(start);
    if (entries == 0 || !file.holds(start + 2, entries * kEntrySize + 4)) {
        return tl::unexpected(fmt::format("its directory of {} entries does not fit into the file", entries));
    }
    // Behind the entries stands the place of the next directory. A wrong number of entries makes it nonsense.
    const std::uint64_t next = file.u32(start + 2 + entries * kEntrySize);
    if (next != 0 &&
        (next < 8 || next % 2 != 0 || !file.holds(next, 2) || !file.holds(next + 2, file.u16(next) * kEntrySize + 4))) {
        return tl::unexpected(fmt::format("its directory of {} entries is damaged, or a later one is cut", entries));
    }
    std::uint16_t previous = 0;
    for (std::uint64_t i = 0; i < entries; ++i) {
        const std::uint64_t at = start + 2 + i * kEntrySize;
        const std::uint16_t tag = file.u16(at);
        const std::uint16_t type = file.u16(at + 2);
        const std::uint32_t count = file.u32(at + 4);
        // The format asks for ascending tags; disorder is the commonest sign of a damaged directory.
        if (tag <= previous) {
            return tl::unexpected(fmt::format("tag {} follows tag {}: the directory is damaged", tag, previous));
        }
        previous = tag;
        if ((type == kShort || type == kLong) && count == 1 && !can_be_one_integer(tag)) {
            return tl::unexpected(
                fmt::format("tag {} holds a number where none belongs: the directory is damaged", tag));
        }
        if (!is_needed(tag)) {
            continue;
        }
        if ((type != kShort && type != kLong) || count == 0) {
            return tl::unexpected(fmt::format("tag {} has field type {} and {} values", tag, type, count));
        }
        const std::uint64_t size = (type == kShort ? 2ULL : 4ULL) * count;
        const std::uint64_t where = size <= 4 ? at + 8 : file.u32(at + 8);
        if (!file.holds(where, size)) {
            return tl::unexpected(fmt::format("the {} values of tag {} lie outside the file", count, tag));
        }
        directory.tags_.emplace(tag, read_integers(file, where, type, count));
    }
    return directory;
}

std::optional<std::vector<std::uint32_t>> TiffDirectory::values(TiffTag tag) const {
    const auto found = tags_.find(static_cast<std::uint16_t>(tag));
    return found == tags_.end() ? std::nullopt : std::optional(found->second);
}

std::optional<std::uint32_t> TiffDirectory::value(TiffTag tag, std::optional<std::uint32_t> otherwise) const {
    const auto found = tags_.find(static_cast<std::uint16_t>(tag));
    if (found == tags_.end()) {
        return otherwise;
    }
    return found->second.size() == 1 ? std::optional(found->second.front()) : std::nullopt;
}

}  // namespace heatrow::detail
