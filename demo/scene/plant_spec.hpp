// What stands on site: [[block]] and [[slab]] of scene.toml.
#pragma once

#include <Eigen/Core>

#include <optional>
#include <string>
#include <vector>

namespace scene {

class Section;

// Single-axis trackers with a level axis: rows run along it, row_pitch_m apart, and turn about it after the sun.
struct TrackerSpec {
    double axis_azimuth_deg = 180.0;
    double axis_height_m = 1.5;
    double limit_deg = 55.0;
    bool backtracking = true;
    double error_deg = 0.0;      // standard deviation by table of the true angle about the one in the layout
    double moves_every_s = 0.0;  // they follow the sun so often; 0 = they stand as at the first frame
};

struct BlockSpec {
    std::string id;
    std::string module_type;
    Eigen::Vector2d origin_m{0.0, 0.0};  // east, north of the lower left corner of the first table
    int rows = 1;
    double row_pitch_m = 7.0;
    double row_shift_m = 0.0;  // along the row, from one row to the next
    int tables_per_row = 1;
    std::vector<double> table_gaps_m;  // one for all gaps, or one each
    int modules_along = 1;
    int modules_up = 1;
    std::string top = "up";  // where the type's `top` points
    double module_gap_m = 0.02;
    double tilt_deg = 25.0;
    double azimuth_deg = 180.0;
    double lower_edge_m = 0.7;         // height of the lower edge above ground
    std::string wiring = "u";          // "u": a string a table; "row": along one tier of a row
    int string_length = 0;             // for "row"
    std::vector<std::string> missing;  // ids of modules that are not there
    double table_step_m = 0.0;         // each table of a row higher than the one before, beyond what the terrain does
    std::vector<std::string> ids;      // of modules in the order of the plant, instead of the regular ones
    std::optional<TrackerSpec> tracker;
    double glint_lobe_deg = -1.0;  // of these modules' glass; negative: the sky's
};

// The ground: a plane through the origin. Tables stay level along the row and step up with it.
struct TerrainSpec {
    double rise_east = 0.0;  // m per m
    double rise_north = 0.0;

    [[nodiscard]] double height(double east, double north) const { return rise_east * east + rise_north * north; }
};

// A flat rectangle beside the tables: a roof, the wall of a box.
struct SlabSpec {
    Eigen::Vector3d centre_m{0.0, 0.0, 0.0};
    double width_m = 1.0;   // across the slope
    double length_m = 1.0;  // up the slope
    double tilt_deg = 0.0;
    double azimuth_deg = 180.0;
    double above_air_k = 10.0;
    double emissivity = 0.92;
    double texture_k = 0.5;
};

BlockSpec read_block(Section section);
SlabSpec read_slab(Section section);
TerrainSpec read_terrain(Section section);

}  // namespace scene
