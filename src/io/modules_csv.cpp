#include "heatrow/io/modules_csv.hpp"

#include "finding_fields.hpp"
#include "heatrow/io/csv_writer.hpp"
#include "heatrow/record/cells_seen.hpp"
#include "heatrow/record/geometric_rules.hpp"

#include <optional>

namespace heatrow {

namespace {

void write_geometric_rules(TableWriter& csv, const std::optional<GeometricRules>& rules) {
    if (!rules) {
        csv.empty().empty().empty().empty().empty();
        return;
    }
    constexpr double kCentimetres = 100.0;
    csv.number(kCentimetres * rules->per_pixel.value(), 2).number(kCentimetres * rules->smallest_spot.value(), 1);
    for (const bool met : {rules->five_pixels_a_cell, rules->three_cm_a_pixel, rules->spot_in_a_cell}) {
        csv.text(met ? "met" : "missed");
    }
}

}  // namespace

std::vector<std::string_view> module_columns() {
    return {"module",          "string",
            "table",           "assessed",
            "assessed_reason", "seen",
            "frames_used",     "px_per_cell",
            "view_angle_deg",  "t_module_c",
            "t_module_u95_c",  "delta_t_1000_k",
            "hottest_cell",    "hottest_cell_delta_t_1000_k",
            "class",           "longitude",
            "latitude",        "placement",
            "cm_per_px",       "smallest_spot_cm",
            "five_px_rule",    "three_cm_rule",
            "spot_rule",       "cells_seen"};
}

void write_modules(TableWriter& csv, const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    for (std::size_t i = 0; i < record.modules.size(); ++i) {
        const Module& module = record.layout.modules[i];
        const ModuleResult& result = record.modules[i];
        csv.text(module.id).text(detail::string_name(record, module.string));
        csv.text(detail::table_name(record, module));
        csv.text(result.assessed ? "yes" : "no").text(result.assessed_reason);
        csv.text(result.placement == Placement::not_seen ? "no"
                 : result.flags.has(Flag::seen_in_part)  ? "in_part"
                                                         : "yes");
        csv.integer(static_cast<long long>(result.frames.size())).number(result.cell_short_px, 2);
        csv.number(in_degrees(result.view_angle), 1);
        csv.number(result.temperature.value.value(), 2).number(result.temperature.u95(), 2);
        csv.number(result.delta_t_1000.value(), 2).text(detail::hottest_cell_name(record, result));
        csv.number(result.hottest_cell_delta_t_1000.value(), 2);
        if (result.assessed) {
            csv.integer(static_cast<int>(result.abnormality));
        } else {
            csv.empty();
        }
        const GeographicPoint place =
            model.context.locate ? model.context.locate(module.centre_in_site()) : GeographicPoint{};
        csv.number(place.longitude_deg, 8).number(place.latitude_deg, 8).text(to_string(result.placement));
        write_geometric_rules(csv, geometric_rules(result.cell_short_px, record.layout.type_of(module)));
        csv.integer(cells_seen(result));
        csv.end_row();
    }
}

std::string modules_csv(const ReportModel& model, CsvDialect dialect) {
    CsvWriter csv(module_columns(), dialect);
    write_modules(csv, model);
    return csv.str();
}

}  // namespace heatrow
