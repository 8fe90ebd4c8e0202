// Descriptions of arrays (docs/formats/layout-description.md).
#pragma once

#include "heatrow/site/array_description.hpp"
#include "heatrow/site/layout.hpp"

#include <filesystem>
#include <optional>
#include <string_view>

namespace heatrow {

struct DescribedArray {
    SiteOrigin origin;  // where (0, 0) of the description lies
    ArrayDescription array;
    std::optional<std::filesystem::path> module_types;  // folder
};

// Throws Error(usage) naming file, line, key and value.
DescribedArray read_array_description(const std::filesystem::path& file);
DescribedArray parse_array_description(std::string_view text, const std::filesystem::path& file);

}  // namespace heatrow
