#include "scene_fixture.hpp"

#include "survey_writer.hpp"

#include <unistd.h>

#include <atomic>
#include <fstream>
#include <iterator>

namespace scene_test {

namespace fs = std::filesystem;

TemporaryFolder::TemporaryFolder() {
    static std::atomic<int> number{0};
    path_ =
        fs::temp_directory_path() / ("heatrow-scene-test-" + std::to_string(getpid()) + "-" + std::to_string(++number));
    fs::create_directories(path_);
}

TemporaryFolder::~TemporaryFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

std::string small_scene_text() {
    return R"(
[scene]
id = "small"
seed = 3
longitude = 9.5
latitude = 47.25
start_utc = "2026-06-17T11:02:00"
module_types = [")" HEATROW_MODULE_TYPES R"("]

[camera]
width_px = 200
height_px = 160
focal_px = 350.0
distortion = [-0.11, 0.07, 0.0004, -0.0003, 0.0]

[[block]]
module_type = "generic-60-full"
rows = 1
tables_per_row = 2
table_gaps_m = [0.8]
modules_along = 3
modules_up = 2

[flight]
height_m = 11.0
lane_spacing_m = 8.0
frame_spacing_m = 2.0
overshoot_m = 0.0

[scope]
minimum_frames = 1

[limits_k]
hot_cell = 10.0
substring_bypassed = 3.0
open_circuit_module = 3.0
string_warm_cause_open = 3.0

[[fault]]
pattern = "hot_cell"
module = "R1-T1-A02"
cell = "r4c3"
delta_t_1000_k = 20.0

[[fault]]
pattern = "substring_bypassed"
module = "R1-T1-B03"
substring = 2

[[fault]]
pattern = "string_warm_cause_open"
string = "R1-S2"

[[decoy]]
kind = "animal"
position_m = [3.3, 1.0]
)";
}

scene::SceneSpec read_scene_text(const std::string& text) {
    const TemporaryFolder folder;
    scene::write_text(folder.path() / "scene.toml", text);
    return scene::read_scene(folder.path() / "scene.toml");
}

scene::SceneSpec quiet_scene() {
    scene::SceneSpec spec = read_scene_text(small_scene_text());
    spec.camera.noise_k = 0.0;
    spec.camera.fixed_pattern_k = 0.0;
    spec.camera.row_noise_k = 0.0;
    spec.camera.row_pattern_k = 0.0;
    spec.camera.column_pattern_k = 0.0;
    spec.camera.vignetting_k = 0.0;
    spec.camera.shutter_jump_k = 0.0;
    spec.camera.drift_k_per_min = 0.0;
    spec.camera.replaced_pixels = 0.0;
    spec.camera.dead_pixels = 0.0;
    spec.camera.blur_sigma_px = 0.0;
    spec.camera.stray_light = 0.0;
    spec.camera.diffraction = false;
    spec.heat.module_spread_k = 0.0;
    spec.heat.cell_spread_k = 0.0;
    spec.heat.cell_light_spread = 0.0;
    spec.heat.cell_leak_spread = 0.0;
    spec.heat.gap_heat_share = 1.0;
    spec.heat.frame_loss_w_mk = 0.0;
    spec.heat.rail_hindrance = 0.0;
    spec.heat.row_end_cooling_k = 0.0;
    spec.heat.power_coefficient_per_k = 0.0;
    spec.heat.box_warming_k = 0.0;
    spec.heat.slope_warming_k_per_m = 0.0;
    spec.ground.texture_k = 0.0;
    spec.air.relative_humidity = 0.0;
    spec.sky.module_lean_deg = 0.0;
    spec.hidden = scene::HiddenSpec::none();
    return spec;
}

std::string file_bytes(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

}  // namespace scene_test
