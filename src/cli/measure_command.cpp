#include "command.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/profile_reader.hpp"
#include "heatrow/measure/spot.hpp"
#include "heatrow/radiometry/air.hpp"
#include "measure_operands.hpp"
#include "measure_picture.hpp"
#include "measure_report.hpp"
#include "thermogram_options.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

class MeasureCommand : public Command {
  public:
    [[nodiscard]] std::string name() const override { return "measure"; }
    [[nodiscard]] std::string summary() const override {
        return "What does this one thermogram show? Areas, lines, differences, isotherms, hot patches, a picture";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {"heatrow measure a.tif --scale 0.04 --unit K                            # the whole picture",
                "heatrow measure a.tif --scale 0.01 --offset -273.15 --emissivity 0.85 --reflected -20",
                "heatrow measure a.tif --scale 0.04 --unit K --area hot=rect:80,60,20,20 --area ref=circle:160,70,9 "
                "--difference hot-ref",
                "heatrow measure a.tif --scale 0.04 --unit K --area lug=rect:80,60,9,9 --probe touch=71.5,0.8 "
                "--difference lug:hottest-touch",
                "heatrow measure a.tif --scale 0.04 --unit K --isotherm 60 --picture a.png --limits 20,80",
                "heatrow measure a.tif --scale 0.04 --unit K --line edge=10,60,150,60 --lines-out edge.csv",
                "heatrow measure a.tif --scale 0.4 --unit K --hot-patches --json        # hot cells of a close-up"};
    }
    void set_up(CLI::App& app) override;
    ExitCode run() override;

  private:
    [[nodiscard]] UncertaintyCauses causes(double emissivity, const Profile& profile) const;
    [[nodiscard]] std::map<std::string, double> area_emissivities() const;
    [[nodiscard]] AttachedValues attached() const;
    void require_new_name(const std::string& name, std::string_view option, std::set<std::string>& names) const;
    void add_areas(const FrameCounts& frame,
                   const Thermogram& thermogram,
                   const BandRadiance& band,
                   const Profile& profile,
                   MeasureReport& report) const;
    void add_lines(const Thermogram& thermogram, MeasureReport& report) const;
    void add_values(MeasureReport& report) const;
    void add_differences(const Thermogram& thermogram,
                         const BandRadiance& band,
                         const Profile& profile,
                         MeasureReport& report) const;
    void add_isotherms(const Thermogram& thermogram, MeasureReport& report) const;
    void add_patches(const Thermogram& thermogram, const Profile& profile, MeasureReport& report) const;
    void add_warnings(MeasureReport& report) const;

    fs::path frame_;
    ThermogramOptions frame_options_{"cannot measure"};
    PictureOptions picture_options_;
    double emissivity_ = 1.0;
    double reflected_ = kNaN;
    std::optional<double> emissivity_u_;
    std::optional<double> reflected_u_;
    std::vector<std::string> areas_;
    std::vector<std::string> area_emissivities_;
    std::vector<std::string> lines_;
    std::optional<fs::path> lines_out_;
    std::vector<std::string> typed_;
    std::vector<std::string> probes_;
    std::vector<std::string> differences_;
    std::optional<double> isotherm_;
    AttachedValues attached_;
    bool hot_patches_ = false;
    std::optional<double> least_contrast_;
    std::string profile_ = "field-practice";
    bool json_ = false;
    bool csv_ = false;
    bool overwrite_ = false;
};

