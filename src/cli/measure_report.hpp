// What `heatrow measure` prints.
#pragma once

#include "heatrow/io/temperature_encoding.hpp"
#include "heatrow/measure/hot_patches.hpp"
#include "heatrow/measure/thermogram.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow::cli {

struct MeasuredPatch {
    HotPatch patch;
    BudgetedDifference contrast;
};

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
    std::vector<DifferenceResult> differences;
    std::optional<std::vector<MeasuredPatch>> patches;  // none: not asked for
    std::string patch_profile;
    KelvinDelta least_contrast{kNaN};
    Celsius dew_point{kNaN};            // of the air, where humidity is given
    std::optional<double> spot_mm;      // smallest measurable object, 3 x 3 pixels
    std::vector<std::string> warnings;  // sentences
};

std::string as_text(const MeasureReport& report);
std::string as_json(const MeasureReport& report);
std::string as_csv(const MeasureReport& report);

}  // namespace heatrow::cli
