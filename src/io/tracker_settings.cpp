#include "tracker_settings.hpp"

#include "conditions_settings.hpp"

#include <cmath>

namespace heatrow {

using detail::Range;
using detail::TomlSection;

const std::vector<std::string_view>& tracker_keys() {
    static const std::vector<std::string_view> keys{
        "angles", "log", "clock", "columns", "date_order", "reversed", "longest_gap_min", "backtracking"};
    return keys;
}

TrackerSettings read_tracker_settings(const TomlSection& section, const std::filesystem::path& folder) {
    using Angles = TrackerSettings::Angles;
    TrackerSettings settings;
    settings.angles = section.choice<Angles, 2>("angles", {{{"log", Angles::log}, {"sun", Angles::sun}}});
    if (settings.angles == Angles::sun) {
        for (const char* key : {"log", "clock", "columns", "date_order", "reversed", "longest_gap_min"}) {
            if (section.has(key)) {
                section.fail(key, "angles = \"sun\" reads no log", "Leave it out, or set angles = \"log\"");
            }
        }
        settings.backtracking = section.optional_boolean("backtracking").value_or(settings.backtracking);
        return settings;
    }
    if (section.has("backtracking")) {
        section.fail("backtracking", "a log holds the angles as they were", "Leave it out, or set angles = \"sun\"");
    }
    settings.log = (folder / section.text("log")).lexically_normal();
    settings.options.columns = read_names(section, "columns", {"time", "date", "tracker", "angle"});
    settings.options.date_order = read_date_order(section);
    settings.options.reversed = section.optional_boolean("reversed").value_or(false);
    constexpr double kLongest_min = 120.0;  // a tracker turns by 30 degrees in two hours
    if (const auto minutes = section.optional_number("longest_gap_min", Range{0.0, kLongest_min, true})) {
        settings.longest_gap = std::chrono::milliseconds(std::llround(*minutes * 60e3));
    }
    return settings;
}

}  // namespace heatrow
