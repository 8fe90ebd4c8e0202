#include "survey_gpkg_attributes.hpp"

#include "survey_gpkg_schema.hpp"

#include <fmt/format.h>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;

std::string blank_separated(const std::vector<int>& numbers) {
    return fmt::format("{}", fmt::join(numbers, " "));
}

// Branches separated by |.
std::string branch_cells(const ModuleType& type) {
    std::string text;
    for (const std::vector<int>& branch : type.branches) {
        text += (text.empty() ? "" : "|") + blank_separated(branch);
    }
    return text;
}

std::string box_places(const ModuleType& type) {
    std::string text;
    for (const Eigen::Vector2d& box : type.junction_boxes) {
        text += fmt::format("{}{},{}", text.empty() ? "" : " ", box.x(), box.y());
    }
    return text;
}

std::string_view pattern_word(const std::optional<Pattern>& pattern) {
    return pattern ? to_string(*pattern) : std::string_view{};
}

}  // namespace

std::string_view technology_word(ModuleType::Technology technology) {
    switch (technology) {
        case ModuleType::Technology::shingled:
            return "shingled";
        case ModuleType::Technology::thin_film:
            return "thin_film";
        case ModuleType::Technology::crystalline:
            break;
    }
    return "crystalline";
}

std::string_view front_word(ModuleType::Front front) {
    return front == ModuleType::Front::glass ? "glass" : "polymer";
}

TableCount write_module_types(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, module_types_schema(), nullptr, file);
    for (const ModuleType& type : record.layout.types) {
        table.text(type.id).text(type.description).real(type.width.value()).real(type.height.value());
        table.integer(type.rows).integer(type.columns).text(type.half_cut ? "yes" : "no");
        table.text(blank_separated(type.substring_of_cell));
        table.real(type.rated_power_w).real(type.rated_current_a).real(type.rated_voltage_v);
        table.real(type.short_circuit_current_a).real(type.open_circuit_voltage_v).text(branch_cells(type));
        table.real(type.cell_area_left.value()).real(type.cell_area_top.value());
        table.real(type.cell_area_width.value()).real(type.cell_area_height.value()).real(type.middle_gap.value());
        table.text(technology_word(type.technology)).real(type.frame_width.value()).text(front_word(type.front));
        table.text(type.positive_lead_left ? "left" : "right").text(box_places(type));
        table.end_row();
    }
    return {table.name(), table.rows()};
}

TableCount write_limits(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, limits_schema(), nullptr, file);
    for (const LimitLine& line : record.limits) {
        table.text(line.name).text(line.limit).text(line.source).text(to_string(line.flag)).real(line.value);
        table.end_row();
    }
    return {table.name(), table.rows()};
}

TableCount write_pictures(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, pictures_schema(), nullptr, file);
    for (const FindingPicture& picture : record.pictures) {
        table.text(picture.finding).text(record.frames[static_cast<std::size_t>(picture.frame)].prior.name);
        table.text(picture.file).real(picture.low.value()).real(picture.high.value());
        table.end_row();
    }
    return {table.name(), table.rows()};
}

void write_review_row(GpkgTable& table, const ReviewEntry& entry) {
    table.text(entry.finding).time(entry.time).text(entry.reviewer);
    table.text(to_string(entry.before.verdict)).text(to_string(entry.after.verdict));
    table.text(pattern_word(entry.before.pattern)).text(pattern_word(entry.after.pattern));
    table.text(entry.before.comment).text(entry.after.comment).text(entry.source);
    table.integer(static_cast<int>(entry.class_before)).integer(static_cast<int>(entry.class_after));
    table.text(to_string(entry.before.work)).text(to_string(entry.after.work));
    table.end_row();
}

TableCount write_review_log(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, review_log_schema(), nullptr, file);
    for (const ReviewEntry& entry : record.review_log) {
        write_review_row(table, entry);
    }
    return {table.name(), table.rows()};
}

}  // namespace heatrow::detail
