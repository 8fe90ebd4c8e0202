#include "moving_trackers.hpp"

#include "csv_table.hpp"
#include "heatrow/core/error.hpp"
#include "sun_direction.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace scene {
namespace {

double shortest_step_s(const SceneSpec& scene) {
    double step_s = HUGE_VAL;
    for (const BlockSpec& block : scene.blocks) {
        if (block.tracker && block.tracker->moves_every_s > 0.0) {
            step_s = std::min(step_s, block.tracker->moves_every_s);
        }
    }
    return step_s;
}

long step_at(const SceneSpec& scene, double time_s) {
    return std::lround(std::floor(time_s / shortest_step_s(scene)));
}

[[noreturn]] void refuse(const std::string& why, const std::string& remedy) {
    throw heatrow::Error(heatrow::ErrorKind::usage, "Could not render the scene", "block.tracker", why, remedy);
}

}  // namespace

bool trackers_move(const SceneSpec& scene) {
    return std::isfinite(shortest_step_s(scene));
}

SceneSpec scene_at(const SceneSpec& scene, double time_s) {
    SceneSpec now = scene;
    const auto since = std::chrono::milliseconds(
        std::llround(1000.0 * shortest_step_s(scene) * static_cast<double>(step_at(scene, time_s))));
    const SunDirection sun = sun_direction(scene.start + since, scene.longitude_deg, scene.latitude_deg);
    now.sky.sun_azimuth_deg = sun.azimuth_deg;
    now.sky.sun_elevation_deg = sun.elevation_deg;
    return now;
}

MovingWorlds::MovingWorlds(const World& day) : worlds_{&day}, number_of_shot_(day.shots.size(), 0) {
    if (!trackers_move(day.spec)) {
        return;
    }
    if (day.spec.sky.sun_given || day.spec.visible) {
        refuse("trackers that move need the sun of the place and time, and have no visible-light camera",
               "Leave out sun_azimuth_deg and sun_elevation_deg, and [visible].");
    }
    long step = 0;  // that of `day`
    for (std::size_t shot = 0; shot < day.shots.size(); ++shot) {
        const double time_s = day.shots[shot].time_s;
        if (step_at(day.spec, time_s) != step) {
            step = step_at(day.spec, time_s);
            moved_.push_back(
                std::make_unique<World>(scene_at(day.spec, time_s), day.site_seed, World::Parts::all, &day));
            worlds_.push_back(moved_.back().get());
            for (std::size_t table = 0; table < day.plant.tables.size(); ++table) {
                if (moved_.back()->plant.tables[table].azimuth_deg != day.plant.tables[table].azimuth_deg) {
                    refuse("they turn from one side to the other during the flight", "Let it start earlier or later.");
                }
            }
        }
        number_of_shot_[shot] = worlds_.size() - 1;
    }
}

std::string tracker_name(const PanelTable& table) {
    return table.id.substr(0, table.id.rfind('-'));
}

std::string tracker_log(const World& day) {
    constexpr double kEvery_s = 20.0;
    constexpr double kBeyond_s = 120.0;
    std::string out = "time,tracker,angle\n";
    for (double time_s = -kBeyond_s; time_s < day.shots.back().time_s + kBeyond_s; time_s += kEvery_s) {
        const Plant plant = build_plant(scene_at(day.spec, time_s), day.site_seed);
        std::set<std::string> written;
        for (const PanelTable& table : plant.tables) {
            const auto& tracker = day.spec.blocks[static_cast<std::size_t>(table.block)].tracker;
            const std::string name = tracker_name(table);
            if (tracker && written.insert(name).second) {
                const double side = std::sin((table.azimuth_deg - tracker->axis_azimuth_deg) * 0.017453292519943295);
                out += fmt::format("{},{},{:.2f}\n",
                                   written_time(day, time_s + day.hidden.logger_clock_s),
                                   csv_field(name),
                                   side >= 0.0 ? table.tilt_deg : -table.tilt_deg);
            }
        }
    }
    return out;
}

}  // namespace scene
