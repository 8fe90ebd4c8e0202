#include "thermogram_options.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/radiometry/air.hpp"

#include <fmt/format.h>

#include <cmath>

namespace heatrow::cli {

void ThermogramOptions::declare(CLI::App& app) {
    app.add_option("--scale", scale_, "Temperature = scale x count + offset; without it the likely ones are listed");
    app.add_option("--offset", offset_, "See --scale")->capture_default_str();
    app.add_option("--unit", unit_, "Of scale x count + offset")
        ->check(CLI::IsMember({"degC", "K"}))
        ->capture_default_str();
    app.add_option("--nodata", nodata_, "Count that means no data");
    app.add_option(
           "--export-emissivity", export_emissivity_, "Emissivity set when the frame was exported; it is undone")
        ->capture_default_str();
    app.add_option("--export-reflected", export_reflected_, "Reflected temperature set at export, degC");
    app.add_option("--distance", distance_, "To the object, m; with --humidity and --air the air path is corrected");
    app.add_option("--humidity", humidity_, "Relative humidity, percent");
    app.add_option("--air", air_, "Air temperature, degC");
    app.add_option(
        "--focal-px", focal_px_, "Focal length over pixel pitch; with --distance: smallest measurable object");
    app.add_option("--band-low", band_.low_um, "Lower limit of the camera's band, um")->capture_default_str();
    app.add_option("--band-high", band_.high_um, "Upper limit, um")->capture_default_str();
    app.add_option("--offset-u", offset_u_k_, "Standard uncertainty of the camera's offset, K")->capture_default_str();
    app.add_option("--gain-u", gain_u_, "Of its gain, share of the reading over 20 degC")->capture_default_str();
    app.add_option("--size-of-source-u", size_of_source_u_, "Share of a reading that stems from around the area")
        ->capture_default_str();
}

void ThermogramOptions::refuse(std::string_view option, std::string_view why, std::string_view remedy) const {
    throw Error(ErrorKind::usage, what_failed_, option, why, remedy);
}

FrameCounts ThermogramOptions::read(const std::filesystem::path& file) const {
    auto counts = read_frame(file);
    if (!counts) {
        throw Error(ErrorKind::input, what_failed_, file.string(), counts.error().detail, "");
    }
    return std::move(*counts);
}

TemperatureEncoding ThermogramOptions::encoding(const std::filesystem::path& file,
                                                const FrameCounts& frame,
                                                const Profile& profile) const {
    const CountSummary counts = summarise_counts(frame, nodata_);
    if (!scale_) {
        std::string likely;
        for (const EncodingGuess& guess : guess_encodings(counts, frame.is_float, profile)) {
            likely += fmt::format("{}--scale {:g} --unit {} ({:.1f} to {:.1f} degC)",
                                  likely.empty() ? "" : ", or ",
                                  guess.encoding.scale,
                                  guess.encoding.kelvin ? "K" : "degC",
                                  guess.low.value(),
                                  guess.high.value());
        }
        refuse("--scale",
               "what a count means must be declared",
               likely.empty() ? "The counts fit no usual encoding." : "The counts would fit " + likely + ".");
    }
    TemperatureEncoding encoding;
    encoding.scale = *scale_;
    encoding.offset = offset_;
    encoding.kelvin = unit_ == "K";
    encoding.nodata = nodata_;
    encoding.export_emissivity = export_emissivity_;
    encoding.export_reflected = Celsius(export_reflected_);
    if (const std::string problem = problem_with(encoding); !problem.empty()) {
        refuse("--scale, --offset, --export-emissivity, --export-reflected", problem, "");
    }
    if (const auto plausible = check_plausible(counts, frame.is_float, encoding, profile); !plausible) {
        throw Error(ErrorKind::input,
                    what_failed_,
                    file.string(),
                    plausible.error().detail,
                    "Correct --scale, --offset or --unit");
    }
    return encoding;
}

ObjectConditions ThermogramOptions::conditions(double emissivity, Celsius reflected) const {
    ObjectConditions conditions;
    conditions.emissivity = emissivity;
    conditions.reflected = reflected;
    if (humidity_) {
        if (const std::string problem = problem_with_humidity(*humidity_); !problem.empty()) {
            refuse("--humidity", problem, "");
        }
    }
    if (distance_ && !(*distance_ > 0.0 && std::isfinite(*distance_))) {
        refuse("--distance", fmt::format("a distance of {:g} m cannot be", *distance_), "Give metres above zero");
    }
    if (focal_px_ && !(*focal_px_ > 0.0 && std::isfinite(*focal_px_))) {
        refuse("--focal-px", "must be above zero", "It is the focal length over the pixel pitch, e.g. 1125");
    }
    if (distance_ && humidity_ && air_) {
        conditions.air = Celsius(*air_);
        conditions.transmittance = transmittance(Metres(*distance_), conditions.air, *humidity_);
        if (std::isnan(conditions.transmittance)) {
            refuse("--air",
                   fmt::format("at {:g} degC and {:g} m the model of the air path does not hold", *air_, *distance_),
                   "Leave --humidity or --air away to measure without it");
        }
    }
    if (const std::string problem = problem_with(conditions); !problem.empty()) {
        refuse("--emissivity, --reflected", problem, "");
    }
    return conditions;
}

UncertaintyCauses ThermogramOptions::camera_causes() const {
    UncertaintyCauses causes;
    causes.camera_offset = KelvinDelta(offset_u_k_);
    causes.camera_gain = gain_u_;
    causes.size_of_source = size_of_source_u_;
    return causes;
}

}  // namespace heatrow::cli
