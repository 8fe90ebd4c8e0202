// The plant in space: tables as flat faces with a grid of modules, strings in wiring order.
#pragma once

#include "panel_type.hpp"
#include "scene_spec.hpp"

#include <Eigen/Core>

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace scene {

// A flat rectangle in space. Face coordinates: u to the right, v up the slope, from the lower left corner, metres,
// seen from the front.
struct Face {
    Eigen::Vector3d origin;  // lower left corner
    Eigen::Vector3d right;   // unit
    Eigen::Vector3d up;      // unit, up the slope
    Eigen::Vector3d normal;  // unit, out of the front
    double width_m = 0.0;
    double height_m = 0.0;

    [[nodiscard]] Eigen::Vector3d at(double u, double v) const { return origin + u * right + v * up; }
};
// azimuth: where the front faces, clockwise from north; lower_left in the site frame.
Face make_face(const Eigen::Vector3d& lower_left, double tilt_deg, double azimuth_deg, double width_m, double height_m);

// How the plane coordinates of a type lie in the module's place: x = x0 + xu u + xv v, y likewise, u and v from the
// lower left corner of the place.
struct Placing {
    double x0 = 0.0, xu = 0.0, xv = 0.0;
    double y0 = 0.0, yu = 0.0, yv = 0.0;
};

enum class Top { up, down, left, right };
Top parse_top(const std::string& name);
Placing make_placing(const PanelType& type, Top top);

struct Panel {
    std::string id;
    int table = 0;
    int column = 0;  // in the table, from the left
    int tier = 0;    // from the bottom
    int string = -1;
    int position = 0;     // from 1, at the positive end of the string
    bool absent = false;  // in the layout, but nothing is there
    int renewals = 0;     // how often it was replaced between seasons
};

struct PanelTable {
    std::string id;
    int row = 0;  // of tables, over the whole plant
    int block = 0;
    int type = 0;
    Top top = Top::up;
    Placing placing;
    Face face;
    double tilt_deg = 0.0;
    double azimuth_deg = 0.0;
    int along = 0;
    int tiers = 0;
    double place_width_m = 0.0;  // of one module on the table
    double place_height_m = 0.0;
    double gap_m = 0.0;
    double glint_lobe_deg = 0.0;  // full width at half height of the sun mirrored in the glass
    std::vector<int> panels;      // tier by tier, -1 = missing

    [[nodiscard]] int panel_at(int column, int tier) const {
        return panels[static_cast<std::size_t>(tier * along + column)];
    }
};

struct PanelString {
    std::string id;
    std::vector<int> panels;     // in wiring order
    double load_fraction = 1.0;  // on top of the site's
};

struct Plant {
    std::vector<PanelType> types;
    std::vector<PanelTable> tables;
    std::vector<Panel> panels;
    std::vector<PanelString> strings;
    std::size_t first_of_block = 0;  // panel, while the plant is being built

    [[nodiscard]] const PanelTable& table_of(int panel) const {
        return tables[static_cast<std::size_t>(panels[static_cast<std::size_t>(panel)].table)];
    }
    [[nodiscard]] const PanelType& type_of(int panel) const {
        return types[static_cast<std::size_t>(table_of(panel).type)];
    }
    // A point in the type's plane coordinates, in the site frame.
    [[nodiscard]] Eigen::Vector3d point_in_site(int panel, double x, double y) const;
    // Top left, top right, bottom right, bottom left as seen with the type's `top` up.
    [[nodiscard]] std::array<Eigen::Vector3d, 4> corners_in_site(int panel) const;
    [[nodiscard]] int find_panel(const std::string& id) const;   // -1 = none
    [[nodiscard]] int find_string(const std::string& id) const;  // -1 = none
};

// seed: of what differs between scene and layout.
Plant build_plant(const SceneSpec& scene, std::uint64_t seed = 0);

}  // namespace scene
