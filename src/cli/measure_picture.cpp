#include "measure_picture.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/report/thermal_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow::cli {
namespace {

namespace fs = std::filesystem;

[[noreturn]] void refuse(std::string_view option, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::usage, "cannot draw", option, why, remedy);
}

std::string celsius(Celsius value) {
    return value.is_known() ? fmt::format("{:.1f} °C", value.value()) : std::string("no temperature");
}

std::vector<PictureMark> marks_of(const MeasureReport& report) {
    std::vector<PictureMark> marks;
    for (const AreaResult& area : report.areas) {
        PictureMark mark;
        mark.name = area.area.name;
        mark.value = celsius(area.figures.mean);
        mark.outline_px = outline_of(area.area.shape);
        mark.level = area.figures.mean;
        if (!area.too_small) {
            mark.spot_px = Eigen::Vector2d(area.figures.hottest_3x3.at.x, area.figures.hottest_3x3.at.y);
        }
        marks.push_back(std::move(mark));
    }
    for (const MeasuredLine& measured : report.lines) {
        PictureMark mark;
        mark.name = measured.line.name;
        mark.outline_px = {measured.line.from_px, measured.line.to_px};
        mark.closed = false;
        marks.push_back(std::move(mark));
    }
    for (const OutsideValue& value : report.values) {
        PictureMark mark;
        mark.name = value.name;
        mark.level = value.value.value;
        marks.push_back(std::move(mark));
    }
    int number = 0;
    if (report.patches) {
        for (const MeasuredPatch& measured : *report.patches) {
            if (!measured.patch.objection) {
                PictureMark mark;
                mark.name = fmt::format("patch {}", ++number);
                mark.value = fmt::format("{:+.1f} K", measured.patch.contrast.value());
                mark.outline_px = measured.patch.corners_px;
                mark.level = measured.patch.median;
                marks.push_back(std::move(mark));
            }
        }
    }
    return marks;
}

std::string subtitle_of(const MeasureReport& report) {
    const ObjectConditions& c = report.settings.conditions;
    std::string text = fmt::format("{} x {} px · ", report.width_px, report.height_px);
    text += c.emissivity == 1.0 ? std::string("apparent temperatures (emissivity 1)")
                                : fmt::format("emissivity {:g}, reflected {}", c.emissivity, celsius(c.reflected));
    for (const AttachedValueName& name : kAttachedValues) {
        if (const auto& value = report.attached.*name.member) {
            text += fmt::format(" · {} {:g} {}", name.words, *value, name.unit == "degC" ? "°C" : name.unit);
        }
    }
    return text;
}

std::string surface_words(double square_m) {
    constexpr double kSmall = 0.01;
    return std::isnan(square_m) ? std::string{}
           : square_m < kSmall  ? fmt::format(", {:.3g} cm²", 1e4 * square_m)
                                : fmt::format(", {:.3g} m²", square_m);
}

std::vector<std::string> notes_of(const MeasureReport& report) {
    std::vector<std::string> notes;
    for (const AreaResult& area : report.areas) {
        const bool own = area.measured.conditions.emissivity != report.settings.conditions.emissivity;
        notes.push_back(fmt::format("{}{}: mean {} ± {:.1f} K{}{}",
                                    area.area.name,
                                    own ? fmt::format(", emissivity {:g}", area.measured.conditions.emissivity) : "",
                                    celsius(area.figures.mean),
                                    u95_of(area.mean.budget),
                                    area.too_small ? std::string(", too small for 3 x 3 pixels")
                                                   : ", hottest 3 x 3 " + celsius(area.figures.hottest_3x3.value),
                                    area.flags.has(Flag::clipped) ? ", clipped: at least" : ""));
    }
    for (const DifferenceResult& d : report.differences) {
        const double u95 = d.value().u95();
        notes.push_back(fmt::format("{} − {}: {}{:.1f}{} K",
                                    d.from,
                                    d.to,
                                    d.flags.has(Flag::lower_bound) ? "at least " : "",
                                    d.difference.value.value(),
                                    std::isnan(u95) ? "" : fmt::format(" ± {:.1f}", u95)));
    }
    for (const MeasuredIsotherm& isotherm : report.isotherms) {
        const IsothermFigures& f = isotherm.figures;
        const bool partly = f.above > 0 && f.above < f.known;
        if (partly || isotherm.name == report.picture.area.name) {
            notes.push_back(fmt::format("At or above {} in {}: {:.2f} %{}",
                                        celsius(*report.isotherm),
                                        isotherm.name,
                                        100.0 * f.share,
                                        surface_words(f.square_m)));
        }
    }
    if (!report.areas.empty()) {
        notes.emplace_back(
            "Tags and flags: means of areas, ± is the 95 % interval. Small squares: their hottest 3 x 3 pixels.");
    }
    return notes;
}

}  // namespace

