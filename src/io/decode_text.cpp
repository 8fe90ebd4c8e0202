#include "heatrow/io/decode_text.hpp"

#include "heatrow/core/error.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdint>
#include <fstream>
#include <iterator>
#include <optional>

namespace heatrow {
namespace {

unsigned char byte_at(std::string_view bytes, std::size_t index) {
    return static_cast<unsigned char>(bytes[index]);
}

void append_utf8(std::uint32_t code, std::string& text) {
    const auto put = [&text](std::uint32_t byte) { text.push_back(static_cast<char>(byte)); };
    if (code < 0x80U) {
        put(code);
    } else if (code < 0x800U) {
        put(0xC0U | (code >> 6U));
        put(0x80U | (code & 0x3FU));
    } else if (code < 0x10000U) {
        put(0xE0U | (code >> 12U));
        put(0x80U | ((code >> 6U) & 0x3FU));
        put(0x80U | (code & 0x3FU));
    } else {
        put(0xF0U | (code >> 18U));
        put(0x80U | ((code >> 12U) & 0x3FU));
        put(0x80U | ((code >> 6U) & 0x3FU));
        put(0x80U | (code & 0x3FU));
    }
}

[[noreturn]] void refuse(std::string_view name, const std::string& why) {
    throw Error(
        ErrorKind::input, "cannot read a table", name, why, "Export the table as plain text, best as UTF-8 CSV");
}

// Number of bytes of the UTF-8 sequence at `at`; nothing if it is not well formed (RFC 3629).
std::optional<std::size_t> sequence_length(std::string_view bytes, std::size_t at) {
    const unsigned char lead = byte_at(bytes, at);
    if (lead < 0x80) {
        return 1;
    }
    const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || at + length > bytes.size()) {
        return std::nullopt;
    }
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte_at(bytes, at + i) & 0xC0U) != 0x80U) {
            return std::nullopt;
        }
    }
    const unsigned char second = byte_at(bytes, at + 1);
    const bool overlong = (lead == 0xE0 && second < 0xA0) || (lead == 0xF0 && second < 0x90);
    const bool surrogate_or_beyond = (lead == 0xED && second > 0x9F) || (lead == 0xF4 && second > 0x8F);
    return overlong || surrogate_or_beyond ? std::nullopt : std::optional(length);
}

bool is_utf8(std::string_view bytes) {
    for (std::size_t at = 0; at < bytes.size();) {
        const auto length = sequence_length(bytes, at);
        if (!length) {
            return false;
        }
        at += *length;
    }
    return true;
}

std::string from_utf16(std::string_view bytes, bool little_endian, std::string_view name) {
    if (bytes.size() % 2 != 0) {
        refuse(name, "UTF-16 text of an odd number of bytes: the file is cut off or no text");
    }
    const auto unit = [&](std::size_t at) -> std::uint32_t {
        const std::uint32_t first = byte_at(bytes, at);
        const std::uint32_t second = byte_at(bytes, at + 1);
        return little_endian ? first | (second << 8U) : (first << 8U) | second;
    };
    std::string text;
    text.reserve(bytes.size() / 2);
    for (std::size_t at = 0; at < bytes.size(); at += 2) {
        std::uint32_t code = unit(at);
        if (code >= 0xD800U && code <= 0xDFFFU) {
            const bool has_low = code <= 0xDBFFU && at + 3 < bytes.size();
            const std::uint32_t low = has_low ? unit(at + 2) : 0U;
            if (low < 0xDC00U || low > 0xDFFFU) {
                refuse(name, "UTF-16 text with half a character pair at byte " + std::to_string(at));
            }
            code = 0x10000U + ((code - 0xD800U) << 10U) + (low - 0xDC00U);
            at += 2;
        }
        append_utf8(code, text);
    }
    return text;
}

// Code points of 0x80 to 0x9F (WHATWG Encoding Standard, index windows-1252); the others are Latin-1.
constexpr std::array<std::uint32_t, 32> kWindows1252High{
    0x20AC, 0x81,   0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x8D,   0x017D, 0x8F,   0x90,   0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x9D,   0x017E, 0x0178};

std::string from_windows_1252(std::string_view bytes) {
    std::string text;
    text.reserve(bytes.size() + 16);
    for (std::size_t at = 0; at < bytes.size(); ++at) {
        const unsigned char byte = byte_at(bytes, at);
        append_utf8(byte >= 0x80 && byte < 0xA0 ? kWindows1252High[byte - 0x80U] : byte, text);
    }
    return text;
}

// UTF-16 without a mark: Latin text has a zero byte in every other place.
std::optional<bool> looks_like_utf16(std::string_view bytes) {
    const std::size_t looked_at = std::min<std::size_t>(bytes.size(), 512) / 2 * 2;
    std::array<std::size_t, 2> zeros{0, 0};
    for (std::size_t at = 0; at < looked_at; ++at) {
        zeros[at % 2] += bytes[at] == '\0' ? 1U : 0U;
    }
    const std::size_t most = looked_at / 2 * 9 / 10;
    if (looked_at < 8 || (zeros[0] > 0 && zeros[1] > 0)) {
        return std::nullopt;
    }
    if (zeros[1] >= most) {
        return true;  // little endian
    }
    return zeros[0] >= most ? std::optional(false) : std::nullopt;
}

}  // namespace

DecodedText decode_text(std::string_view bytes, std::string_view name) {
    DecodedText decoded;
    const bool marked_le = bytes.starts_with("\xFF\xFE");
    const bool marked_be = bytes.starts_with("\xFE\xFF");
    const std::optional<bool> guessed = looks_like_utf16(bytes);
    if (marked_le || marked_be || guessed) {
        decoded.byte_order_mark = marked_le || marked_be;
        const bool little_endian = decoded.byte_order_mark ? marked_le : *guessed;
        decoded.encoding = little_endian ? "UTF-16LE" : "UTF-16BE";
        decoded.text = from_utf16(bytes.substr(decoded.byte_order_mark ? 2 : 0), little_endian, name);
    } else {
        decoded.byte_order_mark = bytes.starts_with("\xEF\xBB\xBF");
        bytes.remove_prefix(decoded.byte_order_mark ? 3 : 0);
        const bool utf8 = is_utf8(bytes);
        decoded.encoding = utf8 ? "UTF-8" : "Windows-1252";
        decoded.text = utf8 ? std::string(bytes) : from_windows_1252(bytes);
    }
    if (decoded.text.find('\0') != std::string::npos) {
        refuse(name, "it holds NUL bytes: no text file");
    }
    return decoded;
}

std::string read_text_bytes(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    if (!file || std::filesystem::is_directory(path)) {
        throw Error(ErrorKind::input,
                    "cannot read a file",
                    path.string(),
                    "it cannot be opened",
                    "Check the path and the permissions");
    }
    std::string bytes{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
    if (file.bad()) {
        throw Error(
            ErrorKind::input, "cannot read a file", path.string(), "reading stopped", "Check the disk and read again");
    }
    return bytes;
}

}  // namespace heatrow