void MeasureCommand::set_up(CLI::App& app) {
    app.add_option("frame", frame_, "Thermogram: single-band 16-bit or float TIFF, or a matrix of numbers")->required();
    frame_options_.declare(app);
    app.add_option("--emissivity", emissivity_, "Of the object; 1 gives apparent temperatures")->capture_default_str();
    app.add_option("--reflected", reflected_, "Reflected apparent temperature, degC; needed with --emissivity below 1");
    app.add_option("--area", areas_, "NAME=rect:x,y,w,h | circle:x,y,r | polygon:x1,y1,... | point:x,y; repeatable");
    app.add_option("--area-emissivity", area_emissivities_, "NAME=EMISSIVITY of one area; repeatable");
    app.add_option("--line", lines_, "NAME=x1,y1,x2,y2: the course of the temperature along it; repeatable");
    app.add_option("--lines-out", lines_out_, "Write the lines as CSV, one point a row");
    app.add_option("--value", typed_, "NAME=degC or NAME=degC,u: a temperature known otherwise; repeatable");
    app.add_option("--probe", probes_, "The same, read with a contact probe; repeatable");
    app.add_option("--difference",
                   differences_,
                   "A-B of two names: an area (its mean), AREA:hottest, AREA:coldest, a "
                   "--value, a --probe, or 'reflected'; repeatable");
    app.add_option("--isotherm", isotherm_, "Pixels, share and m2 at or above this temperature, degC");
    auto* patches = app.add_flag("--hot-patches", hot_patches_, "Find hot cells of a close-up without a layout");
    app.add_option("--least-contrast", least_contrast_, "Of a hot patch, K; default: the profile's candidate_cell_k")
        ->needs(patches);
    app.add_option("--profile", profile_, "Profile for limits and uncertainties")->capture_default_str();
    app.add_option("--emissivity-u", emissivity_u_, "Of the emissivity; default: the profile's");
    app.add_option("--reflected-u", reflected_u_, "Of the reflected temperature, K; default: the profile's");
    app.add_option("--irradiance", attached_.irradiance_w_m2, "Kept with the record: irradiance, W/m2");
    app.add_option("--current", attached_.current_a, "Kept with the record: current, A");
    app.add_option("--voltage", attached_.voltage_v, "Kept with the record: voltage, V");
    app.add_option("--power", attached_.power_w, "Kept with the record: power, W");
    picture_options_.declare(app);
    app.add_flag("--overwrite", overwrite_, "Replace files that exist");
    auto* json = app.add_flag("--json", json_, "Print JSON");
    app.add_flag("--csv", csv_, "Print CSV")->excludes(json);
}

UncertaintyCauses MeasureCommand::causes(double emissivity, const Profile& profile) const {
    UncertaintyCauses causes = frame_options_.camera_causes();
    if (emissivity < 1.0) {
        causes.emissivity = emissivity_u_.value_or(profile.emissivity_u.value);
    }
    // at emissivity 1 it acts on nothing but a difference from the reflection itself
    causes.reflected = KelvinDelta(reflected_u_.value_or(profile.reflected_u_k.value));
    return causes;
}

AttachedValues MeasureCommand::attached() const {
    AttachedValues values = attached_;
    values.air_c = frame_options_.air_c();
    values.humidity_percent = frame_options_.humidity_percent();
    values.distance_m = frame_options_.distance_m();
    for (const AttachedValueName& name : kAttachedValues) {
        if (const auto& value = values.*name.member; value && !std::isfinite(*value)) {
            frame_options_.refuse(fmt::format("--{}", name.words),
                                  fmt::format("{:g} is no number to keep", *value),
                                  "Give a finite number");
        }
    }
    constexpr double kMostIrradiance = 2000.0;  // W/m2; above the sun outside the atmosphere and a cloud's edge
    if (values.irradiance_w_m2 && !(*values.irradiance_w_m2 >= 0.0 && *values.irradiance_w_m2 <= kMostIrradiance)) {
        frame_options_.refuse(
            "--irradiance", fmt::format("{:g} W/m2 cannot be", *values.irradiance_w_m2), "Give W/m2, from 0 to 2000");
    }
    return values;
}

std::map<std::string, double> MeasureCommand::area_emissivities() const {
    std::map<std::string, double> emissivities;
    for (const std::string& text : area_emissivities_) {
        const auto named = parse_named_number(text);
        if (!named) {
            frame_options_.refuse(
                "--area-emissivity", fmt::format("'{}' is no NAME=EMISSIVITY", text), "Write e.g. tape=0.96");
        }
        if (!emissivities.insert(*named).second) {
            frame_options_.refuse(
                "--area-emissivity", fmt::format("'{}' is given twice", named->first), "Keep one of them");
        }
    }
    return emissivities;
}

