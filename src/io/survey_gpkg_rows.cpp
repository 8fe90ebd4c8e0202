#include "survey_gpkg_rows.hpp"

#include "finding_fields.hpp"
#include "gpkg_table.hpp"
#include "heatrow/core/quad_area.hpp"
#include "heatrow/report/report_model.hpp"
#include "survey_gpkg_attributes.hpp"
#include "survey_gpkg_crops.hpp"
#include "survey_gpkg_run.hpp"
#include "survey_gpkg_schema.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>

namespace heatrow::detail {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// What every table writer needs.
struct Target {
    GDALDataset& dataset;
    const SurveyRecord& record;
    const SiteProjection& projection;
    const MapPoints& points;
    const OGRSpatialReference& reference;
    const std::filesystem::path& file;
};

// Little-endian float32, whatever the machine.
void append_float(std::vector<std::uint8_t>& bytes, double value) {
    const auto bits = std::bit_cast<std::uint32_t>(static_cast<float>(value));
    for (unsigned shift = 0; shift < 32; shift += 8) {
        bytes.push_back(static_cast<std::uint8_t>((bits >> shift) & 0xFFU));
    }
}

// Six planes of one value a cell, row by row (docs/formats/survey-gpkg.md).
std::vector<std::uint8_t> cell_values(const std::vector<CellResult>& cells) {
    std::vector<std::uint8_t> bytes;
    bytes.reserve(cells.size() * 6 * 4);
    const auto plane = [&](auto value_of) {
        for (const CellResult& cell : cells) {
            append_float(bytes, value_of(cell));
        }
    };
    plane([](const CellResult& c) { return c.temperature.value.value(); });
    plane([](const CellResult& c) { return c.temperature.u; });
    plane([](const CellResult& c) { return c.delta_t.value.value(); });
    plane([](const CellResult& c) { return c.delta_t.u; });
    plane([](const CellResult& c) { return c.delta_t_1000.value(); });
    plane([](const CellResult& c) { return static_cast<double>(c.views); });
    return bytes;
}

TableCount write_modules(const Target& t) {
    GpkgTable table(t.dataset, modules_schema(), &t.reference, t.file);
    for (const ModuleResult& result : t.record.modules) {
        const Module& module = t.record.layout.modules[at(result.module)];
        const ModuleType& type = t.record.layout.type_of(module);
        const SiteProjection::Geographic place = t.projection.to_geographic(module.centre_in_site());
        table.text(module.id).text(string_name(t.record, module.string));
        module.position > 0 ? table.integer(module.position) : table.null();
        table.text(table_name(t.record, module)).text(type.id).text(module_state(result));
        table.text(result.assessed ? "yes" : "no").text(result.assessed_reason).text(to_string(result.placement));
        table.integer(static_cast<long long>(result.frames.size())).real(result.cell_short_px);
        table.real(in_degrees(result.view_angle));
        table.real(result.temperature.value.value()).real(result.temperature.u95());
        table.real(result.delta_t_1000.value()).text(hottest_cell_name(t.record, result));
        table.real(result.hottest_cell_delta_t_1000.value());
        result.assessed ? table.integer(static_cast<int>(result.abnormality)) : table.null();
        table.text(result.flags.to_string());
        table.real(in_degrees(module.tilt)).real(in_degrees(module.azimuth));
        table.real(place.longitude_deg).real(place.latitude_deg);
        table.integer(type.rows).integer(type.columns).blob(cell_values(result.cells));
        table.end_row(t.points.polygon({module.corners_in_site.begin(), module.corners_in_site.end()}, true));
    }
    return {table.name(), table.rows()};
}

// Through the modules in wiring order, from the outer edge of the first to the outer edge of the last.
std::unique_ptr<OGRGeometry> string_line(const Target& t, const ModuleString& string) {
    if (string.modules.empty()) {
        return nullptr;
    }
    auto line = std::make_unique<OGRLineString>();
    const auto add = [&](const Eigen::Vector3d& point) {
        OGRPoint in_map = t.points.at(point);
        in_map.flattenTo2D();
        line->addPoint(&in_map);
    };
    if (string.modules.size() == 1) {
        const auto& corners = t.record.layout.modules[at(string.modules.front())].corners_in_site;
        add((corners[0] + corners[3]) / 2.0);
        add((corners[1] + corners[2]) / 2.0);
        return line;
    }
    for (const int module : string.modules) {
        add(t.record.layout.modules[at(module)].centre_in_site());
    }
    return line;
}

TableCount write_strings(const Target& t) {
    GpkgTable table(t.dataset, strings_schema(), &t.reference, t.file);
    for (const StringResult& result : t.record.strings) {
        const ModuleString& string = t.record.layout.strings[at(result.string)];
        table.text(string.id).integer(static_cast<long long>(string.modules.size()));
        table.integer(result.modules_assessed).integer(result.findings);
        const bool has_class = result.modules_assessed > 0 || result.findings > 0;
        has_class ? table.integer(static_cast<int>(result.abnormality)) : table.null();
        table.real(result.delta_t_1000.value());
        table.text(string.home.combiner).text(string.home.inverter).text(string.home.input);
        table.end_row(string_line(t, string));
    }
    return {table.name(), table.rows()};
}

void write_review(GpkgTable& table, const SurveyRecord& record, const Finding& finding) {
    const ReviewEntry* last = last_review(record, finding.id);
    const Decision decision = last == nullptr ? Decision{} : last->after;
    table.text(decision.pattern ? to_string(*decision.pattern) : std::string_view{}).text(decision.comment);
    table.text(last == nullptr ? std::string_view{} : last->reviewer);
    last == nullptr ? table.null() : table.time(last->time);
}

void write_more_conditions(GpkgTable& table, const FrameConditions& c) {
    table.real(c.irradiance.u).real(c.irradiance_felt.value.value()).real(c.irradiance_felt.u);
    table.text(c.irradiance_is_modelled ? "yes" : "no").real(c.wind.u).real(c.air.u);
    table.real(c.relative_humidity_percent).real(c.cloud_okta).real(c.load_fraction.u).text(c.flags.to_string());
}

TableCount write_findings(const Target& t) {
    GpkgTable table(t.dataset, findings_schema(), &t.reference, t.file);
    for (const Finding& finding : t.record.findings) {
        const Module* module = finding.module == -1 ? nullptr : &t.record.layout.modules[at(finding.module)];
        const Eigen::Vector3d position = position_of_finding(t.record, finding);
        const bool is_placed = position.allFinite();
        const SiteProjection::Geographic place =
            is_placed ? t.projection.to_geographic(position) : SiteProjection::Geographic{kNaN, kNaN, Metres(kNaN)};
        table.text(finding.id)
            .text(module == nullptr ? "" : module->id)
            .text(module_names(t.record, finding.candidates));
        table.text(string_name(t.record, finding.string));
        module != nullptr && module->position > 0 ? table.integer(module->position) : table.null();
        table.text(module == nullptr ? "" : table_name(t.record, *module));
        table.text(to_string(finding.pattern)).real(finding.pattern_probability);
        table.text(finding.pattern_second ? to_string(*finding.pattern_second) : std::string_view{});
        table.text(substring_list(finding)).text(cell_list(finding));
        table.integer(static_cast<int>(finding.abnormality)).real(finding.class_probability);
        table.real(finding.delta_t.value.value()).real(finding.delta_t.u95());
        table.real(finding.delta_t_1000.value.value()).real(finding.delta_t_1000.u95()).real(finding.exponent);
        table.real(finding.t_hot.value()).real(finding.t_reference.value()).text(finding.reference);
        table.time(finding.time).real(finding.conditions.irradiance.value.value());
        table.real(finding.conditions.wind.value.value()).real(finding.conditions.air.value.value());
        table.real(finding.conditions.load_fraction.value).integer(static_cast<long long>(finding.frames.size()));
        table.text(frame_names(t.record, finding.frames)).text(finding.flags.to_string());
        table.real(finding.loss_w_low).real(finding.loss_w_high);
        table.real(finding.loss_rated_w_low).real(finding.loss_rated_w_high);
        table.real(finding.loss_kwh_year_low).real(finding.loss_kwh_year_high).text(to_string(finding.verdict));
        table.real(place.longitude_deg).real(place.latitude_deg).text(finding.evidence);
        write_review(table, t.record, finding);
        write_more_conditions(table, finding.conditions);
        table.null().null().text(to_string(work_status_of(t.record, finding.id)));  // the others: write_standing
        auto point = is_placed ? std::make_unique<OGRPoint>(t.points.at(position)) : nullptr;
        if (point) {
            point->flattenTo2D();
        }
        table.end_row(std::move(point));
    }
    return {table.name(), table.rows()};
}

void write_pose(GpkgTable& table, const std::optional<FramePose>& pose) {
    const Eigen::Vector3d position = pose ? pose->position_in_site : Eigen::Vector3d(kNaN, kNaN, kNaN);
    table.real(position.x()).real(position.y()).real(position.z());
    table.real(pose ? in_degrees(pose->yaw) : kNaN).real(pose ? in_degrees(pose->pitch) : kNaN);
    table.real(pose ? in_degrees(pose->roll) : kNaN);
}

TableCount write_frames(const Target& t) {
    GpkgTable table(t.dataset, frames_schema(), &t.reference, t.file);
    for (const FrameResult& frame : t.record.frames) {
        const FrameConditions& weather = frame.conditions;
        table.text(frame.prior.name).time(frame.prior.time);
        table.text(frame.rejection ? "left_out" : (frame.scored ? "scored" : "information"));
        table.text(frame.rejection ? to_string(frame.rejection->reason) : std::string_view{});
        table.text(frame.rejection ? frame.rejection->detail : std::string{});
        write_pose(table, frame.prior.pose);
        write_pose(table, frame.pose);
        table.real(frame.lock_rms_px).real(weather.irradiance.value.value()).real(weather.irradiance.u);
        table.real(weather.irradiance_felt.value.value()).text(weather.irradiance_is_modelled ? "yes" : "no");
        table.real(weather.wind.value.value()).real(weather.air.value.value());
        table.real(weather.relative_humidity_percent).real(weather.cloud_okta).real(weather.load_fraction.value);
        table.text(weather.flags.to_string()).text(frame.sha256);
        table.real(weather.irradiance_felt.u).real(weather.wind.u).real(weather.air.u).real(weather.load_fraction.u);
        table.end_row(frame.footprint_in_site.empty() ? nullptr : t.points.polygon(frame.footprint_in_site, false));
    }
    return {table.name(), table.rows()};
}

TableCount write_footprints(const Target& t) {
    GpkgTable table(t.dataset, footprints_schema(), &t.reference, t.file);
    for (const FrameResult& frame : t.record.frames) {
        const std::optional<FramePose>& logged = frame.prior.pose;
        const Eigen::Vector3d moved = frame.pose && logged ? frame.pose->position_in_site - logged->position_in_site
                                                           : Eigen::Vector3d(kNaN, kNaN, kNaN);
        const double turned_deg =
            frame.pose && logged ? std::remainder(in_degrees(frame.pose->yaw - logged->yaw), 360.0) : kNaN;
        for (const auto& [state, corners] :
             {std::pair("before", &frame.footprint_as_logged_in_site), std::pair("after", &frame.footprint_in_site)}) {
            if (!corners->empty()) {
                table.text(frame.prior.name).text(state).real(moved.x()).real(moved.y()).real(moved.z());
                table.real(turned_deg).real(frame.lock_rms_px);
                table.end_row(t.points.polygon(*corners, false));
            }
        }
    }
    return {table.name(), table.rows()};
}

TableCount write_control(const Target& t) {
    GpkgTable table(t.dataset, control_schema(), &t.reference, t.file);
    for (const ControlResult& control : t.record.control) {
        const bool in_frame = control.frame >= 0;
        table.text(control.name).text(to_string(control.kind)).text(to_string(control.use));
        table.text(in_frame ? t.record.frames[at(control.frame)].prior.name : std::string{});
        table.real(in_frame ? control.pixel.x() : kNaN).real(in_frame ? control.pixel.y() : kNaN);
        table.text(in_frame ? to_string(control.placement) : std::string_view{});
        table.real(control.off_px.x()).real(control.off_px.y()).real(control.off_m.x()).real(control.off_m.y());
        table.text(control.detail);
        table.end_row(std::make_unique<OGRPoint>(t.points.at(control.point_in_site)));
    }
    return {table.name(), table.rows()};
}

TableCount write_views(const Target& t) {
    GpkgTable table(t.dataset, views_schema(), nullptr, t.file);
    for (const PlacedView& view : t.record.views) {
        table.text(t.record.frames[at(view.frame)].prior.name).text(t.record.layout.modules[at(view.module)].id);
        table.text(to_string(view.placement)).real(view.placement_margin).real(quad_area(view.corners_px));
        for (const Eigen::Vector2d& corner : view.corners_px) {
            table.real(corner.x()).real(corner.y());
        }
        const std::vector<int>& used = t.record.modules[at(view.module)].frames;
        table.integer(view.slot);
        table.text(std::find(used.begin(), used.end(), view.frame) == used.end() ? "no" : "yes");
        table.text(module_names(t.record, view.candidates));
        table.end_row();
    }
    return {table.name(), table.rows()};
}

}  // namespace

