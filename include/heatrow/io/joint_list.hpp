// Lists of electrical joints (docs/formats/joints.md).
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/measure/areas.hpp"
#include "heatrow/measure/joints.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What a temperature of a list can be, degC: beyond them it is a slip, of kelvin for example.
inline constexpr double kLowestC = -60.0;
inline constexpr double kHighestAirC = 80.0;
inline constexpr double kHighestSurfaceC = 1000.0;

// One joint as written; a temperature is typed or comes from an area of a thermogram, never both.
struct JointRow {
    int line = 0;
    std::string place;  // "FILE, line N", for messages
    std::string id;
    std::string group;
    std::string phase;
    std::string note;
    std::filesystem::path thermogram;  // as written; empty where a temperature is typed
    std::optional<AreaShape> area;
    std::optional<double> temperature_c;
    std::optional<double> temperature_u_k;  // standard uncertainty
    std::optional<double> air_c;
    std::optional<double> reflected_c;
    double current_a = kNaN;
    std::optional<double> current_u_a;
    double rated_a = kNaN;
    JointSurface surface = JointSurface::tape;
    std::optional<double> emissivity;
    std::optional<double> cover_open_min;
    std::optional<double> load_held_min;
};

struct JointList {
    std::string name;
    std::vector<JointRow> rows;  // in the order of the file
};

// Errors (kind input) name file, line, field, value and remedy: a column that is missing or not known, a field that is
// missing, no number or out of range, a joint listed twice, both or neither of temperature and area, joints of one
// group with different rated currents.
JointList parse_joint_list(std::string_view bytes, std::string_view name);
JointList read_joint_list(const std::filesystem::path& path);

}  // namespace heatrow
