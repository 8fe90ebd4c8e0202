// Text made small for the page: deflated and written in base 64. The page's script unpacks it.
#pragma once

#include <string>
#include <string_view>

namespace heatrow {

// RFC 4648, with padding.
std::string base64(std::string_view bytes);

// zlib stream (RFC 1950) in base 64. The same text gives the same bytes for one version of libdeflate.
std::string packed_text(std::string_view text);

}  // namespace heatrow
