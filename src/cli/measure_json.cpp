#include "measure_report.hpp"
#include "rounded_json.hpp"

#include <nlohmann/json.hpp>

#include <cmath>

namespace heatrow::cli {
namespace {

using Json = nlohmann::ordered_json;

Json position(PixelPosition at) {
    return at.x < 0 ? Json(nullptr) : Json::array({at.x, at.y});
}

Json placed(const PlacedTemperature& value) {
    return {{"celsius", rounded(value.value.value())}, {"at_px", position(value.at)}};
}

// A mean of 3 x 3 pixels with its uncertainty.
Json spot(const PlacedTemperature& value, const BudgetedTemperature& measured) {
    Json json = placed(value);
    json["u95_k"] = rounded(u95_of(measured.budget));
    return json;
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
    json["emissivity"] = area.measured.conditions.emissivity;
    json["pixels"] = area.figures.pixels;
    json["missing_pixels"] = area.figures.missing;
    json["minimum"] = placed(area.figures.coldest);
    json["maximum"] = placed(area.figures.hottest);
    json["coldest_3x3"] = spot(area.figures.coldest_3x3, area.coldest);
    json["hottest_3x3"] = spot(area.figures.hottest_3x3, area.hottest);
    json["mean_c"] = rounded(area.figures.mean.value());
    json["mean_u95_k"] = rounded(u95_of(area.mean.budget));
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
    json["contrast_u95_k"] = rounded(u95_of(measured.contrast.budget));
    json["above_picture_k"] = rounded(patch.above_picture.value());
    if (patch.objection) {
        json["objection"] = to_string(*patch.objection);
    }
    return json;
}

Json line_json(const MeasuredLine& measured) {
    const auto extreme = [](const LinePoint& point) {
        return Json{{"celsius", rounded(point.value.value())}, {"along_px", rounded(point.along_px)}};
    };
    const LineProfile& profile = measured.profile;
    Json json;
    json["name"] = measured.line.name;
    json["from_px"] = {measured.line.from_px.x(), measured.line.from_px.y()};
    json["to_px"] = {measured.line.to_px.x(), measured.line.to_px.y()};
    json["coldest"] = extreme(profile.coldest);
    json["hottest"] = extreme(profile.hottest);
    json["mean_c"] = rounded(profile.mean.value());
    json["along_px"] = Json::array();
    json["celsius"] = Json::array();
    for (const LinePoint& point : profile.points) {
        json["along_px"].push_back(rounded(point.along_px, 3));
        json["celsius"].push_back(rounded(point.value.value()));
    }
    return json;
}

Json isotherm_json(const MeasuredIsotherm& measured) {
    const IsothermFigures& f = measured.figures;
    return {{"name", measured.name},
            {"pixels", f.above},
            {"of_pixels", f.known},
            {"share", rounded(f.share, 4)},
            {"square_m", rounded(f.square_m, 6)}};
}

Json difference_json(const DifferenceResult& d) {
    return {{"from", d.from},
            {"to", d.to},
            {"difference_k", rounded(d.difference.value.value())},
            {"u95_k", rounded(d.value().u95())},
            {"uncertainty_terms_k", terms(d.difference.budget)},
            {"outside_u_k", rounded(d.outside_u_k, 3)},
            {"flags", d.flags.to_string()}};
}

}  // namespace

double u95_of(const UncertaintyBudget& budget) {
    return Uncertain<KelvinDelta>{KelvinDelta(0.0), budget.combined_k()}.u95();
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
    json["pixel_mm"] = rounded(1000.0 * report.footprint.value(), 2);
    json["smallest_object_mm"] = rounded(1000.0 * report.spot.value(), 1);
    json["attached"] = Json::object();
    for (const AttachedValueName& name : kAttachedValues) {
        const auto& value = report.attached.*name.member;
        json["attached"][std::string(name.key)] = value ? Json(*value) : Json(nullptr);
    }
    json["picture"] = area_json(report.picture);
    json["areas"] = Json::array();
    for (const AreaResult& area : report.areas) {
        json["areas"].push_back(area_json(area));
    }
    json["lines"] = Json::array();
    for (const MeasuredLine& line : report.lines) {
        json["lines"].push_back(line_json(line));
    }
    json["values"] = Json::array();
    for (const OutsideValue& value : report.values) {
        json["values"].push_back({{"name", value.name},
                                  {"kind", value.is_probe ? "contact_probe" : "typed"},
                                  {"celsius", rounded(value.value.value.value())},
                                  {"u95_k", rounded(value.value.u95())}});
    }
    json["differences"] = Json::array();
    for (const DifferenceResult& d : report.differences) {
        json["differences"].push_back(difference_json(d));
    }
    if (report.isotherm) {
        json["isotherm"] = {{"limit_c", report.isotherm->value()}, {"areas", Json::array()}};
        for (const MeasuredIsotherm& isotherm : report.isotherms) {
            json["isotherm"]["areas"].push_back(isotherm_json(isotherm));
        }
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
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace heatrow::cli