void PictureOptions::declare(CLI::App& app) {
    app.add_option("--picture", files_, "Write an annotated picture, .svg or .png; repeatable");
    auto* limits = app.add_option("--limits", limits_, "Scale of the picture by hand: coldest,hottest degC")
                       ->delimiter(',')
                       ->expected(2);
    auto* span =
        app.add_option("--limits-span", span_, "Scale this many K wide, about the picture's median")->excludes(limits);
    app.add_option("--limits-from", series_, "Scale that holds these files as well, so that pictures compare")
        ->excludes(limits)
        ->excludes(span);
    app.add_option("--palette", palette_, "Colours of the picture")
        ->check(CLI::IsMember({"inferno", "cividis"}))
        ->capture_default_str();
}

void PictureOptions::check(bool overwrite) const {
    for (const fs::path& file : files_) {
        if (file.extension() != ".svg" && file.extension() != ".png") {
            refuse("--picture",
                   fmt::format("'{}' ends neither in .svg nor in .png", file.string()),
                   "Give it one of them");
        }
        require_free_file(file, overwrite);
    }
    if (!limits_.empty() && !(limits_[0] < limits_[1])) {
        refuse("--limits", fmt::format("{:g},{:g} is no range", limits_[0], limits_[1]), "Write the colder one first");
    }
    if (span_ && !(*span_ > 0.0 && std::isfinite(*span_))) {
        refuse("--limits-span", fmt::format("{:g} K cannot be", *span_), "Give a width above zero");
    }
}

ShownRange PictureOptions::limits(const MeasureReport& report,
                                  ImageView<const float> temperature_c,
                                  const RangeOfFile& range_of_file) const {
    if (!limits_.empty()) {
        return {Celsius(limits_[0]), Celsius(limits_[1])};
    }
    if (span_ && report.picture.figures.median.is_known()) {
        const KelvinDelta half(0.5 * *span_);
        return {report.picture.figures.median - half, report.picture.figures.median + half};
    }
    ShownRange range = range_of(temperature_c);
    for (const fs::path& file : series_) {
        range = united(range, range_of_file(file));
    }
    return rounded_out(range);
}

void PictureOptions::write(const MeasureReport& report,
                           ImageView<const float> temperature_c,
                           const RangeOfFile& range_of_file,
                           bool overwrite) const {
    if (files_.empty()) {
        return;
    }
    const ShownRange range = limits(report, temperature_c, range_of_file);
    ThermalPicture picture;
    picture.temperature_c = temperature_c;
    picture.scale =
        TemperatureScale(range.low, range.high, palette_ == "inferno" ? Palette::inferno : Palette::cividis);
    picture.title = fs::path(report.frame).filename().string();
    picture.subtitle = subtitle_of(report);
    picture.marks = marks_of(report);
    picture.isotherm = report.isotherm;
    if (report.footprint.is_known()) {
        picture.metres_per_pixel = report.footprint;
    }
    picture.notes = notes_of(report);
    for (const fs::path& file : files_) {
        publish_file(
            file, file.extension() == ".svg" ? thermal_picture_svg(picture) : thermal_picture_png(picture), overwrite);
    }
}

}  // namespace heatrow::cli
