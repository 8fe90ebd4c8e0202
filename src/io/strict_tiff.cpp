#include "strict_tiff.hpp"

#include "tiff_directory.hpp"

#include <fmt/format.h>
#include <libdeflate.h>

#include <algorithm>
#include <memory>

namespace heatrow::detail {
namespace {

constexpr std::uint32_t kNoCompression = 1;
constexpr std::uint32_t kDeflate = 8;
constexpr std::uint32_t kDeflateOld = 32946;
constexpr std::uint32_t kPalette = 3;
constexpr std::uint32_t kFloatSamples = 3;
constexpr std::uint32_t kSignedSamples = 2;
constexpr std::uint64_t kSampleSize = 2;

// What the directory says of the picture, once it is known to be of the kind that this reader takes.
struct Plan {
    std::uint32_t width = 0;
    std::uint32_t height = 0;
    std::uint32_t rows_per_strip = 0;
    bool deflate = false;
    bool horizontal_predictor = false;
    bool is_signed = false;
    std::vector<std::uint32_t> offsets;
    std::vector<std::uint32_t> sizes;
};

using PlanOrGdal = tl::expected<std::optional<Plan>, Rejection>;

tl::unexpected<Rejection> damaged(std::string why) {
    return tl::unexpected(Rejection{RejectReason::unreadable, std::move(why)});
}

// Size, sample kind: refused, left to GDAL (nothing), or ours.
PlanOrGdal plan_samples(const TiffDirectory& directory) {
    const auto width = directory.value(TiffTag::image_width, std::nullopt);
    const auto height = directory.value(TiffTag::image_length, std::nullopt);
    if (!width || !height || *width == 0 || *height == 0) {
        return damaged("it states no width or height");
    }
    if (std::uint64_t{*width} * *height > kMostPixels) {
        return damaged(fmt::format("it states {} x {} pixels, more than any frame has", *width, *height));
    }
    const auto samples = directory.value(TiffTag::samples_per_pixel, 1);
    if (!samples || *samples != 1) {
        return tl::unexpected(not_radiometric(fmt::format("a picture of {} bands", samples.value_or(0))));
    }
    const auto bits = directory.value(TiffTag::bits_per_sample, 1);
    if (bits && *bits <= 8) {
        return tl::unexpected(not_radiometric(fmt::format("a {}-bit picture", *bits)));
    }
    if (directory.value(TiffTag::photometric, 1) == kPalette) {
        return tl::unexpected(not_radiometric("a palette picture"));
    }
    const auto format = directory.value(TiffTag::sample_format, 1);
    if (bits && format && (*bits == 32 || (*bits == 64 && *format == kFloatSamples)) && *format >= 1 && *format <= 3) {
        return std::nullopt;
    }
    if (!bits || *bits != 16 || !format || (*format != 1 && *format != kSignedSamples)) {
        return damaged(
            fmt::format("{} bits a sample of format {} are not supported; export 16-bit integers or 32-bit floats",
                        bits.value_or(0),
                        format.value_or(0)));
    }
    Plan plan;
    plan.width = *width;
    plan.height = *height;
    plan.is_signed = *format == kSignedSamples;
    return plan;
}

PlanOrGdal plan_strips(const TiffDirectory& directory, Plan plan) {
    const auto compression = directory.value(TiffTag::compression, kNoCompression);
    const bool ours = compression == kNoCompression || compression == kDeflate || compression == kDeflateOld;
    if (!ours || directory.values(TiffTag::tile_width) || directory.value(TiffTag::fill_order, 1) != 1U) {
        return std::nullopt;
    }
    plan.deflate = compression != kNoCompression;
    // Raw pictures must not state a predictor that would be ignored by some readers and applied by others.
    const auto predictor = directory.value(TiffTag::predictor, 1);
    if (!predictor || *predictor < 1 || *predictor > (plan.deflate ? 2U : 1U)) {
        return damaged(
            fmt::format("predictor {} does not go with 16-bit integers of this compression", predictor.value_or(0)));
    }
    plan.horizontal_predictor = *predictor == 2;

    const auto rows = directory.value(TiffTag::rows_per_strip, plan.height);
    if (!rows || *rows == 0) {
        return damaged("it states strips of no rows");
    }
    plan.rows_per_strip = std::min(*rows, plan.height);
    const std::uint32_t strips = (plan.height - 1) / plan.rows_per_strip + 1;
    auto offsets = directory.values(TiffTag::strip_offsets);
    auto sizes = directory.values(TiffTag::strip_byte_counts);
    if (!offsets || !sizes || offsets->size() != strips || sizes->size() != strips) {
        return damaged(fmt::format("{} rows in strips of {} need {} strips, it lists {} places and {} sizes",
                                   plan.height,
                                   plan.rows_per_strip,
                                   strips,
                                   offsets ? offsets->size() : 0,
                                   sizes ? sizes->size() : 0));
    }
    plan.offsets = std::move(*offsets);
    plan.sizes = std::move(*sizes);
    return plan;
}

// Strips inside the file that share no byte: shared ones are damage that would repeat pixels.
std::string problem_with_strips(const Plan& plan, const TiffBytes& bytes) {
    std::vector<std::pair<std::uint64_t, std::uint64_t>> spans;
    for (std::size_t i = 0; i < plan.offsets.size(); ++i) {
        const std::uint64_t offset = plan.offsets[i];
        const std::uint64_t size = plan.sizes[i];
        if (offset < 8 || size == 0 || !bytes.holds(offset, size)) {
            return fmt::format("strip {} ({} bytes at {}) lies outside the file of {} bytes: it is cut or damaged",
                               i + 1,
                               size,
                               offset,
                               bytes.size());
        }
        spans.emplace_back(offset, offset + size);
    }
    std::sort(spans.begin(), spans.end());
    for (std::size_t i = 1; i < spans.size(); ++i) {
        if (spans[i].first < spans[i - 1].second) {
            return fmt::format("two strips share byte {}: the directory is damaged", spans[i].first);
        }
    }
    return {};
}

class Inflater {
  public:
    Inflater() : decompressor_(libdeflate_alloc_decompressor(), libdeflate_free_decompressor) {}

