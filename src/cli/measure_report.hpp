// What `heatrow measure` found, and how it is printed.
#pragma once

#include "heatrow/io/temperature_encoding.hpp"
#include "heatrow/measure/difference.hpp"
#include "heatrow/measure/hot_patches.hpp"
#include "heatrow/measure/isotherm.hpp"
#include "heatrow/measure/line_profile.hpp"
#include "heatrow/measure/thermogram.hpp"

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::cli {

struct MeasuredPatch {
    HotPatch patch;
    BudgetedDifference contrast;
};

struct MeasuredLine {
    LineShape line;
    LineProfile profile;
};

struct MeasuredIsotherm {
    std::string name;  // "picture" or an area's
    IsothermFigures figures;
};

// A temperature that does not come from the picture.
struct OutsideValue {
    std::string name;
    bool is_probe = false;  // read with a contact probe; else typed
    Uncertain<Celsius> value;
};

// What was read on other instruments at the time of the frame; kept with the record, not used.
struct AttachedValues {
    std::optional<double> air_c;
    std::optional<double> humidity_percent;
    std::optional<double> distance_m;
    std::optional<double> irradiance_w_m2;
    std::optional<double> current_a;
    std::optional<double> voltage_v;
    std::optional<double> power_w;
};
struct AttachedValueName {
    std::string_view key;
    std::string_view words;
    std::string_view unit;
    std::optional<double> AttachedValues::*member;
};
inline constexpr std::array<AttachedValueName, 7> kAttachedValues{{
    {"air_c", "air", "degC", &AttachedValues::air_c},
    {"humidity_percent", "humidity", "%", &AttachedValues::humidity_percent},
    {"distance_m", "distance", "m", &AttachedValues::distance_m},
    {"irradiance_w_m2", "irradiance", "W/m2", &AttachedValues::irradiance_w_m2},
    {"current_a", "current", "A", &AttachedValues::current_a},
    {"voltage_v", "voltage", "V", &AttachedValues::voltage_v},
    {"power_w", "power", "W", &AttachedValues::power_w},
}};

struct MeasureReport {
    std::string frame;
    int width_px = 0;
    int height_px = 0;
    std::string kind;
    ThermogramSettings settings;
    NoiseEstimate noise;
    long missing_pixels = 0;
    long impossible_pixels = 0;
    long clipped_pixels = 0;
    AreaResult picture;
    std::vector<AreaResult> areas;
    std::vector<MeasuredLine> lines;
    std::vector<OutsideValue> values;
    std::vector<DifferenceResult> differences;
    std::optional<Celsius> isotherm;
    std::vector<MeasuredIsotherm> isotherms;            // of the picture, then of the areas
    std::optional<std::vector<MeasuredPatch>> patches;  // none: not asked for
    std::string patch_profile;
    KelvinDelta least_contrast{kNaN};
    Celsius dew_point{kNaN};  // of the air, where humidity is given
    Metres footprint{kNaN};   // of a pixel, where distance and focal length are given
    Metres spot{kNaN};        // smallest measurable object
    AttachedValues attached;
    std::vector<std::string> warnings;  // sentences
};

std::string as_text(const MeasureReport& report);
std::string as_json(const MeasureReport& report);
std::string as_csv(const MeasureReport& report);
// The lines, one point a row.
std::string lines_as_csv(const MeasureReport& report);

// Half width of the 95 % interval, K.
double u95_of(const UncertaintyBudget& budget);

}  // namespace heatrow::cli
