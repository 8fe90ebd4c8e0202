#include "plant.hpp"

#include "heatrow/core/error.hpp"
#include "random.hpp"
#include "tracker.hpp"

#include <Eigen/Geometry>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace scene {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

int type_index(Plant& plant, const SceneSpec& scene, const std::string& id) {
    for (std::size_t i = 0; i < plant.types.size(); ++i) {
        if (plant.types[i].id == id) {
            return static_cast<int>(i);
        }
    }
    plant.types.push_back(read_panel_type(id, scene.type_folders));
    return static_cast<int>(plant.types.size()) - 1;
}

void add_panels(Plant& plant, const BlockSpec& block, PanelTable& table, int table_index) {
    for (int tier = 0; tier < table.tiers; ++tier) {
        for (int column = 0; column < table.along; ++column) {
            // "R3-T2-B07": row, table, tier from the bottom as a letter, column from the left.
            std::string id = fmt::format("{}-{}{:02}", table.id, static_cast<char>('A' + tier), column + 1);
            if (plant.panels.size() - plant.first_of_block < block.ids.size()) {
                id = block.ids[plant.panels.size() - plant.first_of_block];
            }
            if (std::ranges::find(block.missing, id) != block.missing.end()) {
                table.panels.push_back(-1);
                continue;
            }
            table.panels.push_back(static_cast<int>(plant.panels.size()));
            plant.panels.push_back({.id = id, .table = table_index, .column = column, .tier = tier});
        }
    }
}

void close_string(Plant& plant, PanelString& string) {
    if (string.panels.empty()) {
        return;
    }
    const int index = static_cast<int>(plant.strings.size());
    for (std::size_t i = 0; i < string.panels.size(); ++i) {
        Panel& panel = plant.panels[static_cast<std::size_t>(string.panels[i])];
        panel.string = index;
        panel.position = static_cast<int>(i) + 1;
    }
    plant.strings.push_back(std::move(string));
    string = {};
}

// One string a table: the lower tier from the left, the next one back, and so on.
void wire_tables(Plant& plant, const std::string& row_id, const std::vector<int>& tables) {
    int number = 0;
    for (const int index : tables) {
        const PanelTable& table = plant.tables[static_cast<std::size_t>(index)];
        PanelString string{fmt::format("{}-S{}", row_id, ++number), {}};
        for (int tier = 0; tier < table.tiers; ++tier) {
            for (int i = 0; i < table.along; ++i) {
                const int panel = table.panel_at(tier % 2 == 0 ? i : table.along - 1 - i, tier);
                if (panel >= 0) {
                    string.panels.push_back(panel);
                }
            }
        }
        close_string(plant, string);
    }
}

// Strings of a fixed length along each tier of the row, over the tables.
void wire_tiers(Plant& plant, const std::string& row_id, const std::vector<int>& tables, int length) {
    int number = 0;
    const int tiers = plant.tables[static_cast<std::size_t>(tables.front())].tiers;
    for (int tier = 0; tier < tiers; ++tier) {
        PanelString string{fmt::format("{}-S{}", row_id, ++number), {}};
        for (const int index : tables) {
            const PanelTable& table = plant.tables[static_cast<std::size_t>(index)];
            for (int column = 0; column < table.along; ++column) {
                const int panel = table.panel_at(column, tier);
                if (panel < 0) {
                    continue;
                }
                if (static_cast<int>(string.panels.size()) == length) {
                    close_string(plant, string);
                    string.id = fmt::format("{}-S{}", row_id, ++number);
                }
                string.panels.push_back(panel);
            }
        }
        close_string(plant, string);
    }
}

// Where the modules of a block face: as described, or after the sun.
TrackerTurn facing_of(const SceneSpec& scene, const BlockSpec& block, double table_height_m) {
    if (!block.tracker) {
        return {block.tilt_deg, block.azimuth_deg};
    }
    return tracker_turn(scene.sky.sun_azimuth_deg,
                        scene.sky.sun_elevation_deg,
                        block.tracker->axis_azimuth_deg,
                        table_height_m / block.row_pitch_m,
                        block.tracker->limit_deg,
                        block.tracker->backtracking);
}

