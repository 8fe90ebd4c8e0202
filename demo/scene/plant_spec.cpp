#include "plant_spec.hpp"

#include "toml_section.hpp"

namespace scene {
namespace {

TrackerSpec read_tracker(Section& section) {
    TrackerSpec tracker;
    tracker.axis_azimuth_deg = section.number("axis_azimuth_deg", tracker.axis_azimuth_deg);
    tracker.axis_height_m = section.number("axis_height_m", tracker.axis_height_m);
    tracker.limit_deg = section.number("limit_deg", tracker.limit_deg);
    tracker.backtracking = section.boolean("backtracking", tracker.backtracking);
    tracker.error_deg = section.number("error_deg", 0.0);
    tracker.moves_every_s = section.number("moves_every_s", tracker.moves_every_s);
    if (!(tracker.moves_every_s >= 0.0)) {
        section.fail("moves_every_s", "must be a time, or 0");
    }
    section.finish();
    return tracker;
}

}  // namespace

TerrainSpec read_terrain(Section section) {
    TerrainSpec terrain;
    terrain.rise_east = section.number("rise_east", 0.0);
    terrain.rise_north = section.number("rise_north", 0.0);
    section.finish();
    return terrain;
}

BlockSpec read_block(Section section) {
    BlockSpec block;
    block.id = section.text("id", "");
    block.module_type = section.text("module_type");
    block.origin_m = section.vector2("origin_m", {0.0, 0.0});
    block.rows = section.integer("rows", block.rows);
    block.row_pitch_m = section.number("row_pitch_m", block.row_pitch_m);
    block.row_shift_m = section.number("row_shift_m", block.row_shift_m);
    block.tables_per_row = section.integer("tables_per_row", block.tables_per_row);
    block.table_gaps_m = section.numbers("table_gaps_m", {0.6});
    block.modules_along = section.integer("modules_along");
    block.modules_up = section.integer("modules_up", block.modules_up);
    block.top = section.text("top", block.top);
    block.module_gap_m = section.number("module_gap_m", block.module_gap_m);
    block.tilt_deg = section.number("tilt_deg", block.tilt_deg);
    block.azimuth_deg = section.number("azimuth_deg", block.azimuth_deg);
    block.lower_edge_m = section.number("lower_edge_m", block.lower_edge_m);
    block.wiring = section.text("wiring", block.wiring);
    block.string_length = section.integer("string_length", 0);
    block.missing = section.texts("missing");
    block.table_step_m = section.number("table_step_m", 0.0);
    block.ids = section.texts("ids");
    block.glint_lobe_deg = section.number("glint_lobe_deg", block.glint_lobe_deg);
    if (auto tracker = section.section("tracker")) {
        block.tracker = read_tracker(*tracker);
    }
    const auto gaps = static_cast<int>(block.table_gaps_m.size());
    if (gaps != 1 && gaps != block.tables_per_row - 1) {
        section.fail("table_gaps_m", "must hold one gap, or one for each gap of a row");
    }
    if (block.wiring != "u" && block.wiring != "row") {
        section.fail("wiring", "must be 'u' or 'row'");
    }
    if (block.wiring == "row" && block.string_length < 1) {
        section.fail("string_length", "is needed with wiring = 'row'");
    }
    section.finish();
    return block;
}

SlabSpec read_slab(Section section) {
    SlabSpec slab;
    slab.centre_m = section.vector3("centre_m");
    slab.width_m = section.number("width_m");
    slab.length_m = section.number("length_m");
    slab.tilt_deg = section.number("tilt_deg", 0.0);
    slab.azimuth_deg = section.number("azimuth_deg", 180.0);
    slab.above_air_k = section.number("above_air_k", slab.above_air_k);
    slab.emissivity = section.number("emissivity", slab.emissivity);
    slab.texture_k = section.number("texture_k", slab.texture_k);
    section.finish();
    return slab;
}

}  // namespace scene