    // Why the bytes are not exactly `out`, or empty.
    std::string inflate(std::span<const std::uint8_t> in, std::span<std::uint8_t> out) const {
        if (decompressor_ == nullptr) {
            return "no memory to decompress";
        }
        std::size_t used = 0;
        std::size_t made = 0;
        const libdeflate_result result = libdeflate_zlib_decompress_ex(
            decompressor_.get(), in.data(), in.size(), out.data(), out.size(), &used, &made);
        switch (result) {
            case LIBDEFLATE_SUCCESS:
                break;
            case LIBDEFLATE_INSUFFICIENT_SPACE:
                return "it decompresses to more bytes than its rows hold";
            default:
                return "its compressed data is damaged";
        }
        if (made != out.size()) {
            return fmt::format("it decompresses to {} bytes, its rows hold {}", made, out.size());
        }
        return used == in.size() ? std::string{}
                                 : fmt::format("{} of its {} bytes are left over", in.size() - used, in.size());
    }

  private:
    std::unique_ptr<libdeflate_decompressor, decltype(&libdeflate_free_decompressor)> decompressor_;
};

// 16-bit samples of one row to counts, `Sample` their type. The predictor holds differences to the pixel on the left,
// modulo 2^16 (TIFF 6.0, section 14).
template <typename Sample, bool little_endian, bool horizontal_predictor>
void store_row(const std::uint8_t* from, std::span<float> out) {
    constexpr std::size_t kLow = little_endian ? 0 : 1;
    std::uint16_t sample = 0;
    for (float& count : out) {
        const auto stored = static_cast<std::uint16_t>(from[kLow] | from[1 - kLow] << 8);
        sample = horizontal_predictor ? static_cast<std::uint16_t>(sample + stored) : stored;
        count = static_cast<float>(static_cast<Sample>(sample));
        from += kSampleSize;
    }
}

using RowStore = void (*)(const std::uint8_t* from, std::span<float> out);

template <typename Sample>
RowStore row_store(bool little_endian, bool horizontal_predictor) {
    if (little_endian) {
        return horizontal_predictor ? store_row<Sample, true, true> : store_row<Sample, true, false>;
    }
    return horizontal_predictor ? store_row<Sample, false, true> : store_row<Sample, false, false>;
}

// Samples of one strip to counts; `from` holds whole rows.
void store_rows(const Plan& plan,
                std::span<const std::uint8_t> from,
                bool little_endian,
                std::uint32_t first_row,
                std::uint32_t rows,
                Image<float>& counts) {
    const RowStore store = plan.is_signed ? row_store<std::int16_t>(little_endian, plan.horizontal_predictor)
                                          : row_store<std::uint16_t>(little_endian, plan.horizontal_predictor);
    for (std::uint32_t y = 0; y < rows; ++y) {
        const std::uint8_t* row = from.data() + std::size_t{y} * plan.width * kSampleSize;
        store(row, {counts.view().row(static_cast<int>(first_row + y)), plan.width});
    }
}

tl::expected<FrameCounts, Rejection> decode(const Plan& plan, const TiffBytes& bytes) {
    if (const std::string problem = problem_with_strips(plan, bytes); !problem.empty()) {
        return damaged(problem);
    }
    // The sizes are tested before any memory is taken for pixels: DEFLATE makes at most 1032 bytes of one
    // (zlib's technical notes), so a picture that its bytes cannot hold is damage.
    constexpr std::uint64_t kMostInflation = 1032;
    const std::uint64_t raw_size = std::uint64_t{plan.width} * plan.height * kSampleSize;
    if (raw_size / kMostInflation > bytes.size()) {
        return damaged(fmt::format("{} x {} pixels cannot lie in {} bytes", plan.width, plan.height, bytes.size()));
    }
    if (!plan.deflate && raw_size > bytes.size()) {
        return damaged(
            fmt::format("{} x {} pixels cannot lie in {} bytes: it is cut", plan.width, plan.height, bytes.size()));
    }

    FrameCounts frame;
    frame.counts = Image<float>(static_cast<int>(plan.width), static_cast<int>(plan.height));
    frame.is_signed = plan.is_signed;
    frame.kind = fmt::format("TIFF, 16-bit {}, {}{}",
                             plan.is_signed ? "signed" : "unsigned",
                             plan.deflate ? "DEFLATE" : "uncompressed",
                             plan.horizontal_predictor ? ", predictor 2" : "");
    const Inflater inflater;
    std::vector<std::uint8_t> inflated;
    for (std::uint32_t strip = 0; strip < plan.offsets.size(); ++strip) {
        const std::uint32_t first_row = strip * plan.rows_per_strip;
        const std::uint32_t rows = std::min(plan.rows_per_strip, plan.height - first_row);
        const std::uint64_t size = std::uint64_t{rows} * plan.width * kSampleSize;
        std::span<const std::uint8_t> samples = bytes.part(plan.offsets[strip], plan.sizes[strip]);
        if (plan.deflate) {
            inflated.resize(static_cast<std::size_t>(size));
            if (const std::string problem = inflater.inflate(samples, inflated); !problem.empty()) {
                return damaged(fmt::format("strip {} of {}: {}", strip + 1, plan.offsets.size(), problem));
            }
            samples = inflated;
        } else if (samples.size() != size) {
            return damaged(fmt::format(
                "strip {} of {} has {} bytes, its rows hold {}", strip + 1, plan.offsets.size(), samples.size(), size));
        }
        store_rows(plan, samples, bytes.little_endian(), first_row, rows, frame.counts);
    }
    return frame;
}

}  // namespace

Rejection not_radiometric(const std::string& what_it_is) {
    return {RejectReason::not_radiometric,
            fmt::format("it is {}: brightness or colour for the eye, no temperature. Export the frame again as "
                        "16-bit TIFF, float TIFF or CSV matrix of temperatures",
                        what_it_is)};
}

bool is_classic_tiff(std::span<const std::uint8_t> bytes) {
    return bytes.size() >= 8 && ((bytes[0] == 'I' && bytes[1] == 'I' && bytes[2] == 42 && bytes[3] == 0) ||
                                 (bytes[0] == 'M' && bytes[1] == 'M' && bytes[2] == 0 && bytes[3] == 42));
}

tl::expected<std::optional<FrameCounts>, Rejection> read_strict_tiff(std::span<const std::uint8_t> bytes) {
    if (!is_classic_tiff(bytes)) {
        return damaged("it is no TIFF");
    }
    const auto directory = TiffDirectory::read(bytes);
    if (!directory) {
        return damaged(directory.error());
    }
    PlanOrGdal plan = plan_samples(*directory);
    if (plan && *plan) {
        plan = plan_strips(*directory, std::move(**plan));
    }
    if (!plan) {
        return tl::unexpected(plan.error());
    }
    if (!*plan) {
        return std::nullopt;
    }
    return decode(**plan, directory->bytes()).map([](FrameCounts frame) { return std::optional(std::move(frame)); });
}

}  // namespace heatrow::detail
