// Text from outside on its way into XML, HTML or JSON: always data, never markup.
#pragma once

#include <string>
#include <string_view>

namespace heatrow {

// Well-formed UTF-8 without characters that XML 1.0 forbids; each offending byte becomes U+FFFD.
std::string clean_utf8(std::string_view text);

// For element content and quoted attributes of XML and HTML: & < > " ' escaped, after clean_utf8.
std::string escape_xml(std::string_view text);

// A JSON string literal with its quotes, safe inside an HTML script element ('<', '>', '&', U+2028 and U+2029 are
// written as \u escapes), after clean_utf8.
std::string json_string(std::string_view text);

}  // namespace heatrow
