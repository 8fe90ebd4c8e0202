#include "apparent_frame.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

namespace heatrow::cli {

Thermogram read_apparent_frame(const std::filesystem::path& file,
                               const ThermogramOptions& options,
                               const Profile& profile,
                               const BandRadiance& band) {
    const FrameCounts frame = options.read(file);
    ThermogramSettings settings;
    settings.encoding = options.encoding(file, frame, profile);
    settings.conditions = options.conditions(1.0, Celsius(kNaN));
    settings.clipped_count = summarise_counts(frame, options.nodata()).range_end;
    return Thermogram(frame.counts.view(), settings, band);
}

CameraUncertainties camera_of(const ThermogramOptions& options) {
    const UncertaintyCauses causes = options.camera_causes();
    if (!(causes.camera_offset.value() >= 0.0 && causes.camera_gain >= 0.0)) {
        options.refuse("--offset-u, --gain-u", "an uncertainty is below zero", "Give standard uncertainties");
    }
    return {causes.camera_offset.value(), causes.camera_gain, causes.gain_pivot};
}

Area area_of(const std::string& option, const std::string& shape) {
    const auto area = parse_area(option + "=" + shape);
    if (!area) {
        throw Error(ErrorKind::usage,
                    "cannot use an area",
                    option,
                    area.error(),
                    "Write it as rect:x,y,w,h or circle:x,y,r or polygon:x1,y1,x2,y2,x3,y3");
    }
    return *area;
}

std::string terms_as_text(const Determination& found, int decimals) {
    std::string text;
    for (const DeterminationTerm& term : found.terms) {
        text += fmt::format("  {:<22} {:.{}f}\n", term.cause, term.u, decimals);
    }
    return text;
}

nlohmann::ordered_json determination_as_json(const Determination& found) {
    nlohmann::ordered_json json;
    json["value"] = found.value;
    json["u"] = found.u();
    json["terms"] = nlohmann::ordered_json::array();
    for (const DeterminationTerm& term : found.terms) {
        json["terms"].push_back({{"cause", term.cause}, {"u", term.u}});
    }
    return json;
}

}  // namespace heatrow::cli
