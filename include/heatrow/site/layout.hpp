// What is on site: modules with their corners in space, the strings they form, the tables they lie on.
#pragma once

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "heatrow/core/units.hpp"
#include "heatrow/site/module_type.hpp"
#include "heatrow/site/string_home.hpp"

namespace heatrow {

// Geographic origin of the site frame (east, north, up in metres).
struct SiteOrigin {
    double longitude_deg = 0.0;  // WGS 84
    double latitude_deg = 0.0;
    Metres height{0.0};          // above the ellipsoid
};

struct Module {
    std::string id;
    int string = -1;    // index in Layout::strings; -1 = none
    int position = 0;   // in the string, from 1, in wiring order from its positive end; 0 = unknown
    int table = -1;     // index in Layout::tables; -1 = none
    int type = 0;       // index in Layout::types
    Radians tilt{0.0};     // from horizontal
    Radians azimuth{0.0};  // of the horizontal part of the normal, clockwise from true north
    // Top left, top right, bottom right, bottom left as seen from the front with the type's `top` up; site frame, m.
    std::array<Eigen::Vector3d, 4> corners_in_site;

    [[nodiscard]] Eigen::Vector3d centre_in_site() const;
    // Unit normal of the front.
    [[nodiscard]] Eigen::Vector3d normal_in_site() const;
    // A point given in the type's plane coordinates (m), in the site frame.
    [[nodiscard]] Eigen::Vector3d point_in_site(const ModuleType& type, const Eigen::Vector2d& in_plane) const;
};

struct ModuleString {
    std::string id;
    std::vector<int> modules;  // in wiring order
    // What its modules agree on: empty where one names another combiner, inverter or input than the rest.
    StringHome home{};
};

struct Table {
    std::string id;
    std::vector<int> modules;
};

struct Layout {
    SiteOrigin origin;
    std::vector<ModuleType> types;
    std::vector<Module> modules;       // sorted by id in natural order
    std::vector<ModuleString> strings;  // the same
    std::vector<Table> tables;          // the same

    [[nodiscard]] const ModuleType& type_of(const Module& module) const {
        return types[static_cast<std::size_t>(module.type)];
    }
    [[nodiscard]] std::optional<int> find_module(std::string_view id) const;
};

// "R2" before "R10": runs of digits compare as numbers, the rest by character.
bool natural_less(std::string_view a, std::string_view b);

}  // namespace heatrow
