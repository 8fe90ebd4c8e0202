#include "electrical_settings.hpp"

#include "conditions_settings.hpp"

#include <cmath>

namespace heatrow {

using detail::kNotNegative;
using detail::Range;
using detail::TomlSection;

const std::vector<std::string_view>& electrical_keys() {
    static const std::vector<std::string_view> keys{"log",
                                                    "clock",
                                                    "columns",
                                                    "units",
                                                    "strings",
                                                    "missing",
                                                    "good_quality",
                                                    "date_order",
                                                    "reach_min",
                                                    "meter_u_percent",
                                                    "meter_u_a",
                                                    "rated_current_u_percent"};
    return keys;
}

ElectricalSettings read_electrical_settings(const TomlSection& section, const std::filesystem::path& folder) {
    ElectricalSettings settings;
    settings.log = (folder / section.text("log")).lexically_normal();
    ElectricalLogOptions& options = settings.options;
    options.columns = read_names(section, "columns", {"time", "date", "string", "current", "voltage", "quality"});
    options.units = read_names(section, "units", {"current", "voltage"});
    options.strings = section.text_map("strings");
    if (section.has("missing")) {
        options.missing = section.texts("missing");
    }
    if (section.has("good_quality")) {
        options.good_quality = section.texts("good_quality");
    }
    options.date_order = read_date_order(section);
    StringLoadOptions& load = settings.load;
    constexpr double kLongestReach_min = 120.0;  // the light of two hours ago says nothing of a frame
    if (const auto minutes = section.optional_number("reach_min", Range{0.0, kLongestReach_min, true})) {
        load.reach = std::chrono::seconds(std::lround(*minutes * 60.0));
    }
    constexpr Range kPercent{0.0, 50.0};
    const auto share = [&](std::string_view key, double fallback) {
        const auto percent = section.optional_number(key, kPercent);
        return percent ? *percent / 100.0 : fallback;
    };
    load.meter_u_share = share("meter_u_percent", load.meter_u_share);
    load.rated_current_u = share("rated_current_u_percent", load.rated_current_u);
    load.meter_u_a = section.optional_number("meter_u_a", kNotNegative).value_or(load.meter_u_a);
    return settings;
}

}  // namespace heatrow
