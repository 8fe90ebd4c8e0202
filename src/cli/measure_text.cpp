#include "measure_report.hpp"

#include <fmt/format.h>

#include <cmath>

namespace heatrow::cli {
namespace {

// Sentences for the objections.
std::string_view reason(PatchObjection objection) {
    switch (objection) {
        case PatchObjection::not_above_picture:
            return "stands out of its surroundings only, not out of the picture";
        case PatchObjection::not_straight:
            return "has not the straight sides of a cell";
        case PatchObjection::soft_edge:
            return "fades out without an edge";
        case PatchObjection::cut_off:
            return "too much of it lies outside the picture";
    }
    return "";
}

std::string spot_text(const PlacedTemperature& value, const BudgetedTemperature& measured) {
    return value.value.is_known() ? fmt::format("{:8.2f} degC +- {:.2f} K at ({}, {})",
                                                value.value.value(),
                                                u95_of(measured.budget),
                                                value.at.x,
                                                value.at.y)
                                  : std::string("       - (no 3 x 3 pixels with a temperature)");
}

std::string pixel_text(const PlacedTemperature& value) {
    return value.value.is_known() ? fmt::format("{:8.2f} degC at ({}, {})", value.value.value(), value.at.x, value.at.y)
                                  : std::string("       -");
}

std::string figures_text(const AreaResult& area) {
    const AreaFigures& f = area.figures;
    std::string text;
    text += fmt::format("  hottest 3 x 3  {}\n", spot_text(f.hottest_3x3, area.hottest));
    text += fmt::format("  coldest 3 x 3  {}\n", spot_text(f.coldest_3x3, area.coldest));
    text += fmt::format("  hottest pixel  {}\n", pixel_text(f.hottest));
    text += fmt::format("  coldest pixel  {}\n", pixel_text(f.coldest));
    text += fmt::format("  mean           {:8.2f} degC +- {:.2f} K (95 %)\n", f.mean.value(), u95_of(area.mean.budget));
    text += fmt::format("  median         {:8.2f} degC\n", f.median.value());
    return text;
}

std::string settings_text(const MeasureReport& report) {
    const TemperatureEncoding& encoding = report.settings.encoding;
    const ObjectConditions& c = report.settings.conditions;
    std::string text =
        fmt::format("{}: {} x {} px, {}\n", report.frame, report.width_px, report.height_px, report.kind);
    text += fmt::format(
        "  encoding       {:g} x count {:+g} {}\n", encoding.scale, encoding.offset, encoding.kelvin ? "K" : "degC");
    if (c.emissivity == 1.0) {
        text += "  emissivity     1: apparent temperatures; glass reads colder than it is\n";
    } else {
        text += fmt::format("  emissivity     {:g}, reflected {:g} degC\n", c.emissivity, c.reflected.value());
    }
    if (c.transmittance < 1.0) {
        text += fmt::format("  air path       transmittance {:.4f}, air {:g} degC\n", c.transmittance, c.air.value());
    }
    std::string attached;
    for (const AttachedValueName& name : kAttachedValues) {
        if (const auto& value = report.attached.*name.member) {
            attached += fmt::format("{}{} {:g} {}", attached.empty() ? "" : ", ", name.words, *value, name.unit);
        }
    }
    text += attached.empty() ? "" : fmt::format("  recorded       {}\n", attached);
    text += fmt::format("  noise          {:.2f} K a pixel, rows {:.2f} K, columns {:.2f} K (from the picture)\n",
                        report.noise.pixel.value(),
                        report.noise.rows.value(),
                        report.noise.columns.value());
    return text;
}

std::string patches_text(const MeasureReport& report) {
    std::string hot;
    std::string other;
    int count = 0;
    for (const MeasuredPatch& measured : *report.patches) {
        const HotPatch& p = measured.patch;
        const std::string line = fmt::format(
            "centre ({:.0f}, {:.0f}), {} px: {:.2f} degC, ring {:.2f} degC, contrast "
            "{:.2f} +- {:.2f} K",
            p.centre_px.x(),
            p.centre_px.y(),
            p.pixels.size(),
            p.median.value(),
            p.ring_median.value(),
            p.contrast.value(),
            u95_of(measured.contrast.budget));
        if (p.objection) {
            other += fmt::format("  {}; {}\n", line, reason(*p.objection));
        } else {
            hot += fmt::format("  {}  {}\n", ++count, line);
        }
    }
    std::string text = fmt::format("hot patches, at least {:g} K above their ring (profile {}): {}\n{}",
                                   report.least_contrast.value(),
                                   report.patch_profile,
                                   count,
                                   hot);
    if (!other.empty()) {
        text += "warm, but not taken for hot cells:\n" + other;
    }
    return text;
}

std::string difference_text(const DifferenceResult& d) {
    const double u95 = d.value().u95();
    return fmt::format("difference {} - {}: {}{:.2f} {}\n",
                       d.from,
                       d.to,
                       d.flags.has(Flag::lower_bound) ? "at least " : "",
                       d.difference.value.value(),
                       std::isnan(u95) ? std::string("K, uncertainty not known: a value without one takes part")
                                       : fmt::format("+- {:.2f} K (95 %)", u95));
}

std::string isotherm_text(const MeasuredIsotherm& measured, Celsius limit) {
    const IsothermFigures& f = measured.figures;
    std::string text = fmt::format("at or above {:g} degC in {}: {} of {} px, {:.2f} %",
                                   limit.value(),
                                   measured.name,
                                   f.above,
                                   f.known,
                                   100.0 * f.share);
    if (!std::isnan(f.square_m)) {
        text += fmt::format(", {:.4g} m2 square to the line of sight", f.square_m);
    }
    return text + "\n";
}

}  // namespace

std::string as_text(const MeasureReport& report) {
    std::string text = settings_text(report) + figures_text(report.picture);
    if (report.spot.is_known()) {
        text += fmt::format("  smallest measurable object (3 x 3 pixels): {:.1f} mm\n", 1000.0 * report.spot.value());
    }
    if (report.dew_point.is_known()) {
        text += fmt::format("  dew point      {:8.2f} degC\n", report.dew_point.value());
    }
    for (const AreaResult& area : report.areas) {
        const bool own = area.measured.conditions.emissivity != report.settings.conditions.emissivity;
        text += fmt::format("area {}, {} px{}\n{}",
                            area.area.name,
                            area.figures.pixels,
                            own ? fmt::format(", emissivity {:g}", area.measured.conditions.emissivity) : "",
                            figures_text(area));
    }
    for (const MeasuredLine& measured : report.lines) {
        const LineProfile& p = measured.profile;
        text += fmt::format("line {}, {} points: {:.2f} to {:.2f} degC, mean {:.2f} degC, hottest {:.1f} px along\n",
                            measured.line.name,
                            p.points.size(),
                            p.coldest.value.value(),
                            p.hottest.value.value(),
                            p.mean.value(),
                            p.hottest.along_px);
    }
    for (const OutsideValue& value : report.values) {
        text += fmt::format("{} {}: {:.2f} degC{}\n",
                            value.is_probe ? "contact probe" : "typed value",
                            value.name,
                            value.value.value.value(),
                            std::isnan(value.value.u) ? "" : fmt::format(" +- {:.2f} K (95 %)", value.value.u95()));
    }
    for (const DifferenceResult& d : report.differences) {
        text += difference_text(d);
    }
    for (const MeasuredIsotherm& isotherm : report.isotherms) {
        text += isotherm_text(isotherm, *report.isotherm);
    }
    return report.patches ? text + patches_text(report) : text;
}

}  // namespace heatrow::cli