// The table's face: its lower edge at the height over the terrain that the block says; a tracker's middle at its axis.
void place_table(
    PanelTable& table, const SceneSpec& scene, const BlockSpec& block, Eigen::Vector3d origin, Random& random) {
    double tilt_deg = table.tilt_deg;
    if (block.tracker && block.tracker->error_deg > 0.0) {
        tilt_deg += block.tracker->error_deg * random.normal();  // the layout keeps the angle that was commanded
    }
    const double width = table.along * (table.place_width_m + table.gap_m) - table.gap_m;
    const double height = table.tiers * (table.place_height_m + table.gap_m) - table.gap_m;
    table.face = make_face({0, 0, 0}, tilt_deg, table.azimuth_deg, width, height);
    const Eigen::Vector2d middle = (origin + 0.5 * width * table.face.right).head<2>();
    origin.z() += scene.terrain.height(middle.x(), middle.y());
    if (block.tracker) {
        origin.z() += block.tracker->axis_height_m;
        origin -= 0.5 * height * table.face.up;
    } else {
        origin.z() += block.lower_edge_m;
    }
    table.face.origin = origin;
}

void add_block(Plant& plant, const SceneSpec& scene, int block_index, int& row_count, std::uint64_t seed) {
    const BlockSpec& block = scene.blocks[static_cast<std::size_t>(block_index)];
    const int type_number = type_index(plant, scene, block.module_type);
    const PanelType type = plant.types[static_cast<std::size_t>(type_number)];
    const Top top = parse_top(block.top);
    const bool landscape = top == Top::left || top == Top::right;
    const double place_width = landscape ? type.height_m : type.width_m;
    const double place_height = landscape ? type.width_m : type.height_m;
    const double width = block.modules_along * (place_width + block.module_gap_m) - block.module_gap_m;
    const double height = block.modules_up * (place_height + block.module_gap_m) - block.module_gap_m;
    plant.first_of_block = plant.panels.size();
    const TrackerTurn facing = facing_of(scene, block, height);
    const Eigen::Vector3d right = make_face({0, 0, 0}, facing.tilt_deg, facing.azimuth_deg, 1.0, 1.0).right;
    Random random(seed, Stream::trackers, static_cast<std::uint64_t>(block_index));
    // Rows follow each other uphill, against the direction that the tables face.
    const Eigen::Vector3d back(-std::sin(facing.azimuth_deg * kDegree), -std::cos(facing.azimuth_deg * kDegree), 0.0);
    for (int row = 0; row < block.rows; ++row) {
        const std::string row_id = fmt::format("{}R{}", block.id, row + 1);
        std::vector<int> tables;
        double along = row * block.row_shift_m;
        for (int number = 0; number < block.tables_per_row; ++number) {
            PanelTable table;
            table.id = fmt::format("{}-T{}", row_id, number + 1);
            table.row = row_count;
            table.block = block_index;
            table.type = type_number;
            table.top = top;
            table.placing = make_placing(type, top);
            table.tilt_deg = facing.tilt_deg;
            table.azimuth_deg = facing.azimuth_deg;
            table.along = block.modules_along;
            table.tiers = block.modules_up;
            table.place_width_m = place_width;
            table.place_height_m = place_height;
            table.gap_m = block.module_gap_m;
            table.glint_lobe_deg = block.glint_lobe_deg < 0.0 ? scene.sky.glint_lobe_deg : block.glint_lobe_deg;
            place_table(table,
                        scene,
                        block,
                        Eigen::Vector3d(block.origin_m.x(), block.origin_m.y(), number * block.table_step_m) +
                            row * block.row_pitch_m * back + along * right,
                        random);
            const int index = static_cast<int>(plant.tables.size());
            add_panels(plant, block, table, index);
            plant.tables.push_back(table);
            tables.push_back(index);
            if (number + 1 < block.tables_per_row) {
                const auto gap = block.table_gaps_m.size() == 1 ? 0U : static_cast<unsigned>(number);
                along += width + block.table_gaps_m[gap];
            }
        }
        if (block.wiring == "u") {
            wire_tables(plant, row_id, tables);
        } else {
            wire_tiers(plant, row_id, tables, block.string_length);
        }
        ++row_count;
    }
}

}  // namespace

