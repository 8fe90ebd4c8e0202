// A scene as described by scene.toml; every key is explained in docs/scenes.md.
#pragma once

#include "camera_spec.hpp"
#include "conditions_spec.hpp"
#include "fault_spec.hpp"
#include "flight_spec.hpp"
#include "heat_spec.hpp"
#include "heatrow/core/time.hpp"
#include "hidden_spec.hpp"
#include "layout_error_spec.hpp"
#include "mosaic_spec.hpp"
#include "obstacle_spec.hpp"
#include "plant_spec.hpp"
#include "season_spec.hpp"
#include "surroundings_spec.hpp"
#include "visible_spec.hpp"

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace scene {

struct SceneSpec {
    std::filesystem::path file;
    std::string id;
    std::string title;
    std::uint64_t seed = 1;
    std::string expected = "named";  // what a right analysis makes of it; or "refused"
    bool medium = false;             // the conditions that the targets of docs/accuracy.md are stated for
    std::vector<std::filesystem::path> type_folders;
    double longitude_deg = 0.0;
    double latitude_deg = 0.0;
    heatrow::UtcTime start{};
    std::string profile;                         // written to survey.toml where given
    std::optional<double> declared_emissivity;   // the same
    std::optional<double> declared_reflected_c;  // the same
    std::optional<double> specific_yield_kwh_kw;
    int known_pixels = 0;  // written to survey.toml, in as many frames
    double declared_logger_tolerance = 0.03;  // share of the irradiance, as a data sheet would state it
    CameraSpec camera;
    std::optional<VisibleSpec> visible;  // none: no visible-light frames
    std::optional<MosaicSpec> mosaic;    // none: the frames themselves
    std::vector<BlockSpec> blocks;
    std::vector<SlabSpec> slabs;
    std::vector<FlightSpec> flights;  // none where handheld
    TerrainSpec terrain;
    LayoutErrorSpec layout_error;
    std::optional<HandheldSpec> handheld;
    ConditionsSpec conditions;
    HeatSpec heat;
    SkySpec sky;  // with the sun where it stands at the first frame
    AirSpec air;
    OperatorSpec person;
    GroundSpec ground;
    HiddenSpec hidden;
    std::vector<RandomFaults> random_faults;
    std::vector<FaultSpec> faults;
    std::vector<DecoySpec> decoys;
    std::vector<ObstacleSpec> obstacles;
    std::vector<OnModuleSpec> on_modules;
    ScopeSpec scope;
    std::vector<SeasonSpec> seasons;  // none, or the first and the later ones
    std::size_t season = 0;           // which of them this is
};

// Puts the sun where it stands at the first frame, unless [sky] says where.
void put_sun(SceneSpec& scene);

SceneSpec read_scene(const std::filesystem::path& file);

}  // namespace scene
