#include "packed_text.hpp"

#include <libdeflate.h>

#include <cstdint>
#include <memory>

namespace heatrow {

std::string base64(std::string_view bytes) {
    constexpr std::string_view kDigits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const std::size_t count = std::min<std::size_t>(3, bytes.size() - i);
        std::uint32_t word = 0;
        for (std::size_t k = 0; k < 3; ++k) {
            word = (word << 8U) | (k < count ? static_cast<unsigned char>(bytes[i + k]) : 0U);
        }
        for (std::size_t k = 0; k < 4; ++k) {
            out += k <= count ? kDigits[(word >> (18U - 6U * k)) & 63U] : '=';
        }
    }
    return out;
}

std::string packed_text(std::string_view text) {
    constexpr int kLevel = 6;
    const std::unique_ptr<libdeflate_compressor, void (*)(libdeflate_compressor*)> compressor(
        libdeflate_alloc_compressor(kLevel), libdeflate_free_compressor);
    std::string bytes(libdeflate_zlib_compress_bound(compressor.get(), text.size()), '\0');
    bytes.resize(libdeflate_zlib_compress(compressor.get(), text.data(), text.size(), bytes.data(), bytes.size()));
    return base64(bytes);
}

}  // namespace heatrow