Face make_face(
    const Eigen::Vector3d& lower_left, double tilt_deg, double azimuth_deg, double width_m, double height_m) {
    const double st = std::sin(tilt_deg * kDegree);
    const double ct = std::cos(tilt_deg * kDegree);
    const double sa = std::sin(azimuth_deg * kDegree);
    const double ca = std::cos(azimuth_deg * kDegree);
    Face face;
    face.origin = lower_left;
    face.normal = {sa * st, ca * st, ct};
    face.up = {-sa * ct, -ca * ct, st};
    face.right = face.up.cross(face.normal);
    face.width_m = width_m;
    face.height_m = height_m;
    return face;
}

Top parse_top(const std::string& name) {
    if (name == "up") {
        return Top::up;
    }
    if (name == "down") {
        return Top::down;
    }
    if (name == "left") {
        return Top::left;
    }
    if (name == "right") {
        return Top::right;
    }
    throw heatrow::Error(heatrow::ErrorKind::usage,
                         "Could not use the description",
                         "block.top",
                         "'" + name + "'",
                         "Use up, down, left or right.");
}

Placing make_placing(const PanelType& type, Top top) {
    const double w = type.width_m;
    const double h = type.height_m;
    switch (top) {
        case Top::up:
            return {0.0, 1.0, 0.0, h, 0.0, -1.0};
        case Top::down:
            return {w, -1.0, 0.0, 0.0, 0.0, 1.0};
        case Top::left:  // y grows to the right, x grows up the slope
            return {0.0, 0.0, 1.0, 0.0, 1.0, 0.0};
        case Top::right:  // y grows to the left, x grows down the slope
            return {w, 0.0, -1.0, h, -1.0, 0.0};
    }
    return {};
}

Eigen::Vector3d Plant::point_in_site(int panel, double x, double y) const {
    const PanelTable& table = table_of(panel);
    const Panel& place = panels[static_cast<std::size_t>(panel)];
    const Placing& p = table.placing;
    // The placing is a rotation by quarter turns: its inverse is its transpose.
    const double u = p.xu * (x - p.x0) + p.yu * (y - p.y0);
    const double v = p.xv * (x - p.x0) + p.yv * (y - p.y0);
    return table.face.at(place.column * (table.place_width_m + table.gap_m) + u,
                         place.tier * (table.place_height_m + table.gap_m) + v);
}

std::array<Eigen::Vector3d, 4> Plant::corners_in_site(int panel) const {
    const PanelType& type = type_of(panel);
    return {point_in_site(panel, 0.0, 0.0),
            point_in_site(panel, type.width_m, 0.0),
            point_in_site(panel, type.width_m, type.height_m),
            point_in_site(panel, 0.0, type.height_m)};
}

int Plant::find_panel(const std::string& id) const {
    const auto found = std::ranges::find(panels, id, &Panel::id);
    return found == panels.end() ? -1 : static_cast<int>(found - panels.begin());
}

int Plant::find_string(const std::string& id) const {
    const auto found = std::ranges::find(strings, id, &PanelString::id);
    return found == strings.end() ? -1 : static_cast<int>(found - strings.begin());
}

Plant build_plant(const SceneSpec& scene, std::uint64_t seed) {
    Plant plant;
    int row_count = 0;
    for (std::size_t block = 0; block < scene.blocks.size(); ++block) {
        add_block(plant, scene, static_cast<int>(block), row_count, seed);
    }
    for (const auto& [id, load_fraction] : scene.conditions.string_load_fractions) {
        const int string = plant.find_string(id);
        if (string < 0) {
            throw heatrow::Error(heatrow::ErrorKind::usage,
                                 "Could not use the description",
                                 "conditions.string_load, string '" + id + "'",
                                 "the scene has no such string",
                                 "Ids are those of layout.geojson after a rendering.");
        }
        plant.strings[static_cast<std::size_t>(string)].load_fraction = load_fraction;
    }
    return plant;
}

}  // namespace scene
