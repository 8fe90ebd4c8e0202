#include "work_list_settings.hpp"

namespace heatrow::detail {

WorkListSettings read_work_list_settings(const TomlSection& root) {
    WorkListSettings settings;
    const auto section = root.optional_section("work_list", {"start", "columns"});
    if (!section) {
        return settings;
    }
    if (const auto start = section->optional_section("start", {"longitude", "latitude"})) {
        settings.start =
            GeographicPoint{start->number("longitude", {-180.0, 180.0}), start->number("latitude", {-90.0, 90.0})};
    }
    const std::vector<std::string_view> known(work_list_columns().begin(), work_list_columns().end());
    if (const auto columns = section->optional_section("columns", known)) {
        for (const std::string& ours : work_list_columns()) {
            if (const auto theirs = columns->optional_text(ours)) {
                settings.columns.emplace_back(ours, *theirs);
            }
        }
    }
    return settings;
}

}  // namespace heatrow::detail