void MeasureCommand::require_new_name(const std::string& name,
                                      std::string_view option,
                                      std::set<std::string>& names) const {
    if (name == kReflectedName) {
        frame_options_.refuse(option, "'reflected' is the name of the reflected temperature", "Choose another name");
    }
    if (!names.insert(name).second) {
        frame_options_.refuse(
            option, fmt::format("two areas, lines or values are called '{}'", name), "Give each a name of its own");
    }
}

void MeasureCommand::add_areas(const FrameCounts& frame,
                               const Thermogram& thermogram,
                               const BandRadiance& band,
                               const Profile& profile,
                               MeasureReport& report) const {
    auto emissivities = area_emissivities();
    for (const std::string& text : areas_) {
        const auto area = parse_area(text);
        if (!area) {
            frame_options_.refuse("--area", area.error(), "");
        }
        const auto own = emissivities.extract(area->name);
        if (own && own.mapped() != emissivity_) {
            ThermogramSettings settings = thermogram.settings();
            settings.conditions = frame_options_.conditions(own.mapped(), Celsius(reflected_));
            settings.causes = causes(own.mapped(), profile);
            report.areas.push_back(Thermogram(frame.counts.view(), settings, band).measure(*area));
        } else {
            report.areas.push_back(thermogram.measure(*area));
        }
        if (report.areas.back().figures.pixels == 0) {
            frame_options_.refuse(
                "--area",
                fmt::format(
                    "'{}' lies outside the picture of {} x {} px", area->name, report.width_px, report.height_px),
                "");
        }
    }
    if (!emissivities.empty()) {
        frame_options_.refuse("--area-emissivity",
                              fmt::format("there is no area '{}'", emissivities.begin()->first),
                              "Name it with --area first");
    }
}

void MeasureCommand::add_lines(const Thermogram& thermogram, MeasureReport& report) const {
    for (const std::string& text : lines_) {
        const auto line = parse_line(text);
        if (!line) {
            frame_options_.refuse("--line", line.error(), "");
        }
        report.lines.push_back({*line, profile_along(*line, thermogram.temperature_c())});
        if (!report.lines.back().profile.mean.is_known()) {
            frame_options_.refuse("--line",
                                  fmt::format("'{}' meets no temperature in the picture of {} x {} px",
                                              line->name,
                                              report.width_px,
                                              report.height_px),
                                  "");
        }
    }
}

void MeasureCommand::add_values(MeasureReport& report) const {
    for (const bool is_probe : {false, true}) {
        for (const std::string& text : is_probe ? probes_ : typed_) {
            auto value = parse_outside_value(text, is_probe);
            if (!value) {
                frame_options_.refuse(is_probe ? "--probe" : "--value", value.error(), "");
            }
            report.values.push_back(std::move(*value));
        }
    }
    std::set<std::string> names;
    for (const AreaResult& area : report.areas) {
        require_new_name(area.area.name, "--area", names);
    }
    for (const MeasuredLine& line : report.lines) {
        require_new_name(line.line.name, "--line", names);
    }
    for (const OutsideValue& value : report.values) {
        require_new_name(value.name, value.is_probe ? "--probe" : "--value", names);
    }
}

void MeasureCommand::add_differences(const Thermogram& thermogram,
                                     const BandRadiance& band,
                                     const Profile& profile,
                                     MeasureReport& report) const {
    for (const std::string& text : differences_) {
        const auto sides = split_difference(report, text);
        if (!sides) {
            frame_options_.refuse(
                "--difference",
                fmt::format("'{}' is no A-B of two known names", text),
                "Name both with --area, --value or --probe first, e.g. --area hot=... --area ref=... --difference "
                "hot-ref; hottest and coldest need room for 3 x 3 pixels; 'reflected' needs --reflected");
        }
        UncertaintyCauses used = thermogram.settings().causes;
        for (const DifferenceOperand* side : {&sides->first, &sides->second}) {
            if (const auto* area = std::get_if<MeasuredArea>(&side->temperature)) {
                used.emissivity = std::max(used.emissivity, causes(area->conditions.emissivity, profile).emissivity);
            }
        }
        report.differences.push_back(difference_of(sides->first, sides->second, used, band));
    }
}

