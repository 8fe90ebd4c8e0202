#include "measure_report.hpp"

#include "heatrow/io/csv_writer.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <array>
#include <cmath>
#include <string_view>

namespace heatrow::cli {
namespace {

using Json = nlohmann::ordered_json;

constexpr int kDecimals = 2;  // of a temperature

double u95(const UncertaintyBudget& budget) {
    return Uncertain<KelvinDelta>{KelvinDelta(0.0), budget.combined_k()}.u95();
}

Json position(PixelPosition at) {
    return at.x < 0 ? Json(nullptr) : Json::array({at.x, at.y});
}

Json placed(const PlacedTemperature& value) {
    return {{"celsius", rounded(value.value.value())}, {"at_px", position(value.at)}};
}

Json terms(const UncertaintyBudget& budget) {
    Json json = Json::object();
    for (std::size_t i = 0; i < kUncertaintyTermCount; ++i) {
        const auto term = static_cast<UncertaintyTerm>(i);
        json[std::string(to_string(term))] = rounded(budget.term_k(term), 3);
    }
    return json;
}

Json area_json(const AreaResult& area) {
    Json json;
    json["name"] = area.area.name;
    json["pixels"] = area.figures.pixels;
    json["missing_pixels"] = area.figures.missing;
    json["minimum"] = placed(area.figures.coldest);
    json["maximum"] = placed(area.figures.hottest);
    json["coldest_3x3"] = placed(area.figures.coldest_3x3);
    json["hottest_3x3"] = placed(area.figures.hottest_3x3);
    json["mean_c"] = rounded(area.figures.mean.value());
    json["mean_u95_k"] = rounded(u95(area.mean.budget));
    json["median_c"] = rounded(area.figures.median.value());
    json["deviation_k"] = rounded(area.figures.deviation.value());
    json["uncertainty_terms_k"] = terms(area.mean.budget);
    json["flags"] = area.flags.to_string();
    return json;
}

Json patch_json(const MeasuredPatch& measured) {
    const HotPatch& patch = measured.patch;
    Json corners = Json::array();
    for (const auto& corner : patch.corners_px) {
        corners.push_back(Json::array({rounded(corner.x(), 1), rounded(corner.y(), 1)}));
    }
    Json json;
    json["centre_px"] = Json::array({rounded(patch.centre_px.x(), 1), rounded(patch.centre_px.y(), 1)});
    json["corners_px"] = corners;
    json["pixels"] = patch.pixels.size();
    json["median_c"] = rounded(patch.median.value());
    json["ring_median_c"] = rounded(patch.ring_median.value());
    json["contrast_k"] = rounded(patch.contrast.value());
    json["contrast_u95_k"] = rounded(u95(measured.contrast.budget));
    json["above_picture_k"] = rounded(patch.above_picture.value());
    if (patch.objection) {
        json["objection"] = to_string(*patch.objection);
    }
    return json;
}

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

std::string text_of(const PlacedTemperature& value) {
    return value.value.is_known() ? fmt::format("{:8.2f} degC at ({}, {})", value.value.value(), value.at.x, value.at.y)
                                  : std::string("       - (no 3 x 3 pixels with a temperature)");
}

std::string figures_text(const AreaResult& area) {
    const AreaFigures& f = area.figures;
    std::string text;
    text += fmt::format("  hottest 3 x 3  {}\n", text_of(f.hottest_3x3));
    text += fmt::format("  coldest 3 x 3  {}\n", text_of(f.coldest_3x3));
    text += fmt::format("  hottest pixel  {}\n", text_of(f.hottest));
    text += fmt::format("  coldest pixel  {}\n", text_of(f.coldest));
    text += fmt::format("  mean           {:8.2f} degC +- {:.2f} K (95 %)\n", f.mean.value(), u95(area.mean.budget));
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
            u95(measured.contrast.budget));
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

constexpr std::array<std::string_view, 18> kColumns{"kind",
                                                    "name",
                                                    "x_px",
                                                    "y_px",
                                                    "pixels",
                                                    "mean_c",
                                                    "mean_u95_k",
                                                    "median_c",
                                                    "min_c",
                                                    "max_c",
                                                    "hot_3x3_c",
                                                    "hot_3x3_x",
                                                    "hot_3x3_y",
                                                    "difference_k",
                                                    "difference_u95_k",
                                                    "reference_c",
                                                    "objection",
                                                    "flags"};

void add_area_row(CsvWriter& csv, std::string_view kind, const AreaResult& area) {
    const AreaFigures& f = area.figures;
    csv.text(kind).text(area.area.name).empty().empty().integer(f.pixels);
    csv.number(f.mean.value(), kDecimals).number(u95(area.mean.budget), kDecimals).number(f.median.value(), kDecimals);
    csv.number(f.coldest.value.value(), kDecimals).number(f.hottest.value.value(), kDecimals);
    csv.number(f.hottest_3x3.value.value(), kDecimals);
    if (f.hottest_3x3.at.x >= 0) {
        csv.integer(f.hottest_3x3.at.x).integer(f.hottest_3x3.at.y);
    } else {
        csv.empty().empty();
    }
    csv.empty().empty().empty().empty().text(area.flags.to_string());
    csv.end_row();
}

void add_difference_row(CsvWriter& csv, const DifferenceResult& d) {
    csv.text("difference").text(d.from + "-" + d.to);
    for (int i = 0; i < 11; ++i) {
        csv.empty();
    }
    csv.number(d.difference.value.value(), kDecimals).number(u95(d.difference.budget), kDecimals);
    csv.empty().empty().text(d.flags.to_string());
    csv.end_row();
}

void add_patch_row(CsvWriter& csv, const MeasuredPatch& measured) {
    const HotPatch& p = measured.patch;
    csv.text(p.objection ? "warm_patch" : "hot_patch").empty();
    csv.number(p.centre_px.x(), 1).number(p.centre_px.y(), 1).integer(static_cast<long long>(p.pixels.size()));
    csv.empty().empty().number(p.median.value(), kDecimals);
    for (int i = 0; i < 5; ++i) {
        csv.empty();
    }
    csv.number(p.contrast.value(), kDecimals).number(u95(measured.contrast.budget), kDecimals);
    csv.number(p.ring_median.value(), kDecimals).text(p.objection ? to_string(*p.objection) : "").empty();
    csv.end_row();
}

}  // namespace

std::string as_text(const MeasureReport& report) {
    std::string text = settings_text(report) + figures_text(report.picture);
    if (report.spot_mm) {
        text += fmt::format("  smallest measurable object (3 x 3 pixels): {:.1f} mm\n", *report.spot_mm);
    }
    if (report.dew_point.is_known()) {
        text += fmt::format("  dew point      {:8.2f} degC\n", report.dew_point.value());
    }
    for (const AreaResult& area : report.areas) {
        text += fmt::format("area {}, {} px\n{}", area.area.name, area.figures.pixels, figures_text(area));
    }
    for (const DifferenceResult& d : report.differences) {
        text += fmt::format("difference {} - {}: {}{:.2f} +- {:.2f} K (95 %)\n",
                            d.from,
                            d.to,
                            d.flags.has(Flag::lower_bound) ? "at least " : "",
                            d.difference.value.value(),
                            u95(d.difference.budget));
    }
    return report.patches ? text + patches_text(report) : text;
}

std::string as_json(const MeasureReport& report) {
    const ThermogramSettings& s = report.settings;
    Json json;
    json["schema"] = "heatrow-measure/1";
    json["frame"] = report.frame;
    json["width_px"] = report.width_px;
    json["height_px"] = report.height_px;
    json["encoding"] = {{"scale", s.encoding.scale},
                        {"offset", s.encoding.offset},
                        {"unit", s.encoding.kelvin ? "K" : "degC"},
                        {"export_emissivity", s.encoding.export_emissivity},
                        {"export_reflected_c", rounded(s.encoding.export_reflected.value())}};
    json["conditions"] = {{"emissivity", s.conditions.emissivity},
                          {"reflected_c", rounded(s.conditions.reflected.value())},
                          {"transmittance", rounded(s.conditions.transmittance, 5)},
                          {"air_c", rounded(s.conditions.air.value())},
                          {"dew_point_c", rounded(report.dew_point.value())}};
    json["noise_k"] = {{"pixel", rounded(report.noise.pixel.value(), 3)},
                       {"rows", rounded(report.noise.rows.value(), 3)},
                       {"columns", rounded(report.noise.columns.value(), 3)}};
    json["missing_pixels"] = report.missing_pixels;
    json["impossible_pixels"] = report.impossible_pixels;
    json["clipped_pixels"] = report.clipped_pixels;
    json["smallest_object_mm"] = report.spot_mm ? rounded(*report.spot_mm, 1) : Json(nullptr);
    json["picture"] = area_json(report.picture);
    json["areas"] = Json::array();
    for (const AreaResult& area : report.areas) {
        json["areas"].push_back(area_json(area));
    }
    json["differences"] = Json::array();
    for (const DifferenceResult& d : report.differences) {
        json["differences"].push_back({{"from", d.from},
                                       {"to", d.to},
                                       {"difference_k", rounded(d.difference.value.value())},
                                       {"u95_k", rounded(u95(d.difference.budget))},
                                       {"uncertainty_terms_k", terms(d.difference.budget)},
                                       {"flags", d.flags.to_string()}});
    }
    if (report.patches) {
        json["least_contrast_k"] = report.least_contrast.value();
        json["hot_patches"] = Json::array();
        json["other_warm_patches"] = Json::array();
        for (const MeasuredPatch& measured : *report.patches) {
            json[measured.patch.objection ? "other_warm_patches" : "hot_patches"].push_back(patch_json(measured));
        }
    }
    json["warnings"] = report.warnings;
    return json.dump(2) + "\n";
}

std::string as_csv(const MeasureReport& report) {
    CsvWriter csv({kColumns.begin(), kColumns.end()});
    add_area_row(csv, "picture", report.picture);
    for (const AreaResult& area : report.areas) {
        add_area_row(csv, "area", area);
    }
    for (const DifferenceResult& d : report.differences) {
        add_difference_row(csv, d);
    }
    if (report.patches) {
        for (const MeasuredPatch& measured : *report.patches) {
            add_patch_row(csv, measured);
        }
    }
    return csv.str();
}

}  // namespace heatrow::cli
