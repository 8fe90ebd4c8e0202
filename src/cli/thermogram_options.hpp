// What commands on single thermograms ask about a frame: its encoding, the air path, and the camera's uncertainties.
#pragma once

#include "heatrow/core/units.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/temperature_encoding.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/radiometry/measurement.hpp"
#include "heatrow/radiometry/uncertainty.hpp"
#include "heatrow/score/profile.hpp"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>

namespace heatrow::cli {

class ThermogramOptions {
  public:
    // `what_failed` opens every message, e.g. "cannot measure".
    explicit ThermogramOptions(std::string_view what_failed) : what_failed_(what_failed) {}

    void declare(CLI::App& app);

    // Throws Error(input) naming the file.
    [[nodiscard]] FrameCounts read(const std::filesystem::path& file) const;
    // As the options declare it; Error(usage) listing the likely ones where they do not, Error(input) where the counts
    // contradict it.
    [[nodiscard]] TemperatureEncoding encoding(const std::filesystem::path& file,
                                               const FrameCounts& frame,
                                               const Profile& profile) const;
    // With the air path where distance, humidity and air temperature are all known. Error(usage) for what cannot be.
    [[nodiscard]] ObjectConditions conditions(double emissivity, Celsius reflected) const;
    // The camera's share; emissivity and reflection are the command's.
    [[nodiscard]] UncertaintyCauses camera_causes() const;

    [[nodiscard]] std::optional<double> nodata() const { return nodata_; }
    [[nodiscard]] std::optional<double> distance_m() const { return distance_; }
    [[nodiscard]] std::optional<double> humidity_percent() const { return humidity_; }
    [[nodiscard]] std::optional<double> air_c() const { return air_; }
    [[nodiscard]] std::optional<double> focal_px() const { return focal_px_; }
    [[nodiscard]] Band band() const { return band_; }

    // Throws Error(usage) about an option.
    [[noreturn]] void refuse(std::string_view option, std::string_view why, std::string_view remedy) const;

  private:
    std::string what_failed_;
    std::optional<double> scale_;
    double offset_ = 0.0;
    std::string unit_ = "degC";
    std::optional<double> nodata_;
    double export_emissivity_ = 1.0;
    double export_reflected_ = kNaN;
    std::optional<double> distance_;
    std::optional<double> humidity_;
    std::optional<double> air_;
    std::optional<double> focal_px_;
    Band band_;
    // Standard uncertainties that the picture does not show. The accuracy class that the practice asks of a camera is
    // +-2 K (V2) or +-2 % (M), taken as the 95 % limits; size of source: common practice, no source.
    double offset_u_k_ = 1.0;
    double gain_u_ = 0.01;
    double size_of_source_u_ = 0.01;
};

}  // namespace heatrow::cli
