// The features of a layout file, checked field by field, before they become a Layout.
#pragma once

#include "heatrow/core/units.hpp"
#include "module_outline.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::detail {

struct GeographicPoint {
    double longitude_deg = 0.0;
    double latitude_deg = 0.0;
};

struct LayoutFeature {
    std::string module;
    std::string type;
    std::string string;  // empty = in none
    int position = 0;    // 0 where `string` is empty
    std::string table;   // empty = on none
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
    Metres height{0.0};
    TopEdge top = TopEdge::up;
    std::vector<GeographicPoint> ring;  // WGS 84, not closed
};

// In the order of the file. Throws Error(input) naming file, module, field and value.
std::vector<LayoutFeature> read_layout_features(const std::filesystem::path& file);

// One complaint about a layout.
[[noreturn]] void fail_layout(const std::filesystem::path& file,
                              std::string_view module,
                              std::string_view why,
                              std::string_view remedy);

}  // namespace heatrow::detail
