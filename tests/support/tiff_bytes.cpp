#include "tiff_bytes.hpp"

#include <libdeflate.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace heatrow::testing {
namespace {

using Bytes = std::vector<std::uint8_t>;

class Writer {
  public:
    explicit Writer(bool little_endian) : little_endian_(little_endian) {}

    void put(std::uint32_t value, int size) {
        for (int i = 0; i < size; ++i) {
            const int shift = 8 * (little_endian_ ? i : size - 1 - i);
            bytes.push_back(static_cast<std::uint8_t>(value >> static_cast<unsigned>(shift)));
        }
    }
    // An entry whose one value fits into it.
    void put_entry(std::uint32_t tag, std::uint32_t value) {
        put(tag, 2);
        put(4, 2);  // LONG
        put(1, 4);
        put(value, 4);
    }
    void put_array_entry(std::uint32_t tag, std::uint32_t count, std::uint32_t offset) {
        put(tag, 2);
        put(4, 2);
        put(count, 4);
        put(offset, 4);
    }

    Bytes bytes;

  private:
    bool little_endian_;
};

Bytes deflated(const Bytes& raw) {
    libdeflate_compressor* compressor = libdeflate_alloc_compressor(6);
    Bytes out(libdeflate_zlib_compress_bound(compressor, raw.size()));
    out.resize(libdeflate_zlib_compress(compressor, raw.data(), raw.size(), out.data(), out.size()));
    libdeflate_free_compressor(compressor);
    if (out.empty()) {
        throw std::runtime_error("nothing was compressed");
    }
    return out;
}

Bytes strip_bytes(const TiffOptions& options, const std::vector<std::uint32_t>& samples, int first_row) {
    Writer raw(options.little_endian);
    const int row_length = options.width * options.samples;
    for (int y = first_row; y < std::min(first_row + options.rows_per_strip, options.height); ++y) {
        for (int x = 0; x < row_length; ++x) {
            const auto at = static_cast<std::size_t>(y * row_length + x);
            const bool has_left = options.predictor && x >= options.samples;
            const std::uint32_t left = has_left ? samples[at - static_cast<std::size_t>(options.samples)] : 0;
            raw.put(samples[at] - left, options.bits / 8);
        }
    }
    return options.compression == 8 || options.compression == 32946 ? deflated(raw.bytes) : raw.bytes;
}

}  // namespace

std::vector<std::uint8_t> make_tiff(const TiffOptions& options, const std::vector<std::uint32_t>& samples) {
    Writer file(options.little_endian);
    file.bytes = options.little_endian ? Bytes{'I', 'I', 42, 0} : Bytes{'M', 'M', 0, 42};
    file.put(0, 4);  // place of the directory, known at the end
    std::vector<std::uint32_t> offsets;
    std::vector<std::uint32_t> sizes;
    for (int row = 0; row < options.height; row += options.rows_per_strip) {
        const Bytes strip = strip_bytes(options, samples, row);
        offsets.push_back(static_cast<std::uint32_t>(file.bytes.size()));
        sizes.push_back(static_cast<std::uint32_t>(strip.size()));
        file.bytes.insert(file.bytes.end(), strip.begin(), strip.end());
    }
    const auto count = static_cast<std::uint32_t>(offsets.size());
    const auto offsets_at = static_cast<std::uint32_t>(file.bytes.size());
    for (const std::uint32_t offset : offsets) {
        file.put(offset, 4);
    }
    const auto sizes_at = static_cast<std::uint32_t>(file.bytes.size());
    for (const std::uint32_t size : sizes) {
        file.put(size, 4);
    }
    const auto directory_at = static_cast<std::uint32_t>(file.bytes.size());
    file.put(options.predictor ? 11 : 10, 2);
    file.put_entry(256, static_cast<std::uint32_t>(options.width));
    file.put_entry(257, static_cast<std::uint32_t>(options.height));
    file.put_entry(258, static_cast<std::uint32_t>(options.bits));
    file.put_entry(259, static_cast<std::uint32_t>(options.compression));
    file.put_entry(262, options.samples == 3 ? 2 : 1);
    file.put_array_entry(273, count, count == 1 ? offsets.front() : offsets_at);
    file.put_entry(277, static_cast<std::uint32_t>(options.samples));
    file.put_entry(278, static_cast<std::uint32_t>(options.rows_per_strip));
    file.put_array_entry(279, count, count == 1 ? sizes.front() : sizes_at);
    if (options.predictor) {
        file.put_entry(317, 2);
    }
    file.put_entry(339, static_cast<std::uint32_t>(options.sample_format));
    file.put(0, 4);
    Writer place(options.little_endian);
    place.put(directory_at, 4);
    std::copy(place.bytes.begin(), place.bytes.end(), file.bytes.begin() + 4);
    return file.bytes;
}

std::vector<std::uint32_t> sample_scene(int width, int height) {
    std::vector<std::uint32_t> counts;
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const double distance = std::hypot(x - 0.4 * width, y - 0.6 * height);
            const int texture = (x * 7 + y * 13) % 11;
            counts.push_back(static_cast<std::uint32_t>(30000.0 + 1500.0 * std::exp(-distance / 3.0)) +
                             static_cast<std::uint32_t>(texture));
        }
    }
    return counts;
}

}  // namespace heatrow::testing
