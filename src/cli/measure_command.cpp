#include "command.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/radiometry/air.hpp"
#include "measure_report.hpp"
#include "thermogram_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

class MeasureCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "measure"; }
    [[nodiscard]] std::string summary() const override {
        return "What does this one thermogram show? Hottest, coldest, areas, differences, hot patches";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {"heatrow measure a.tif --scale 0.04 --unit K                            # the whole picture",
                "heatrow measure a.tif --scale 0.01 --offset -273.15 --emissivity 0.85 --reflected -20",
                "heatrow measure a.tif --scale 0.04 --unit K --area hot=rect:80,60,20,20 --area ref=circle:160,70,9 "
                "--difference hot-ref",
                "heatrow measure a.tif --scale 0.4 --unit K --hot-patches --json        # hot cells of a close-up"};
    }
    void set_up(CLI::App& app) override;
    ExitCode run() override;

  private:
    [[nodiscard]] UncertaintyCauses causes(const Profile& profile) const;
    void add_areas(const Thermogram& thermogram, MeasureReport& report) const;
    void add_patches(const Thermogram& thermogram, const Profile& profile, MeasureReport& report) const;
    void add_warnings(MeasureReport& report) const;

    fs::path frame_;
    ThermogramOptions frame_options_{"cannot measure"};
    double emissivity_ = 1.0;
    double reflected_ = kNaN;
    std::optional<double> emissivity_u_;
    std::optional<double> reflected_u_;
    std::vector<std::string> areas_;
    std::vector<std::string> differences_;
    bool hot_patches_ = false;
    std::optional<double> least_contrast_;
    std::string profile_ = "field-practice";
    bool json_ = false;
    bool csv_ = false;
};

void MeasureCommand::set_up(CLI::App& app) {
    app.add_option("frame", frame_, "Thermogram: single-band 16-bit or float TIFF, or a matrix of numbers")->required();
    frame_options_.declare(app);
    app.add_option("--emissivity", emissivity_, "Of the object; 1 gives apparent temperatures")->capture_default_str();
    app.add_option("--reflected", reflected_, "Reflected apparent temperature, degC; needed with --emissivity below 1");
    app.add_option("--area", areas_, "NAME=rect:x,y,w,h | circle:x,y,r | polygon:x1,y1,... | point:x,y; repeatable");
    app.add_option("--difference", differences_, "A-B of two areas by name; repeatable");
    auto* patches = app.add_flag("--hot-patches", hot_patches_, "Find hot cells of a close-up without a layout");
    app.add_option("--least-contrast", least_contrast_, "Of a hot patch, K; default: the profile's candidate_cell_k")
        ->needs(patches);
    app.add_option("--profile", profile_, "Profile for limits and uncertainties")->capture_default_str();
    app.add_option("--emissivity-u", emissivity_u_, "Of the emissivity; default: the profile's");
    app.add_option("--reflected-u", reflected_u_, "Of the reflected temperature, K; default: the profile's");
    auto* json = app.add_flag("--json", json_, "Print JSON");
    app.add_flag("--csv", csv_, "Print CSV")->excludes(json);
}

UncertaintyCauses MeasureCommand::causes(const Profile& profile) const {
    UncertaintyCauses causes = frame_options_.camera_causes();
    if (emissivity_ < 1.0) {
        causes.emissivity = emissivity_u_.value_or(profile.emissivity_u.value);
        causes.reflected = KelvinDelta(reflected_u_.value_or(profile.reflected_u_k.value));
    }
    return causes;
}

void MeasureCommand::add_areas(const Thermogram& thermogram, MeasureReport& report) const {
    for (const std::string& text : areas_) {
        const auto area = parse_area(text);
        if (!area) {
            frame_options_.refuse("--area", area.error(), "");
        }
        const bool twice = std::any_of(report.areas.begin(), report.areas.end(), [&area](const AreaResult& other) {
            return other.area.name == area->name;
        });
        if (twice) {
            frame_options_.refuse(
                "--area", fmt::format("two areas are called '{}'", area->name), "Give each a name of its own");
        }
        report.areas.push_back(thermogram.measure(*area));
        const AreaResult& result = report.areas.back();
        if (result.figures.pixels == 0) {
            frame_options_.refuse(
                "--area",
                fmt::format(
                    "'{}' lies outside the picture of {} x {} px", area->name, report.width_px, report.height_px),
                "");
        }
    }
    const auto find = [&report](std::string_view name) {
        return std::find_if(report.areas.begin(), report.areas.end(), [name](const AreaResult& area) {
            return area.area.name == name;
        });
    };
    for (const std::string& text : differences_) {
        // names may hold a minus: the split is the one that gives two known areas
        auto found = report.areas.end();
        auto other = report.areas.end();
        for (std::size_t at = text.find('-'); at != std::string::npos; at = text.find('-', at + 1)) {
            found = find(std::string_view(text).substr(0, at));
            other = find(std::string_view(text).substr(at + 1));
            if (found != report.areas.end() && other != report.areas.end()) {
                break;
            }
        }
        if (found == report.areas.end() || other == report.areas.end()) {
            frame_options_.refuse(
                "--difference",
                fmt::format("'{}' is no A-B of two areas", text),
                "Name both with --area first, e.g. --area hot=... --area ref=... --difference hot-ref");
        }
        report.differences.push_back(thermogram.difference(*found, *other));
    }
}