std::string module_state(const ModuleResult& result) {
    if (result.assessed) {
        return "class_" + std::to_string(static_cast<int>(result.abnormality));
    }
    return result.placement == Placement::placed ? "not_assessed" : std::string(to_string(result.placement));
}

std::vector<TableCount> write_tables(GDALDataset& dataset,
                                     const SurveyRecord& record,
                                     const SiteProjection& projection,
                                     const MapPoints& points,
                                     const OGRSpatialReference& reference,
                                     const std::filesystem::path& file) {
    const Target target{dataset, record, projection, points, reference, file};
    // The order in which a GIS lists them: footprints and frames at the bottom, findings on top.
    std::vector<TableCount> counts{write_footprints(target),
                                   write_frames(target),
                                   write_modules(target),
                                   write_strings(target),
                                   write_control(target),
                                   write_findings(target),
                                   write_views(target),
                                   write_module_types(dataset, record, file),
                                   write_limits(dataset, record, file),
                                   write_pictures(dataset, record, file),
                                   write_crops(dataset, record, file),
                                   write_visible_pictures(dataset, record, file),
                                   write_review_log(dataset, record, file)};
    const std::vector<TableCount> run = write_run_tables(dataset, record, file);
    counts.insert(counts.end(), run.begin(), run.end());
    return counts;
}

}  // namespace heatrow::detail
