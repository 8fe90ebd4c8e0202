#include "control_settings.hpp"

#include "conditions_settings.hpp"

namespace heatrow {
namespace {

using detail::kPositive;
using detail::TomlSection;

// International foot (exact since 1959), and the US survey foot, 1200/3937 m (NIST Special Publication 811, B.6).
constexpr double kFoot_m = 0.3048;
constexpr double kSurveyFoot_m = 1200.0 / 3937.0;

}  // namespace

const std::vector<std::string_view>& control_keys() {
    static const std::vector<std::string_view> keys{
        "points", "marks", "crs", "heights", "height_unit", "columns", "sd_m", "hold"};
    return keys;
}

ControlSettings read_control_settings(const TomlSection& section, const std::filesystem::path& folder) {
    using Heights = ControlSettings::Heights;
    ControlSettings control;
    control.points = (folder / section.text("points")).lexically_normal();
    control.marks = (folder / section.text("marks")).lexically_normal();
    control.crs = section.optional_text("crs");
    control.heights = section.choice<Heights, 3>(
        "heights", {{{"ellipsoid", Heights::ellipsoid}, {"site", Heights::site}, {"none", Heights::none}}});
    control.metres_per_unit =
        section.choice<double, 3>("height_unit", {{{"m", 1.0}, {"ft", kFoot_m}, {"us-ft", kSurveyFoot_m}}});
    std::vector<std::string_view> quantities{"point", "height", "frame", "x", "y", "module", "corner"};
    if (control.crs) {
        quantities.insert(quantities.end(), {"easting", "northing"});
    } else {
        quantities.insert(quantities.end(), {"longitude", "latitude"});
    }
    control.columns = read_names(section, "columns", quantities);
    control.sd_m = section.optional_number("sd_m", kPositive).value_or(control.sd_m);
    if (section.has("hold")) {
        control.hold = section.texts("hold");
    }
    return control;
}

bool is_in_picture(const CameraSettings& camera, double x, double y) {
    return x >= -0.5 && x <= camera.width_px - 0.5 && y >= -0.5 && y <= camera.height_px - 0.5;
}

}  // namespace heatrow
