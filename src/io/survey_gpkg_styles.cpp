#include "survey_gpkg_styles.hpp"

#include "gis_style.hpp"
#include "survey_gpkg_schema.hpp"

#include <string_view>

namespace heatrow::detail {
namespace {

// The classes' colours of the report (src/report/class_mark.cpp), as red,green,blue,alpha.
constexpr std::string_view kSkyBlue = "86,180,233,255";
constexpr std::string_view kOrange = "230,159,0,255";
constexpr std::string_view kVermillion = "213,94,0,255";
constexpr std::string_view kHealthy = "169,195,193,255";
constexpr std::string_view kGrey = "139,143,148,255";
constexpr std::string_view kInk = "28,35,48,255";
constexpr std::string_view kWhite = "255,255,255,255";
constexpr std::string_view kString = "63,111,115,255";

std::string hatched(std::string_view outline_width) {
    return fill(kWhite, "solid", kGrey, "0.1") + fill(kGrey, "f_diagonal", kInk, outline_width);
}

std::string modules_style() {
    const std::vector<StyleCategory> categories = {
        {"class_3", "class 3, safety-relevant", fill(kVermillion, "solid", kInk, "0.2")},
        {"class_2", "class 2, thermal abnormality", fill(kOrange, "solid", kInk, "0.2")},
        {"class_1", "assessed, class 1, no abnormality", fill(kHealthy, "solid", kWhite, "0.1")},
        {"not_assessed", "not assessed: not called healthy", hatched("0.1")},
        {"ambiguous", "ambiguous: may be another module", hatched("0.4")},
        {"not_seen", "not seen", fill(kWhite, "solid", kGrey, "0.1") + fill(kGrey, "dense6", kGrey, "0.1")},
    };
    return gis_style(categorised_renderer("fill", "state", categories), "", modules_schema());
}

// A shape and a number, readable without colour.
std::string mark(std::string_view shape,
                 std::string_view size,
                 std::string_view colour,
                 std::string_view number,
                 std::string_view number_colour,
                 std::string_view number_offset) {
    return symbol_layer("SimpleMarker",
                        {{"name", std::string(shape)},
                         {"color", std::string(colour)},
                         {"size", std::string(size)},
                         {"size_unit", "MM"},
                         {"outline_color", std::string(kInk)},
                         {"outline_width", "0.3"},
                         {"outline_width_unit", "MM"}}) +
           symbol_layer("FontMarker",
                        {{"chr", std::string(number)},
                         {"color", std::string(number_colour)},
                         {"font", "DejaVu Sans"},
                         {"font_style", "Bold"},
                         {"size", "2.5"},
                         {"size_unit", "MM"},
                         {"outline_width", "0"},
                         {"outline_color", "0,0,0,0"},
                         {"offset", std::string(number_offset)},
                         {"offset_unit", "MM"}});
}

std::string findings_style() {
    const std::vector<StyleCategory> categories = {
        {"3", "class 3, safety-relevant", mark("diamond", "5.2", kVermillion, "3", kWhite, "0,0")},
        {"2", "class 2, thermal abnormality", mark("triangle", "5", kOrange, "2", kInk, "0,0.7")},
        {"1", "class 1, no abnormality", mark("circle", "4", kSkyBlue, "1", kInk, "0,0")},
    };
    return gis_style(
        categorised_renderer("marker", "coalesce(reviewed_class, class)", categories, "class"), "", findings_schema());
}

std::string strings_style() {
    const std::string line = symbol_layer("SimpleLine",
                                          {{"line_color", std::string(kString)},
                                           {"line_width", "0.5"},
                                           {"line_width_unit", "MM"},
                                           {"line_style", "solid"},
                                           {"capstyle", "round"},
                                           {"joinstyle", "round"}});
    return gis_style(single_renderer("line", line), labels("string", 8.0), strings_schema());
}

std::string outline(std::string_view colour, std::string_view dash) {
    return symbol_layer("SimpleFill",
                        {{"style", "no"},
                         {"outline_color", std::string(colour)},
                         {"outline_style", std::string(dash)},
                         {"outline_width", "0.15"},
                         {"outline_width_unit", "MM"}});
}

std::string footprints_style() {
    const std::vector<StyleCategory> categories = {
        {"before", "by the log", outline(kVermillion, "dot")},
        {"after", "as placed", outline(kString, "solid")},
    };
    return gis_style(categorised_renderer("fill", "state", categories), "", footprints_schema());
}

std::string control_style() {
    const auto cross = [](std::string_view shape, std::string_view colour) {
        return symbol_layer("SimpleMarker",
                            {{"name", std::string(shape)},
                             {"color", std::string(colour)},
                             {"size", "4"},
                             {"size_unit", "MM"},
                             {"outline_color", std::string(colour)},
                             {"outline_width", "0.6"},
                             {"outline_width_unit", "MM"}});
    };
    const std::vector<StyleCategory> categories = {
        {"used", "used", cross("cross", kInk)},
        {"held", "held, only compared", cross("cross2", kString)},
        {"refused", "not used", cross("cross2", kVermillion)},
    };
    return gis_style(categorised_renderer("marker", "use", categories), labels("name", 8.0), control_schema());
}

std::string frames_style() {
    const std::vector<StyleCategory> categories = {
        {"scored", "scored", outline("120,128,138,160", "solid")},
        {"information", "kept as information, not scored", outline("120,128,138,200", "dash")},
        {"left_out", "left out", outline(kInk, "dot")},
    };
    return gis_style(categorised_renderer("fill", "outcome", categories), "", frames_schema());
}

}  // namespace

std::vector<LayerStyle> survey_styles() {
    return {{frames_schema(), frames_style()},
            {modules_schema(), modules_style()},
            {strings_schema(), strings_style()},
            {findings_schema(), findings_style()},
            {footprints_schema(), footprints_style()},
            {control_schema(), control_style()}};
}

}  // namespace heatrow::detail
