#include "heatrow/report/markup.hpp"

#include <array>
#include <cstddef>
#include <cstdint>

namespace heatrow {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";  // U+FFFD

std::uint8_t byte_at(std::string_view text, std::size_t i) {
    return static_cast<std::uint8_t>(text[i]);
}

// Length of the UTF-8 sequence that begins at `i`; 0 if it is ill-formed (RFC 3629) or no XML 1.0 character.
std::size_t sequence_length(std::string_view text, std::size_t i) {
    const std::uint8_t lead = byte_at(text, i);
    if (lead < 0x80) {
        return lead >= 0x20 || lead == '\t' || lead == '\n' || lead == '\r' ? 1 : 0;
    }
    const std::size_t length = lead >= 0xC2 && lead <= 0xDF ? 2 : (lead & 0xF0) == 0xE0 ? 3 : 0;
    const std::size_t wanted = length != 0 ? length : (lead >= 0xF0 && lead <= 0xF4 ? 4 : 0);
    if (wanted == 0 || i + wanted > text.size()) {
        return 0;
    }
    std::uint32_t code = lead & (0xFFU >> (wanted + 1));
    for (std::size_t k = 1; k < wanted; ++k) {
        const std::uint8_t next = byte_at(text, i + k);
        if ((next & 0xC0) != 0x80) {
            return 0;
        }
        code = (code << 6U) | (next & 0x3FU);
    }
    constexpr std::array<std::uint32_t, 5> kLeast = {0, 0, 0x80, 0x800, 0x10000};
    const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
    const bool noncharacter = code == 0xFFFE || code == 0xFFFF;
    return code < kLeast[wanted] || code > 0x10FFFF || surrogate || noncharacter ? 0 : wanted;
}

}  // namespace

std::string clean_utf8(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        const std::size_t length = sequence_length(text, i);
        out += length == 0 ? kReplacement : text.substr(i, length);
        i += length == 0 ? 1 : length;
    }
    return out;
}

std::string escape_xml(std::string_view text) {
    std::string out;
    for (const char c : clean_utf8(text)) {
        switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                out += c;
        }
    }
    return out;
}

std::string json_string(std::string_view text) {
    constexpr std::string_view kHex = "0123456789abcdef";
    const std::string clean = clean_utf8(text);
    std::string out = "\"";
    for (std::size_t i = 0; i < clean.size(); ++i) {
        const char c = clean[i];
        const std::string_view rest = std::string_view(clean).substr(i);
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (byte_at(clean, i) < 0x20 || c == '<' || c == '>' || c == '&') {
            out += "\\u00";
            out += kHex[byte_at(clean, i) >> 4U];
            out += kHex[byte_at(clean, i) & 15U];
        } else if (rest.starts_with("\xE2\x80\xA8") || rest.starts_with("\xE2\x80\xA9")) {
            out += rest[2] == '\xA8' ? "\\u2028" : "\\u2029";
            i += 2;
        } else {
            out += c;
        }
    }
    return out + '"';
}

}  // namespace heatrow
