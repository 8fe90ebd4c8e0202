#include "heatrow/io/layout_writer.hpp"

#include "heatrow/io/site_projection.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>

namespace heatrow {
namespace {

std::string quoted(const std::string& text) {
    return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

// Counter-clockwise from above, closed; a front that looks up has its corners clockwise.
std::string ring_of(const PlannedModule& module, const SiteProjection& projection) {
    std::string ring;
    for (std::size_t i = 0; i <= 4; ++i) {
        const Eigen::Vector3d& corner = module.corners_in_site[(4 - i) % 4];
        const auto place = projection.to_geographic({corner.x(), corner.y(), 0.0});
        ring += fmt::format("{}[{:.9f},{:.9f}]", i == 0 ? "" : ",", place.longitude_deg, place.latitude_deg);
    }
    return ring;
}

// Shortest text of the value to a thousandth.
double thousandths(double value) {
    return std::round(value * 1000.0) / 1000.0 + 0.0;
}

}  // namespace

std::string layout_geojson(const std::vector<PlannedModule>& modules, const SiteOrigin& origin) {
    const SiteProjection projection(origin);
    std::string out = "{\"type\": \"FeatureCollection\", \"features\": [\n";
    for (std::size_t i = 0; i < modules.size(); ++i) {
        const PlannedModule& module = modules[i];
        const auto& c = module.corners_in_site;
        std::string fields = fmt::format("\"module\":{},\"type\":{}", quoted(module.id), quoted(module.type));
        const auto add_text = [&](std::string_view key, const std::string& text) {
            fields += text.empty() ? std::string() : fmt::format(",\"{}\":{}", key, quoted(text));
        };
        if (!module.string.empty()) {
            add_text("string", module.string);
            fields += fmt::format(",\"position\":{}", module.position);
            add_text("combiner", module.home.combiner);
            add_text("inverter", module.home.inverter);
            add_text("input", module.home.input);
        }
        add_text("table", module.table);
        fields += fmt::format(",\"tilt\":{},\"azimuth\":{},\"height\":{},\"top\":\"{}\"",
                              thousandths(module.tilt_deg),
                              thousandths(module.azimuth_deg),
                              thousandths(0.25 * (c[0].z() + c[1].z() + c[2].z() + c[3].z())),
                              to_string(module.top));
        add_text("doubt", module.doubt);
        out += fmt::format(
            "{{\"type\":\"Feature\",\"properties\":{{{}}},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}}"
            "}{}\n",
            fields,
            ring_of(module, projection),
            i + 1 < modules.size() ? "," : "");
    }
    return out + "]}\n";
}

}  // namespace heatrow