void MeasureCommand::add_isotherms(const Thermogram& thermogram, MeasureReport& report) const {
    if (!isotherm_) {
        return;
    }
    if (!std::isfinite(*isotherm_)) {
        frame_options_.refuse("--isotherm", fmt::format("{:g} degC cannot be", *isotherm_), "Give a finite number");
    }
    report.isotherm = Celsius(*isotherm_);
    // of the picture as corrected: the areas' own emissivities do not enter
    const auto add = [&](const AreaResult& area) {
        report.isotherms.push_back(
            {area.area.name,
             isotherm_of(area.area.shape, thermogram.temperature_c(), *report.isotherm, report.footprint)});
    };
    add(report.picture);
    for (const AreaResult& area : report.areas) {
        add(area);
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
            warnings.push_back(fmt::format(
                "area '{}' holds no 3 x 3 pixels{}: it is blurred with what surrounds it and reads "
                "too close to that",
                area.area.name,
                report.spot.is_known() ? fmt::format(", {:.1f} mm at this distance", 1000.0 * report.spot.value())
                                       : std::string{}));
        }
        if (area.reaches_outside) {
            warnings.push_back(fmt::format("area '{}' reaches outside the picture; {} pixels of it are inside",
                                           area.area.name,
                                           area.figures.pixels));
        }
    }
    const AttachedValues& known = report.attached;
    if (known.air_c && known.humidity_percent) {
        report.dew_point = dew_point(Celsius(*known.air_c), *known.humidity_percent);
        if (report.picture.figures.coldest_3x3.value < report.dew_point) {
            warnings.push_back(
                fmt::format("parts of the picture read below the dew point of {:.1f} degC: a wet surface "
                            "shows the water, not the module",
                            report.dew_point.value()));
        }
    }
}

ExitCode MeasureCommand::run() {
    picture_options_.check(overwrite_);
    if (lines_out_) {
        if (lines_.empty()) {
            frame_options_.refuse("--lines-out", "there is no line", "Name one with --line");
        }
        require_free_file(*lines_out_, overwrite_);
    }
    const Profile profile = read_profile(find_profile(profile_, {}));
    const FrameCounts frame = frame_options_.read(frame_);
    const CountSummary counts = summarise_counts(frame, frame_options_.nodata());
    const BandRadiance band(frame_options_.band());

    ThermogramSettings settings;
    settings.encoding = frame_options_.encoding(frame_, frame, profile);
    settings.conditions = frame_options_.conditions(emissivity_, Celsius(reflected_));
    settings.causes = causes(emissivity_, profile);
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
    report.attached = attached();
    if (report.attached.distance_m && frame_options_.focal_px()) {
        report.footprint = pixel_footprint(Metres(*report.attached.distance_m), *frame_options_.focal_px());
        report.spot = smallest_object(Metres(*report.attached.distance_m), *frame_options_.focal_px());
    }
    report.picture = thermogram.measure({"picture", RectangleShape{0, 0, report.width_px, report.height_px}});
    add_areas(frame, thermogram, band, profile, report);
    add_lines(thermogram, report);
    add_values(report);
    add_differences(thermogram, band, profile, report);
    add_isotherms(thermogram, report);
    if (hot_patches_) {
        add_patches(thermogram, profile, report);
    }
    add_warnings(report);

    picture_options_.write(
        report,
        thermogram.temperature_c(),
        [&](const fs::path& file) {
            const FrameCounts other = frame_options_.read(file);
            ThermogramSettings as_here = settings;
            as_here.encoding = frame_options_.encoding(file, other, profile);
            return range_of(Thermogram(other.counts.view(), as_here, band).temperature_c());
        },
        overwrite_);
    if (lines_out_) {
        publish_file(*lines_out_, lines_as_csv(report), overwrite_);
    }
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
