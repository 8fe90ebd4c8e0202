// A frame that was taken to determine something, read as apparent temperatures, and how a determination is printed.
#pragma once

#include "heatrow/measure/thermogram.hpp"
#include "heatrow/radiometry/determination.hpp"
#include "heatrow/score/profile.hpp"
#include "thermogram_options.hpp"

#include <nlohmann/json.hpp>

#include <filesystem>
#include <string>

namespace heatrow::cli {

// Emissivity 1; the air path is taken out where the options describe it. Throws Error as ThermogramOptions does.
Thermogram read_apparent_frame(const std::filesystem::path& file,
                               const ThermogramOptions& options,
                               const Profile& profile,
                               const BandRadiance& band);
// Throws Error(usage) for an uncertainty below zero.
CameraUncertainties camera_of(const ThermogramOptions& options);

// An area given as SHAPE:numbers; throws Error(usage) naming the option.
Area area_of(const std::string& option, const std::string& shape);

// "  camera offset      0.0123" a line, and the same for programs.
std::string terms_as_text(const Determination& found, int decimals);
nlohmann::ordered_json determination_as_json(const Determination& found);

}  // namespace heatrow::cli