void MeasureCommand::add_patches(const Thermogram& thermogram, const Profile& profile, MeasureReport& report) const {
    HotPatchOptions options;
    options.least_contrast = KelvinDelta(least_contrast_.value_or(profile.candidate_cell_k.value));
    if (const auto problem = problem_with(options); !problem.empty()) {
        frame_options_.refuse("--least-contrast", problem, "");
    }
    report.least_contrast = options.least_contrast;
    report.patch_profile = profile.id;
    report.patches.emplace();
    for (HotPatch& patch : find_warm_patches(thermogram.temperature_c(), options)) {
        const auto pixels = static_cast<double>(patch.pixels.size());
        const BudgetedDifference contrast = thermogram.difference(patch.median, pixels, patch.ring_median, pixels);
        report.patches->push_back({std::move(patch), contrast});
    }
}

void MeasureCommand::add_warnings(MeasureReport& report) const {
    auto& warnings = report.warnings;
    if (report.clipped_pixels > 0) {
        warnings.push_back(
            fmt::format("{} pixels lie at the end of the camera's range; they are at least as hot as shown",
                        report.clipped_pixels));
    }
    if (report.impossible_pixels > 0) {
        warnings.push_back(
            fmt::format("{} pixels are colder than the stated reflection and air path allow; they have no "
                        "temperature",
                        report.impossible_pixels));
    }
    for (const AreaResult& area : report.areas) {
        if (area.too_small) {
            warnings.push_back(
                fmt::format("area '{}' holds no 3 x 3 pixels: it is blurred with what surrounds it and reads "
                            "too close to that",
                            area.area.name));
        }
        if (area.reaches_outside) {
            warnings.push_back(fmt::format("area '{}' reaches outside the picture; {} pixels of it are inside",
                                           area.area.name,
                                           area.figures.pixels));
        }
    }
    const auto air = frame_options_.air_c();
    const auto humidity = frame_options_.humidity_percent();
    if (air && humidity) {
        report.dew_point = dew_point(Celsius(*air), *humidity);
        if (report.picture.figures.coldest_3x3.value < report.dew_point) {
            warnings.push_back(
                fmt::format("parts of the picture read below the dew point of {:.1f} degC: a wet surface "
                            "shows the water, not the module",
                            report.dew_point.value()));
        }
    }
    const auto distance = frame_options_.distance_m();
    const auto focal = frame_options_.focal_px();
    if (distance && focal) {
        constexpr double kSpotPixels = 3.0;  // smallest object for a correct temperature, V2
        report.spot_mm = 1000.0 * kSpotPixels * *distance / *focal;
    }
}

ExitCode MeasureCommand::run() {
    const Profile profile = read_profile(find_profile(profile_, {}));
    const FrameCounts frame = frame_options_.read(frame_);
    const CountSummary counts = summarise_counts(frame, frame_options_.nodata());
    const BandRadiance band(frame_options_.band());

    ThermogramSettings settings;
    settings.encoding = frame_options_.encoding(frame_, frame, profile);
    settings.conditions = frame_options_.conditions(emissivity_, Celsius(reflected_));
    settings.causes = causes(profile);
    if (counts.saturated > 0) {
        settings.clipped_count = static_cast<float>(counts.maximum);
    }
    const Thermogram thermogram(frame.counts.view(), settings, band);

    MeasureReport report;
    report.frame = frame_.string();
    report.width_px = frame.counts.width();
    report.height_px = frame.counts.height();
    report.kind = frame.kind;
    report.settings = thermogram.settings();
    report.noise = thermogram.noise();
    report.missing_pixels = thermogram.missing_pixels();
    report.impossible_pixels = thermogram.impossible_pixels();
    report.clipped_pixels = counts.saturated;
    report.picture = thermogram.measure({"picture", RectangleShape{0, 0, report.width_px, report.height_px}});
    add_areas(thermogram, report);
    if (hot_patches_) {
        add_patches(thermogram, profile, report);
    }
    add_warnings(report);

    fmt::print("{}", json_ ? as_json(report) : csv_ ? as_csv(report) : as_text(report));
    for (const std::string& warning : report.warnings) {
        fmt::print(stderr, "warning: {}\n", warning);
    }
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Command> make_measure_command() {
    return std::make_unique<MeasureCommand>();
}

}  // namespace heatrow::cli
