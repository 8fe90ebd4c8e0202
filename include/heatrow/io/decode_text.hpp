// Bytes of a text file as UTF-8.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

namespace heatrow {

struct DecodedText {
    std::string text;      // UTF-8 without byte order mark
    std::string encoding;  // "UTF-8", "UTF-16LE", "UTF-16BE" or "Windows-1252"
    bool byte_order_mark = false;
};

// UTF-16 is known by its byte order mark, or by zero bytes in every other place; what is no valid UTF-8 is taken as
// Windows-1252 (the usual 8-bit export). Error (kind input) naming `name` if the bytes are no text: NUL bytes, an odd
// count of UTF-16 bytes, a lone surrogate.
DecodedText decode_text(std::string_view bytes, std::string_view name);

// All bytes of a file. Error (kind input) if it cannot be read.
std::string read_text_bytes(const std::filesystem::path& path);

}  // namespace heatrow
